"""What was typed at the bench is repeated so that it can be read later: never a bare number without its unit."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse

from shop.bench import models
from shop.bench.forms.safety import CELLS, LONGEST_PART, LONGEST_READING, PARTS
from tests.pages import words_on


def send(client, job, name: str, **typed: str):
    return client.post(reverse(f"bench:{name}", args=[job.number]), {"once": str(uuid.uuid4()), **typed})


# A number and its unit belong together, with a space between them: SI brochure, 9th edition, 5.4.3 (from memory)
@pytest.mark.parametrize(
    "typed, quantity, shown",
    [
        ("11,2", "voltage_dc", "11,2 V"),
        ("11.2", "voltage_dc", "11.2 V"),
        ("-12", "voltage_dc", "-12 V"),
        ("4k7", "resistance", "4k7"),
        ("22 mV", "voltage_dc", "22 mV"),
        ("OL", "resistance", "OL"),
        ("180", "gain", "180"),
    ],
)
def test_a_reading_stands_with_its_unit_on_the_bench_and_on_the_job_card(
    bench, job, typed: str, quantity: str, shown: str
) -> None:
    assert send(bench, job, "reading", typed=typed, quantity=quantity, where="TP4").status_code == 303
    assert models.Reading.objects.get().typed == typed
    page = words_on(bench.get(reverse("bench:job", args=[job.number])))
    assert f'<span class="reading-value">{shown}</span>' in page
    card = words_on(bench.get(reverse("records:job_card", args=[job.number])))
    assert f'<span class="read-value"><b>{shown}</b>' in card


def test_all_readings_of_a_safety_check_stand_in_full_with_their_units(bench, job) -> None:
    places = ("a_on", "a_off", "b_on", "b_off")
    hot = {f"hot_{part}_{place}": f"0.1{part}" for part in range(3) for place in places}
    names = {f"hot_{part}_where": f"Screw {part}" for part in range(3)}
    cold = {"cold_0_where": "Shell", "cold_0_ohm": "2M2", "cold_0_returns": "yes"}
    assert send(bench, job, "safety", sound="yes", **hot, **names, **cold).status_code == 303
    typed = dict(models.SafetyTest.objects.values_list("key", "typed"))
    positions = ("plug one way, on", "plug one way, off", "plug reversed, on", "plug reversed, off")
    assert typed["hot"].splitlines() == [
        f"Screw {part}: " + ", ".join(f"0.1{part} V ({position})" for position in positions)
        for part in range(3)
    ]
    assert typed["cold"] == "Shell: 2M2"


def test_the_longest_that_the_form_takes_of_a_safety_check_is_kept_whole() -> None:
    for test, cells in CELLS.items():
        # a unit of three letters, the position in brackets, a comma; then the test voltage and the lack of a path
        readings = sum(LONGEST_READING + 4 + len(cell.label) + 3 + 2 for cell in cells)
        assert PARTS * (LONGEST_PART + 2 + readings + 45) <= models.LONGEST_TYPED, test
