"""Tasks 4 and 7: the tag in hand until the pause, and repaired until ready."""

from __future__ import annotations

import pytest

from shop.bench.models import Conclusion, Evidence, Finding, LeftOff, Reading, SafetyCheck, SoakTest, Stint
from shop.counter.models import JobPicture
from shop.counter.stages import Stage
from tests.factories.bench import on_the_bench
from tests.factories.counter import UnitFactory, UnitModelFactory, booked_in
from tests.journeys.ten_tasks.counter import Screen

pytestmark = [pytest.mark.browser, pytest.mark.soak, pytest.mark.django_db(transaction=True)]


def panel(tablet: Screen, name: str) -> None:
    """Open a panel by its door in the dock; one that is open is left alone."""
    if not tablet.page.locator(f"#{name}.is-open").count():
        tablet.panel(f'.bench-dock [data-opens="{name}"]')


def note(tablet: Screen, name: str, button: str = "Note it") -> None:
    tablet.click(tablet.page.locator(f"#{name}").get_by_role("button", name=button))


def reading(tablet: Screen, where: str, expected: str, shows: str) -> None:
    """A reading at a place that the model file doesn't know; the value is one field, whatever its digits are typed on."""
    panel(tablet, "reading")
    tablet.page.locator("#reading-where").fill(where)
    tablet.click('.keypad-quick [data-quantity="voltage_dc"]')
    tablet.page.locator("#reading-expected").fill(expected)
    tablet.page.locator("#reading-typed").fill(shows)
    tablet.count.fields += 3
    tablet.click("#reading .key-done")


@pytest.mark.parametrize("task_named", ["4 bench"])
def test_an_evening_at_the_bench_until_the_pause(at_tablet, set_up, task, photo, task_named: str) -> None:
    model = UnitModelFactory(name="Halo 3", kind="synthesizer", protection_class="I")
    job = booked_in(unit=UnitFactory(model=model), by=set_up, complaint="Left output dead.")
    tablet = at_tablet(set_up, task)
    tablet.link(f"Start work {job.number}")
    tablet.click(".hazards.is-unread > summary")
    tablet.button("Start the clock")
    reading(tablet, "+12 V rail", "12 V ± 5 %", "12.1 V")
    reading(tablet, "Output op-amp, left", "0 ± 50 mV", "11.2 V")
    reading(tablet, "Output op-amp, right", "0 ± 50 mV", "3 mV")
    panel(tablet, "finding")
    tablet.page.locator("#finding-text").fill("Left output stuck at the positive rail: op-amp U14 gone.")
    tablet.count.fields += 1
    note(tablet, "finding")
    panel(tablet, "evidence")
    tablet.fill(where="C40", marking="0231")
    note(tablet, "evidence")
    tablet.choose("kind", "device")
    tablet.fill(where="U14, left only", marking="TL072", note="right is an NE5532")
    note(tablet, "evidence")
    task.pages += 1  # the panel of photographs, and the camera over it
    with tablet.page.expect_file_chooser() as chooser:
        tablet.click('.bench-dock [data-opens="photos"]')
    chooser.value.set_files(photo)
    task.fields += 1
    tablet.settle()
    tablet.page.locator("#stop-text").fill(
        "U14 marked, board out, screws in tray 2. Next: replace both sides."
    )
    tablet.count.fields += 1
    tablet.button("Pause")
    assert Reading.objects.filter(job=job, verdict="high").count() == 1
    assert (Finding.objects.filter(job=job).count(), Evidence.objects.filter(job=job).count()) == (1, 2)
    assert LeftOff.objects.get(job=job).text.startswith("U14 marked")
    assert JobPicture.objects.filter(job=job).count() == 1
    assert Stint.objects.get(job=job).stopped_at is not None


@pytest.mark.parametrize("task_named", ["7 ready"])
def test_a_repaired_unit_is_proved_and_called_ready(at_tablet, set_up, task, task_named: str) -> None:
    job = on_the_bench(set_up)
    tablet = at_tablet(set_up, task)
    tablet.link(f"Bench {job.number}")
    tablet.click(".hazards.is-unread > summary")
    tablet.panel(tablet.page.get_by_role("link", name="Write the conclusion"))
    tablet.fill(failed="Capstan motor", remedy="New motor and belt, speed set.")
    tablet.choose("mode", "worn")
    note(tablet, "conclusion", "Save the conclusion")
    tablet.panel(tablet.page.get_by_role("link", name="Put it on soak test"))
    note(tablet, "soak", "Start the soak test")
    tablet.panel(tablet.page.get_by_role("link", name="Log a check"))
    tablet.fill(temperature="38", note="steady")
    note(tablet, "soak_check")
    tablet.panel(tablet.page.get_by_role("link", name="End the soak test"))
    tablet.fill(note="Ran all evening.")
    note(tablet, "soak_end", "Passed")
    tablet.link("Safety check", within="#bench-next")
    safety(tablet)
    tablet.button("Evaluate and save")
    job.refresh_from_db()
    assert job.stage == Stage.READY
    assert Conclusion.objects.filter(job=job).exists()
    assert SoakTest.objects.get(job=job).result == "passed"
    assert SafetyCheck.objects.get(job=job).outcome == "passed"


def safety(tablet: Screen) -> None:
    """Every reading that the unit owes, at the first part of each test; the metal of the shell floats."""
    tablet.choose("sound", "yes")
    tablet.choose("cold_0_returns", "no")
    for box in tablet.page.locator("fieldset.group input:visible").all():
        name = box.get_attribute("name") or ""
        if box.get_attribute("type") in {"checkbox", "radio"} or name in {"sound_note", "hot_0_where"}:
            continue
        values = {"where": "headphone shell", "conductor": "0.12 ohm", "insulation": "40M", "cold": "2.4M"}
        box.fill(
            next(
                (value for word, value in values.items() if word in name.split("_")[-1] or word in name),
                "0.06 V",
            )
        )
        tablet.count.fields += 1
