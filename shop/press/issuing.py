"""Issuing: a paper is drawn once, stored with its hash, and never drawn again."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.core.files.base import ContentFile

from shop.frame.journal import acting
from shop.frame.models import PaperSize, Staff
from shop.frame.once import keyless
from shop.frame.profile import is_open, the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper
from shop.press.drawing import Page, write_out
from shop.press.machine import machine
from shop.press.sheets import Sheet

if TYPE_CHECKING:
    from shop.press.printers import Printers


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperWanted:
    """A paper before it is drawn: its template with plain values, its kind and number, and how long it must be kept.

    `kind` is a short code (“invoice”), `number` what is printed, `title` the document's title and file name, `heading` what
    stands on the tag (the title by default), `keep_until` the last day on which the file must be kept.
    """

    kind: str
    number: str
    title: str
    template: str
    context: Mapping[str, Any]
    heading: str = ""
    keep_until: dt.date | None = None
    size: Sheet | PaperSize | str | None = None
    language: str | None = None
    chain: tuple[int, str] = (0, "")
    """The end of the journal's chain, where the paper tells it."""


def issue_paper(*, by: Staff | None, at: dt.datetime | None = None, **wanted: Any) -> IssuedPaper:
    """Draw a paper, store it under the shop's data with its SHA-256, and write it into the journal.

    `wanted` are the fields of `PaperWanted`. Joins the caller's act, so that paper, number and facts stand or fall together; a
    transaction that is rolled back leaves at most a file without a row, which the nightly check removes. Refuses before
    the shop has a profile, and where no PDF can be made.
    """
    return issue_papers([PaperWanted(**wanted)], by=by, at=at)[0]


@keyless("joined")
def issue_papers(
    wanted: Sequence[PaperWanted],
    *,
    by: Staff | None,
    at: dt.datetime | None = None,
    printers: Printers | None = None,
) -> list[IssuedPaper]:
    """Issue several papers in one act, in their order; `printers` draw them side by side where there are many."""
    if not is_open():
        raise Refusal("A paper needs the shop’s name and address: fill in the shop’s profile first.")
    with acting(by=by, at=at) as act:
        pages = [_page(one, act.day) for one in wanted]
        pdfs = printers.print(pages) if printers else [machine.print(page.html, page.sheet) for page in pages]
        return [
            keep_paper(
                pdf=pdf,
                kind=one.kind,
                number=one.number,
                title=one.title,
                language=one.language,
                by=by,
                keep_until=one.keep_until,
                chain=one.chain,
            )
            for one, pdf in zip(wanted, pdfs, strict=True)
        ]


def _page(wanted: PaperWanted, issued_on: dt.date) -> Page:
    return write_out(
        wanted.template,
        wanted.context,
        size=wanted.size,
        language=wanted.language,
        title=wanted.title,
        heading=wanted.heading,
        number=wanted.number,
        issued_on=issued_on,
    )


@keyless("joined")
def keep_paper(
    *,
    pdf: bytes,
    kind: str,
    number: str,
    title: str,
    by: Staff | None,
    at: dt.datetime | None = None,
    language: str | None = None,
    keep_until: dt.date | None = None,
    chain: tuple[int, str] = (0, ""),
) -> IssuedPaper:
    """Store a PDF that was drawn already as an issued paper, with its hash; written into the journal. Joins the caller’s act."""
    language = language or the_profile().language
    with acting(by=by, at=at) as act:
        paper = IssuedPaper(
            kind=kind,
            number=number,
            title=title,
            language=language,
            sha256=hashlib.sha256(pdf).hexdigest(),
            size=len(pdf),
            issued_at=act.at,
            by=by,
            keep_until=keep_until,
            journal_entry=chain[0],
            journal_digest=chain[1],
        )
        paper.file.save(_file_name(kind, number, paper.sha256), ContentFile(pdf), save=False)
        paper.save(force_insert=True)
        act.seal(paper)
        act.record("paper.issued", subject=paper, kind=kind, sha256=paper.sha256)
    return paper


def _file_name(kind: str, number: str, sha256: str) -> str:
    """A name that says which paper it is and nothing about a person."""
    plain = re.sub(r"[^A-Za-z0-9-]+", "-", f"{kind}-{number}").strip("-")[:60]
    return f"{plain}-{sha256[:8]}.pdf"
