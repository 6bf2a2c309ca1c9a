"""The six repairs told by sentences on the tablet's page: what that costs in touches, beside one form for each line.

Acts in a row that can be said are one breath: a touch for the box, one for the tablet's dictation, one for each card that
waits for a touch of its own, and one to take what is sure. No letter is typed. An act that doesn't come out as it was
meant is done by hand on the pages of today, and that is counted as well. What can't be said is done as on the sheet.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from shop.bench import actions
from tests.bench.stories import acts
from tests.bench.stories.hand import Hand, Tally
from tests.bench.stories.player import the_job_of
from tests.bench.stories.repairs import STORIES
from tests.bench.stories.spoken_pages import SpokenPages
from tests.bench.stories.telling import TOLD, breaths
from tests.bench.stories.test_stories import TABLET

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RESULTS = Path(__file__).with_name("RESULTS.md")
Row = tuple[int, int, int, int, int, int]


def typed_costs(story: str) -> dict[str, Tally]:
    """What each kind of act cost in a story before the sheet, all its acts, from the table beside this file."""
    lines = [line for line in RESULTS.read_text("utf-8").splitlines() if line.startswith("| ")]
    head = next(line for line in lines if line.startswith("| kind of act"))
    column = [one.strip() for one in head.split("|")].index(story)
    found = {}
    for line in lines:
        cells = [one.strip() for one in line.split("|")]
        cost = re.fullmatch(r"(\d+) / (\d+)", cells[column]) if len(cells) > column else None
        if cost and hasattr(acts, cells[1]):
            found[cells[1]] = Tally(0, int(cost[1]), int(cost[2]))
    return found


def row_of(story: str) -> Row:
    """A story's row: acts that can be said, as meant, their touches, typed before; all touches of the story, and before."""
    row = re.search(rf"^\| {story} told ((?:\| \d+ ){{6}})\|$", RESULTS.read_text("utf-8"), re.MULTILINE)
    assert row is not None, f"{RESULTS.name} has no row for {story}"
    said, meant, touches, typed, whole, before = map(int, re.findall(r"\d+", row[1]))
    return said, meant, touches, typed, whole, before


def before_the_sheet(story: str) -> int:
    """The touches of a whole story on the commit that stands in the table “One form for each line”."""
    table = RESULTS.read_text("utf-8").split("## One form for each line")[1]
    row = re.search(rf"^\| {story} \| \d+ \| (\d+) \| \d+ \|$", table, re.MULTILINE)
    assert row is not None, f"{RESULTS.name} has no row for {story}"
    return int(row[1])


def touches_of(tallies: Iterable[Tally]) -> int:
    """Their touches in all."""
    return sum(one.touches for one in tallies)


def typed_before(story: acts.Story) -> int:
    """What the acts of a story that can be said cost in touches, one form for each line."""
    costs, kinds = typed_costs(story.name), {type(one).__name__ for one in story.acts if type(one) in TOLD}
    return sum(costs[kind].touches for kind in kinds)


@pytest.mark.soak
@pytest.mark.parametrize("story", STORIES, ids=[story.name for story in STORIES])
def test_a_repair_that_is_told_costs_no_more_touches_than_the_table_says(
    browse: Any, technician: Any, story: acts.Story, tmp_path: Path
) -> None:
    job = the_job_of(story, technician)
    hand = Hand(browse(technician, **TABLET))
    pages = SpokenPages(hand, story, job, tmp_path)
    told_in = {id(some[0]): some for some in breaths(story)}
    others = Tally()
    for act in story.acts:
        if id(act) in told_in:
            pages.tell(told_in[id(act)])
        elif type(act) not in TOLD:
            before = touches_of(hand.tallies.values())
            hand.begin(type(act).__name__)
            pages.do(act)
            others.touches += touches_of(hand.tallies.values()) - before
    whole = touches_of(hand.tallies.values())
    said = len(pages.meant) + len(pages.by_hand)
    sayable, typed, ever = whole - others.touches, typed_before(story), before_the_sheet(story.name)
    row = (said, len(pages.meant), sayable, typed, whole, ever)
    print("| " + " | ".join(map(str, (f"{story.name} told", *row))) + " |", pages.by_hand)  # noqa: T201
    told = row_of(story.name)
    assert (said, len(pages.meant)) >= told[:2]
    assert sayable <= told[2]
    assert whole <= told[4]


def test_a_breath_of_a_dozen_acts_costs_a_third_of_the_touches_that_its_forms_cost(
    browse: Any, technician: Any, tmp_path: Path
) -> None:
    story = next(one for one in STORIES if one.name == "cassette deck")
    breath = max(breaths(story), key=len)
    job = the_job_of(story, technician)
    actions.start_stint(job=job, by=technician)
    hand = Hand(browse(technician, **TABLET))
    pages = SpokenPages(hand, story, job, tmp_path)
    hand.page.goto(f"/bench/{job.number}/")
    pages.tell(breath)
    assert len(breath) >= 8
    assert pages.by_hand == []
    costs = typed_costs(story.name)
    times = Counter(type(one).__name__ for one in story.acts)
    typed = sum(costs[kind].touches / times[kind] for kind in (type(one).__name__ for one in breath))
    assert touches_of(hand.tallies.values()) <= typed / 3
