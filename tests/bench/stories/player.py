"""Plays a story on a set of pages, and looks whether all of it stands on the job's card afterwards."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Protocol

from django.urls import reverse

from shop.counter.models import Job, TestPoint
from shop.frame.models import Staff
from tests.bench.stories.acts import Act, Known, Story
from tests.bench.stories.hand import Hand
from tests.factories.counter import MakerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.stockroom import a_part

CHANNELS = {"left": "L", "right": "R"}


class PageSet(Protocol):
    """The pages of the bench as a hand meets them: how each kind of act is done on them."""

    hand: Hand

    def do(self, act: Act) -> None:
        """Do it, as a technician who knows these pages would: with the fewest touches, then the fewest letters."""


def play(story: Story, pages: PageSet) -> None:
    """Do every act of the story in its order; the hand keeps what each kind of act cost."""
    for act in story.acts:
        pages.hand.begin(type(act).__name__)
        pages.do(act)


def the_job_of(story: Story, by: Staff) -> Job:
    """The unit of the story, booked in and tagged; its model file and the drawers as the story finds them."""
    model = UnitModelFactory(
        maker=MakerFactory(name=story.maker),
        name=story.model,
        kind=story.kind,
        protection_class=story.protection_class,
    )
    for at, known in enumerate(story.known):
        _test_point(model, known, at)
    for one in story.stock:
        a_part(
            by,
            number=one.number,
            designation=one.what,
            rating=one.rating,
            description=one.description,
            there=20,
        )
    unit = UnitFactory(model=model, protection_class=story.protection_class)
    return booked_in(unit=unit, by=by, complaint=story.complaint)


def _test_point(model: Any, known: Known, at: int) -> None:
    where = f"{known.place} to {known.against}" if known.against else ""
    TestPoint.objects.create(
        model=model,
        name=known.place,
        where=where,
        quantity=known.quantity,
        condition=known.state,
        expected=known.expected,
        channel=CHANNELS.get(known.column, ""),
        position=at,
    )


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("−", "-").replace("\u202f", " ").replace("\xa0", " "))


def missing(story: Story, job: Job, page: Any) -> Iterator[str]:
    """What the story tells and a person who opens the job's card doesn't find there."""
    page.goto(reverse("records:job_card", args=[job.number]))
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    alts = page.evaluate("[...document.querySelectorAll('main img')].map((one) => one.alt).join('\\n')")
    card = _plain(f"{page.locator('main').inner_text()}\n{alts}").casefold()
    for act in story.acts:
        for fact in act.facts:
            if _plain(fact).casefold() not in card:
                yield f"{type(act).__name__}: {fact}"
