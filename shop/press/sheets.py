"""What a paper is printed on: A4, US Letter, or a label of so many millimetres."""

from __future__ import annotations

from dataclasses import dataclass

from shop.frame.models import PaperSize


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet or a label, in millimetres. A label has narrow margins and neither header nor footer."""

    width: float
    height: float
    name: str = "label"

    @property
    def is_label(self) -> bool:
        """True for what comes off a roll or a sheet of labels."""
        return self.name == "label"

    @property
    def css(self) -> str:
        """The page rule that gives a PDF this size. The marks at the left edge say where to fold it for its envelope."""
        rule = f"@page {{ size: {self.width:g}mm {self.height:g}mm; }}"
        if self.name not in FOLDS:
            return rule
        strokes = "".join(f"M0 {at:g}h{length:g}" for at, length in FOLDS[self.name])
        drawing = (
            f"%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 8 {self.height:g}'%3E"
            f"%3Cpath d='{strokes}' stroke='%23000' stroke-width='.2'/%3E%3C/svg%3E"
        )
        marks = f'url("data:image/svg+xml,{drawing}") no-repeat -24mm -13mm / 8mm {self.height:g}mm'
        return f"{rule} @page letter:first {{ background: {marks}; }}"


A4 = Sheet(210, 297, "A4")
LETTER = Sheet(215.9, 279.4, "Letter")

# Where to fold for a window envelope, and the middle for the hole punch, as (millimetres from the top, length). A4 is
# folded at 105 and 210 mm (DIN 5008, form B, from memory), Letter in thirds.
FOLDS = {
    A4.name: ((105, 5), (148.5, 8), (210, 5)),
    LETTER.name: ((93.1, 5), (139.7, 8), (186.3, 5)),
}


def sheet_of(size: Sheet | PaperSize | str) -> Sheet:
    """Return the sheet that `PaperSize` (or its value) names; a Sheet is itself."""
    if isinstance(size, Sheet):
        return size
    return {PaperSize.A4: A4, PaperSize.LETTER: LETTER}[PaperSize(size)]


def label(width: float, height: float) -> Sheet:
    """A label of so many millimetres."""
    return Sheet(width, height)
