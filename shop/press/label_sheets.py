"""Labels, many on a sheet or one after the other on a roll: where each lies, and the paper that prints them there.

Sources
    The open template data of gLabels (Debian's glabels-data 3.4.1): every sheet here lies within 0.17 mm of a template there.
    3 x 10 on Letter (2 5/8 x 1 in, from 3/16 and 1/2 in, step 2 3/4 and 1 in) and 3 x 7 on A4 (63.5 x 38.1 mm, from 7.2 and
    15.15 mm, gap 2.5 mm): printreadykit.pages.dev and tables in public code too. 3 x 8 on A4 of 63.5 x 33.9 mm, from 7.25 and
    12.9 mm, step 66 mm: labelplanet.co.uk too.
    Makers differ by parts of a millimetre, so the shop can shift what is printed, and print a sheet of outlines to hold
    against the light.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from shop.frame.refusal import Refusal
from shop.press.drawing import render_pdf
from shop.press.sheets import A4, LETTER, Sheet

INCH = 25.4
SAFE_MM = 2.0
"""What is left free at a label's edge: a sheet may lie that much askew in the printer (common practice, no source)."""

MOST_LABELS = 600
SMALLEST_POINT, LARGEST_POINT = 6, 16
POINT_MM = INCH / 72
LINE_HEIGHT = 1.25
LETTER_WIDTH = 0.58
"""Mean width of a letter in the paper's typeface as a share of its size, with something to spare (measured on addresses)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one label lies on its sheet, in millimetres from the top left corner."""

    place: int
    left: float
    top: float


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of equal labels. All in millimetres: size of one, first one's corner, step from one to the next."""

    code: str
    paper: Sheet
    across: int
    down: int
    width: float
    height: float
    left: float
    top: float
    step_x: float
    step_y: float

    @property
    def count(self) -> int:
        """How many labels are on one sheet."""
        return self.across * self.down

    @property
    def name(self) -> str:
        """The sheet as one chooses it: by its paper, how many, and the size of one."""
        if self.paper.name == LETTER.name:
            size = f"{_inches(self.width)} × {_inches(self.height)} in"
        else:
            size = f"{self.width:g} × {self.height:g} mm"
        return f"{self.paper.name}, {self.count} of {size}"

    def spots(self, *, shift_x: float = 0, shift_y: float = 0) -> Iterator[Spot]:
        """Every label's place, row by row from the top left, moved by what the shop's printer needs."""
        for at in range(self.count):
            row, column = divmod(at, self.across)
            yield Spot(
                at + 1,
                round(self.left + column * self.step_x + shift_x, 3),
                round(self.top + row * self.step_y + shift_y, 3),
            )


def _centred(
    code: str, paper: Sheet, across: int, down: int, width: float, height: float, gap_x: float
) -> LabelSheet:
    """A sheet whose labels stand in the middle, rows without a gap."""
    left = (paper.width - across * width - (across - 1) * gap_x) / 2
    top = (paper.height - down * height) / 2
    return LabelSheet(
        code, paper, across, down, width, height, round(left, 3), round(top, 3), width + gap_x, height
    )


def _of_letter(
    code: str,
    across: int,
    down: int,
    width: float,
    height: float,
    left: float,
    step_x: float,
    top: float = 0.5,
) -> LabelSheet:
    """A sheet of Letter in inches, its first row half an inch from the top, rows without a gap."""
    return LabelSheet(
        code,
        LETTER,
        across,
        down,
        *(round(one * INCH, 4) for one in (width, height, left, top, step_x, height)),
    )


LABEL_SHEETS: dict[str, LabelSheet] = {
    sheet.code: sheet
    for sheet in (
        _of_letter("letter-30", 3, 10, 2.625, 1, 0.1875, 2.75),
        _of_letter("letter-20", 2, 10, 4, 1, 0.15625, 4.1875),
        _of_letter("letter-14", 2, 7, 4, 4 / 3, 0.15625, 4.1875, top=5 / 6),
        _of_letter("letter-10", 2, 5, 4, 2, 0.15625, 4.1875),
        _of_letter("letter-6", 2, 3, 4, 10 / 3, 0.15625, 4.1875),
        LabelSheet("letter-2", LETTER, 1, 2, 215.9, 139.7, 0, 0, 215.9, 139.7),
        LabelSheet("a4-21", A4, 3, 7, 63.5, 38.1, 7.2, 15.15, 66.0, 38.1),
        LabelSheet("a4-24", A4, 3, 8, 63.5, 33.9, 7.25, 12.9, 66.0, 33.9),
        _centred("a4-24-edge", A4, 3, 8, 70, 37, 0),
        _centred("a4-14", A4, 2, 7, 99.1, 38.1, 2.5),
        _centred("a4-8", A4, 2, 4, 99.1, 67.7, 2.5),
        _centred("a4-4", A4, 2, 2, 105, 148.5, 0),
        _centred("a4-2", A4, 1, 2, 210, 148.5, 0),
    )
}


