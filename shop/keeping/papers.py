"""Issued papers as they are kept: each checked against its hash before it is handed out."""

from __future__ import annotations

import hashlib

from shop.frame.clock import day_of
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper


class Altered(Exception):
    """A stored paper's file is gone or is not what was issued."""


def stored_bytes(paper: IssuedPaper) -> bytes:
    """Return a paper as it was issued, checked against its hash.

    Refuses a paper whose file was deleted at the end of its retention; raises Altered when the file is missing or was changed.
    """
    if paper.deleted_at is not None:
        day = day_of(paper.deleted_at)
        raise Refusal(
            f"“{paper.title}” was kept as long as it had to be and deleted on {day:%Y-%m-%d}; its hash remains."
        )
    try:
        with paper.file.open("rb") as file:
            pdf: bytes = file.read()
    except (OSError, ValueError) as error:
        raise Altered(f"The file of “{paper.title}” is missing from the shop’s data.") from error
    if hashlib.sha256(pdf).hexdigest() != paper.sha256:
        raise Altered(f"The file of “{paper.title}” is not the one that was issued.")
    return pdf
