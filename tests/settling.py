"""When a page in a browser is done: it asks the shop for nothing more, and what came has been drawn."""

from __future__ import annotations

from typing import Any

PATIENCE = 200


class Settling:
    """Listens to what a page asks for. No person is quicker than a page that is being drawn anew; a test would be."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.under_way: set[Any] = set()
        page.on("request", self._begun)
        page.on("requestfinished", self._over)
        page.on("requestfailed", self._over)

    # Playwright listens with methods of Python's own, not with a set's.
    def _begun(self, request: Any) -> None:
        self.under_way.add(request)

    def _over(self, request: Any) -> None:
        self.under_way.discard(request)

    def wait(self, milliseconds: int = 40) -> None:
        """Wait until nothing has been under way for so many milliseconds, twice: an answer may lead on to another page."""
        quiet = 0
        for _ in range(PATIENCE):
            self.page.wait_for_timeout(milliseconds)
            quiet = 0 if self.under_way else quiet + 1
            if quiet == 2:
                break
        self.page.wait_for_load_state()