RULES = """
.leaf + .leaf, .roll-label + .roll-label { break-before: page; }
.leaf { position: relative; }
.spot { position: absolute; overflow: hidden; }
.spot-outlined { border: 0.2mm solid #000; }
.label-sender { font-size: 6.5pt; line-height: 1.25; padding-bottom: 1.2mm; margin-bottom: 2mm; border-bottom: 0.2mm solid #000; }
.label-to p:first-child { font-weight: 700; }
.label-to p { white-space: pre-wrap; line-height: 1.25; }
.label-foot { padding-top: 2mm; }
.label-foot .boxed { display: inline-block; margin-top: 1.5mm; }
.label-foot .code-text { font-size: 7pt; letter-spacing: 0.06em; line-height: 1.2; }
""" + "".join(
    f".pt-{points} {{ font-size: {points}pt; line-height: {LINE_HEIGHT}; }}\n" for points in range(5, 31)
)
"""How labels are set; the size of the type is a class, for what is printed on a paper has no style of its own."""


@dataclass(frozen=True)
class RollLabel(Sheet):
    """A label on a roll."""

    @property
    def css(self) -> str:
        """Its size and the type on it."""
        return f"@page {{ size: {self.width:g}mm {self.height:g}mm; }} @page label {{ margin: {SAFE_MM:g}mm; }}{RULES}"


@dataclass(frozen=True)
class SheetOfLabels(Sheet):
    """What the press prints a label sheet on: the paper, and a class for each spot (a paper has no style of its own)."""

    labels: LabelSheet = field(default=LABEL_SHEETS["letter-30"])
    shift_x: float = 0
    shift_y: float = 0

    @property
    def css(self) -> str:
        """The page, and where each label lies on it."""
        size = f"width: {self.labels.width:g}mm; height: {self.labels.height:g}mm"
        spots = "".join(
            f".spot-{spot.place} {{ left: {spot.left:g}mm; top: {spot.top:g}mm; }}"
            for spot in self.labels.spots(shift_x=self.shift_x, shift_y=self.shift_y)
        )
        return (
            f"@page {{ size: {self.width:g}mm {self.height:g}mm; }} @page label {{ margin: 0; }}{RULES}"
            f".leaf {{ width: {self.width:g}mm; height: {self.height - 0.1:g}mm; }}"
            f".spot {{ padding: {SAFE_MM:g}mm {SAFE_MM + 1:g}mm; {size}; }}{spots}"
        )


def sheet_pdf(
    template: str,
    labels: Sequence[Mapping[str, object]],
    *,
    sheet: LabelSheet,
    start: int = 1,
    shift_x: float = 0,
    shift_y: float = 0,
    outlined: bool = False,
    title: str,
) -> bytes:
    """Labels on a sheet from the `start`th spot on, as PDF; each is drawn by `template` with its own facts.

    `outlined` draws the edge of every spot, for a sheet to hold against the light.
    """
    if not 1 <= start <= sheet.count:
        raise Refusal(f"This sheet has labels 1 to {sheet.count}.", field="start")
    _refuse_too_many(labels)
    spots = [spot.place for spot in sheet.spots()]
    leaves: list[list[tuple[int, Mapping[str, Any]]]] = []
    for at, one in enumerate(labels, start=start - 1):
        leaf, place = divmod(at, sheet.count)
        while len(leaves) <= leaf:
            leaves.append([])
        leaves[leaf].append((spots[place], one))
    return render_pdf(
        "papers/label_sheet.html",
        {"leaves": leaves, "one_label": template, "outlined": outlined},
        size=SheetOfLabels(
            sheet.paper.width, sheet.paper.height, labels=sheet, shift_x=shift_x, shift_y=shift_y
        ),
        title=title,
    )


def roll_pdf(
    template: str, labels: Sequence[Mapping[str, object]], *, width: float, height: float, title: str
) -> bytes:
    """Labels of so many millimetres, one a page, as a label printer takes them from its roll."""
    _refuse_too_many(labels)
    context = {"labels": labels, "one_label": template}
    return render_pdf("papers/label_roll.html", context, size=RollLabel(width, height), title=title)


def points_for(lines: Sequence[str], *, width: float, height: float, largest: int = LARGEST_POINT) -> int:
    """The largest type in whole points in which these lines fit an area in millimetres; refuses below the smallest."""
    longest = max((len(line) for line in lines), default=1) or 1
    by_width = width / (longest * LETTER_WIDTH * POINT_MM)
    by_height = height / (max(len(lines), 1) * LINE_HEIGHT * POINT_MM)
    points = int(min(by_width, by_height, largest))
    if points < SMALLEST_POINT:
        raise Refusal("This is too much for so small a label: choose a larger one.", field="sheet")
    return points


def _refuse_too_many(labels: Sequence[Mapping[str, object]]) -> None:
    if not labels:
        raise Refusal("There is nothing to print.")
    if len(labels) > MOST_LABELS:
        raise Refusal(f"At most {MOST_LABELS} labels are printed at once.")


def _inches(mm: float) -> str:
    """A length in inches, with the eighths and thirds that label makers write."""
    whole, part = divmod(round(mm / INCH, 3), 1)
    fraction = {0.125: "⅛", 0.25: "¼", 0.333: "⅓", 0.5: "½", 0.625: "⅝", 0.75: "¾"}.get(round(part, 3), "")
    if part and not fraction:
        return f"{mm / INCH:.2f}".rstrip("0")
    return f"{int(whole) or ''}{fraction}"
