"""The bench with its box for sentences: what can be said is said, and what doesn't come out as it was meant is done by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shop.frame.models import JournalEntry
from tests.bench.stories import acts
from tests.bench.stories.sheet_pages import SheetPages
from tests.bench.stories.telling import as_meant, told
from tests.settling import PATIENCE

SAID = "Said"


class SpokenPages(SheetPages):
    """Acts in a row are one breath: the box, the tablet's own dictation, each card that waits, and the one big button."""

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self.meant: list[acts.Act] = []
        self.by_hand: list[acts.Act] = []

    def tell(self, some: Sequence[acts.Act]) -> None:
        """Say these acts, look at the cards, take them; then do by hand what the record doesn't hold as it was meant."""
        self.hand.begin(SAID)
        self._say(told(some))
        for act in some:
            if as_meant(self.job, act):
                self.meant.append(act)
            else:
                self.by_hand.append(act)
                self.hand.begin(type(act).__name__)
                self.do(act)

    def _say(self, text: str) -> None:
        hand, page = self.hand, self.page
        if not self._open("say"):
            hand.touch("#say-text")
        page.locator("#say-text:focus").wait_for()
        hand.now.touches += 1  # the microphone of the tablet's keyboard
        page.locator("#say-text").fill(text)
        # the cards of these words, and of no earlier ones
        page.locator('#say [name="seen"]').wait_for(state="attached")
        hand.settling.wait()
        self._confirm()
        before = JournalEntry.objects.count()
        hand.touch("#say .button-big")
        if not self._taken(before):
            # what can't be taken as it stands waits: a touch for each
            for card in page.locator("#say [data-card].is-wrong").all():
                hand.touch(card.locator('label:has(input[value="later"])'))
            hand.touch("#say .button-big")
            assert self._taken(before), page.inner_text("#say")[:1500]
        page.locator("body:not([aria-busy]):not(:has(#bench-unsent))").wait_for()
        hand.settling.wait()

    def _confirm(self) -> None:
        """A touch for each card that waits and is whole: one that asks for something is left for the hand."""
        for card in self.page.locator("#say [data-card]").all():
            waits = card.locator('input[value="later"]').is_checked()
            asks = card.locator("details.more[open]").count()
            if waits and not asks:
                self.hand.touch(card.locator('label:has(input[value="take"])'))

    def _taken(self, before: int) -> bool:
        """Whether it stands in the book; False once the page says that something is wrong."""
        for _ in range(PATIENCE):
            if JournalEntry.objects.count() > before:
                return True
            if self.page.locator("#say [data-card].is-wrong").count():
                return False
            self.page.wait_for_timeout(20)
        return False
