"""Printers: processes that turn pages into PDF side by side, for many papers at once.

WeasyPrint holds the interpreter while it works: two threads are slower than one, two processes take half the time. A
printer gets a page written out and gives back bytes; it opens no book, so numbers and rows stay with whoever asked.
This module is loaded in the printer before the house is set up, so it may import nothing of it at its top.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from shop.press.drawing import Page

AT_ONCE = 2
"""Printers at once: four on two cores were no faster than two."""


class Printers:
    """So many printers, started with `with` and stopped at its end. Refuses where the libraries for PDF are missing."""

    def __init__(self, count: int = AT_ONCE) -> None:
        self.count = count

    def __enter__(self) -> Self:
        """Start them; each warms up while the first pages are being written."""
        from shop.frame.refusal import Refusal  # noqa: PLC0415
        from shop.press.libraries import missing_libraries, remedy  # noqa: PLC0415

        if missing := missing_libraries():
            raise Refusal(remedy(missing))
        # a fresh process each: a fork would take the open book and its locks along
        self._pool = ProcessPoolExecutor(self.count, get_context("spawn"), initializer=_set_up)
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(cancel_futures=True)

    def print(self, pages: Sequence[Page]) -> list[bytes]:
        """The PDF of each page, in their order; raises what the machine raises."""
        return list(self._pool.map(_print, pages))


def _set_up() -> None:
    import django  # noqa: PLC0415

    django.setup()
    from shop.press.machine import machine  # noqa: PLC0415
    from shop.press.sheets import A4  # noqa: PLC0415

    machine.warm(A4)


def _print(page: Page) -> bytes:
    from shop.press.machine import machine  # noqa: PLC0415

    return machine.print(page.html, page.sheet)
