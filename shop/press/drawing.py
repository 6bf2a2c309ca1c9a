"""From a template and its facts to a paper: as PDF bytes, or as a page for the browser's own printing."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass

from django.template.loader import render_to_string

from shop.frame import clock
from shop.frame.customs import customs_of, writing_in
from shop.frame.models import PaperSize
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.press.machine import ACCESSIBLE, machine
from shop.press.sheets import Sheet, sheet_of

UNDRAWABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]")


@dataclass(frozen=True, slots=True)
class Page:
    """A paper written out as HTML, ready for a machine: plain values, so that a process of its own may print it."""

    html: str
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class Paper:
    """What every template knows of the paper that it draws, as `paper`.

    `heading` stands on the tag at the top right, with `number` under it. `on_screen` is true when a browser shows it.
    """

    title: str
    language: str
    sheet: Sheet
    issued_on: dt.date
    heading: str = ""
    number: str = ""
    draft: bool = False
    on_screen: bool = False

    @property
    def css(self) -> str:
        """The classes of the body."""
        kind = "label" if self.sheet.is_label else f"sheet-{self.sheet.name.lower()}"
        return " ".join(
            ["paper", kind, *(["draft"] if self.draft else []), *(["on-screen"] if self.on_screen else [])]
        )


def render_pdf(
    template: str,
    context: Mapping[str, object],
    *,
    size: Sheet | PaperSize | str | None = None,
    language: str | None = None,
    title: str,
    heading: str = "",
    number: str = "",
    issued_on: dt.date | None = None,
    draft: bool = False,
    variant: str = ACCESSIBLE,
) -> bytes:
    """Return `template` as a tagged PDF (PDF/UA-1) on `size`, the profile's paper by default.

    `variant` asks for another kind: `ARCHIVED` is PDF/A-3a, tagged too, into which an e-invoice may be put.

    The template extends `papers/base.html` (or `papers/label.html`) and finds `paper`, `shop_profile` and `context`.
    Refuses, with what to install, where the libraries for PDF are missing.
    """
    paper = _paper(size, language, title, heading, number, issued_on, draft=draft)
    return machine.print(render_paper(template, context, paper), paper.sheet, variant=variant)


def write_out(
    template: str,
    context: Mapping[str, object],
    *,
    size: Sheet | PaperSize | str | None = None,
    language: str | None = None,
    title: str,
    heading: str = "",
    number: str = "",
    issued_on: dt.date | None = None,
) -> Page:
    """Return `template` written out, for a machine to print: the half of `render_pdf` that needs the book."""
    paper = _paper(size, language, title, heading, number, issued_on)
    return Page(render_paper(template, context, paper), paper.sheet)


def draw_draft(
    template: str,
    context: Mapping[str, object],
    *,
    title: str,
    heading: str = "",
    number: str = "",
    size: Sheet | PaperSize | str | None = None,
    language: str | None = None,
) -> bytes:
    """Return a preview of a paper, marked DRAFT on every page. Nothing is stored."""
    return render_pdf(
        template,
        context,
        size=size,
        language=language,
        title=f"{title} (draft)",
        heading=heading,
        number=number,
        draft=True,
    )


def draw_page(
    template: str,
    context: Mapping[str, object],
    *,
    title: str,
    heading: str = "",
    number: str = "",
    size: Sheet | PaperSize | str | None = None,
    language: str | None = None,
    draft: bool = True,
) -> str:
    """Return the paper as a web page that the browser prints: the way out where no PDF can be made."""
    paper = _paper(size, language, title, heading, number, None, draft=draft, on_screen=True)
    return render_paper(template, context, paper)


def render_paper(template: str, context: Mapping[str, object], paper: Paper) -> str:
    """The HTML of a paper, written by the customs of the shop in the paper's language.

    Signs that no typeface draws become spaces: one of them makes a PDF's whole text unreadable for programs.
    """
    shop = the_profile()
    with customs_of(shop), writing_in(paper.language):
        written = render_to_string(template, {"shop_profile": shop, **context, "paper": paper})
    return UNDRAWABLE.sub(" ", written)


def _paper(
    size: Sheet | PaperSize | str | None,
    language: str | None,
    title: str,
    heading: str,
    number: str,
    issued_on: dt.date | None,
    **how: bool,
) -> Paper:
    shop = the_profile()
    return Paper(
        title=title,
        language=language or shop.language,
        sheet=sheet_of(size or shop.paper_size),
        issued_on=issued_on or clock.today(),
        heading=heading or title,
        number=number,
        **how,
    )


def warm_up() -> None:
    """Get ready to print before a transaction begins. Where the libraries are missing, the paper itself will say so."""
    with suppress(Refusal):
        machine.warm(sheet_of(the_profile().paper_size))
