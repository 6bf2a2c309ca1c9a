"""Six whole repairs, played on the tablet's page by touch: what they cost in touches and letters, act by act.

RESULTS.md is what they cost on the commit that it names, and no story may cost more; `-s` prints what they cost now.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.bench.stories.acts import Known, Row, Story
from tests.bench.stories.hand import Hand
from tests.bench.stories.player import missing, play, the_job_of
from tests.bench.stories.repairs import STORIES
from tests.bench.stories.sheet_pages import SheetPages

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TABLET = {"width": 820, "height": 1180, "touch": True}


TABLE = Path(__file__).with_name("RESULTS.md")


def counted_before(name: str) -> tuple[int, int]:
    """Touches and letters of a story in the table beside this file."""
    row = re.search(
        rf"^\| {re.escape(name)} \| \d+ \| (\d+) \| (\d+) \|$", TABLE.read_text("utf-8"), re.MULTILINE
    )
    assert row is not None, f"{TABLE.name} has no row for {name}"
    return int(row[1]), int(row[2])


def costs_no_more_than_before(name: str, hand: Hand) -> None:
    """The story costs no more touches and letters than the table says."""
    told(name, hand)
    touches, letters = counted_before(name)
    assert sum(one.touches for one in hand.tallies.values()) <= touches
    assert sum(one.letters for one in hand.tallies.values()) <= letters


def told(name: str, hand: Hand) -> None:
    """Print a story's rows of the table."""
    lines = [
        f"| {name} | {kind} | {one.times} | {one.touches} | {one.letters} |"
        for kind, one in hand.tallies.items()
    ]
    times, touches, letters = (
        sum(getattr(one, what) for one in hand.tallies.values()) for what in ("times", "touches", "letters")
    )
    print("", *lines, f"| {name} | all | {times} | {touches} | {letters} |", sep="\n")  # noqa: T201


@pytest.mark.soak
@pytest.mark.parametrize("story", STORIES, ids=[story.name for story in STORIES])
def test_a_whole_repair_stands_on_the_card_as_it_was_told(
    browse: Any, technician, story: Story, tmp_path: Path
) -> None:
    job = the_job_of(story, technician)
    hand = Hand(browse(technician, **TABLET))
    play(story, SheetPages(hand, story, job, tmp_path))
    costs_no_more_than_before(story.name, hand)
    assert list(missing(story, job, hand.page)) == []


PLACES = {
    "18 pins of two tube sockets": (
        Row("V1", "voltage_dc", {f"pin {pin}": f"{9 + 13 * pin} V" for pin in range(1, 10)}),
        Row("V2", "voltage_dc", {f"pin {pin}": f"{7 + 11 * pin} V" for pin in range(1, 10)}),
    ),
    "a known place": (Row("TP4", "voltage_dc", {"": "11.9 V"}),),
    "a fresh place": (Row("IC3 pin 8", "voltage_dc", {"": "4.8 V"}),),
    "a fresh place with all that can be told": (
        Row(
            "Emitter of Q14",
            "current_ac",
            {"right": "41 mA"},
            expected="38 mA ± 10 %",
            against="R31 lifted",
            state="1 kHz, 4 ohm",
        ),
    ),
}


@pytest.mark.soak
@pytest.mark.parametrize("case", PLACES)
def test_readings_cost_what_the_table_says(browse: Any, technician, case: str, tmp_path: Path) -> None:
    story = Story(
        name=case,
        maker="Brontide",
        model="Fifteen",
        kind="amplifier",
        complaint="Crackles.",
        known=(Known("TP4", "voltage_dc", "12 V ± 5 %"),),
        acts=PLACES[case],
    )
    job = the_job_of(story, technician)
    hand = Hand(browse(technician, **TABLET))
    pages = SheetPages(hand, story, job, tmp_path)
    hand.page.goto(f"/bench/{job.number}/")
    play(story, pages)
    costs_no_more_than_before(case, hand)
    assert list(missing(story, job, hand.page)) == []
