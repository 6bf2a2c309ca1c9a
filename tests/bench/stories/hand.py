"""One hand on a tablet: what it touches, and what it has to type."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from shop.frame.models import JournalEntry
from tests.bench.stories.acts import letters
from tests.settling import PATIENCE, Settling

SENT = "body:not([aria-busy]):not(:has(#bench-unsent))"


@dataclass(slots=True)
class Tally:
    """How often something was done, and what it cost in all."""

    times: int = 0
    touches: int = 0
    letters: int = 0


@dataclass
class Hand:
    """Counts touches (a tap, click or key that chooses, goes on or sends) and letters (characters of the tablet's keyboard).

    A touch more is counted for a choice in a list that the tablet unfolds, for the camera's release and for each mark drawn.
    Neither counts the digits of a value, with their point and sign, nor scrolling.
    """

    page: Any
    tallies: dict[str, Tally] = field(default_factory=dict)
    now: Tally = field(default_factory=Tally)

    def __post_init__(self) -> None:
        self.settling = Settling(self.page)

    def begin(self, kind: str) -> None:
        """What follows is an act of this kind."""
        self.now = self.tallies.setdefault(kind, Tally())
        self.now.times += 1

    def touch(self, target: Any) -> None:
        """Tap on something, wherever one has to scroll to."""
        place = self.page.locator(target) if isinstance(target, str) else target
        place.first.tap()
        self.now.touches += 1

    def choose(self, target: str, value: str) -> None:
        """Unfold a list, and choose in it."""
        self.page.locator(target).first.select_option(value)
        self.now.touches += 2

    def type(self, text: str, *values: str) -> None:
        """Type into what has the focus; the digits of these values don't count."""
        self.page.keyboard.type(text)
        self.now.letters += letters(text, values)

    def write(self, target: str, text: str, *values: str) -> None:
        """Tap on a field, and type into it."""
        self.touch(target)
        self.type(text, *values)

    def send(self, target: Any) -> None:
        """Tap on what sends, and wait until it stands in the book and the page shows it."""
        assert self.tapped_and_taken(target), f"{self.page.url}:\n{self.page.inner_text('main')[:1500]}"

    def tapped_and_taken(self, target: Any) -> bool:
        """Tap on what sends; whether it was taken, or refused."""
        before = JournalEntry.objects.count()
        self.touch(target)
        for _ in range(PATIENCE):
            if JournalEntry.objects.count() > before:
                break
            if self.page.locator(".field-wrong").count():
                return False
            self.page.wait_for_timeout(20)
        else:
            return False
        self.page.wait_for_load_state()
        self.page.locator(SENT).wait_for()
        self.settling.wait()
        return True
