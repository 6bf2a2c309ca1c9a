"""The bench by touch: what an act costs in touches, targets for a knuckle, contrast for arm's length, nothing for axe to find."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from playwright.sync_api import expect

from shop.bench import actions, models
from shop.counter.models import Job, JobPicture
from shop.counter.stages import Stage
from shop.stockroom.actions import fit_part
from shop.stockroom.models import PartFitted
from tests.bench.page_cases import jpeg
from tests.factories.bench import a_meter, on_the_bench, readings
from tests.factories.counter import UnitFactory
from tests.factories.stockroom import a_part
from tests.premises.test_house_browser import SMALL_TARGETS, spills, violations

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TABLET, PHONE = (820, 1180), (390, 844)


def at(job, name: str = "job", *args) -> str:
    return reverse(f"bench:{name}", args=[job.number, *args])


@pytest.fixture
def busy_job(job, technician):
    """A job with something of everything: lines, a photograph, a meter, a running clock."""
    a_meter(technician)
    readings(job, technician, "11.9 V", "2.9 V", "OL", "581 mV")
    actions.add_finding(job=job, text="Motor case hot, belt shiny.", by=technician)
    actions.add_evidence(job=job, kind="date_code", where="Q702", marking="9148", by=technician)
    photo = SimpleUploadedFile("motor.jpg", jpeg(), "image/jpeg")
    actions.add_pictures(job=job, photos=[photo], by=technician, caption="The motor board")
    actions.start_stint(job=job, by=technician)
    earlier = on_the_bench(technician, unit=UnitFactory(model=job.unit.model))
    fit_part(
        job=earlier,
        part=a_part(technician, number="B-71", description="Belt, flat, 71 mm", there=9),
        by=technician,
    )
    actions.conclude(
        job=earlier,
        failed="Capstan motor",
        mode="worn",
        remedy="New motor.",
        outcome="repaired",
        by=technician,
    )
    return job


ENHANCED = {"runOnly": {"type": "rule", "values": ["color-contrast-enhanced"]}}
PANELS = (
    *("reading", "finding", "part", "list", "evidence", "photos", "temporary", "checklist"),
    *("conclusion", "want", "soak", "ready"),
)


def look_over(page: Any, address: str) -> None:
    """axe finds nothing, text reaches 7:1, targets are 48 pixels high, nothing spills over the edge."""
    assert violations(page) == [], address
    contrast = Axe().run(page, options=ENHANCED).response["violations"]
    assert [node["html"][:100] for one in contrast for node in one["nodes"]] == [], address
    assert page.evaluate(SMALL_TARGETS) == [], address
    assert spills(page) == 0, address


@pytest.mark.parametrize("width, height, scheme", [(*TABLET, "light"), (*PHONE, "dark")])
def test_the_bench_page_and_its_panels_are_legible_and_large(
    browse: Any, technician, busy_job, width: int, height: int, scheme: str
) -> None:
    page = browse(
        technician, width=width, height=height, touch=True, color_scheme=scheme, reduced_motion="reduce"
    )
    page.goto(at(busy_job))
    # laid over a control, the dock would seem to make it smaller; it moves away as one scrolls
    page.evaluate("document.querySelector('.bench-dock').style.position = 'static'")
    look_over(page, "the page with its cautions")
    page.locator(".hazards.is-unread > summary").tap()
    # opened is read: one touch, and it stays open
    page.locator(".hazards[open]:not(.is-unread)").wait_for()
    # all panels at once: each is a form of its own, and axe takes its time
    page.evaluate(
        "for (const panel of document.querySelectorAll('.bench-panel, details')) "
        "{ panel.classList.add('is-open'); if (panel.matches('details')) panel.open = true; }"
    )
    assert {panel for panel in PANELS if page.locator(f"#{panel}.is-open").count()} == set(PANELS)
    look_over(page, "the panels")
    still = "getComputedStyle(document.querySelector('.clock-running'), '::before').animationDuration"
    assert float(page.evaluate(still).rstrip("s")) < 0.01


def test_the_other_pages_of_the_bench_are_legible_and_large(browse: Any, technician, busy_job) -> None:
    photo = JobPicture.objects.get(job=busy_job)
    finding = models.Finding.objects.get()
    stint = models.Stint.objects.get(stopped_at=None)
    addresses = [
        reverse("bench:bench"),
        at(busy_job, "safety"),
        at(busy_job, "photo", photo.pk),
        at(busy_job, "strike", "finding", finding.pk),
        at(busy_job, "mend_stint", stint.pk),
        at(busy_job, "model_file"),
        at(busy_job, "matched_set"),
        at(busy_job, "reservoir"),
        at(busy_job, "limits"),
        reverse("bench:sums"),
        f"{reverse('bench:sum', args=['fuse'])}?original=T2AL250V&candidate=2A&job={busy_job.number}",
        reverse("bench:meters"),
        reverse("bench:meter", args=[models.Meter.objects.get().pk]),
    ]
    page = browse(technician, width=820, height=1180, touch=True)
    proving = Job.objects.exclude(pk=busy_job.pk).get()
    actions.start_soak(job=proving, planned_seconds=3600, check_every_seconds=5, by=technician)
    page.goto(reverse("bench:bench"))
    bell = page.get_by_role("link", name=f"Time to check on {proving.number}")
    assert not bell.is_visible()
    bell.wait_for()
    look_over(page, "the bench while the bell rings")
    bell.tap()
    page.locator("#soak_check.is-open").wait_for()
    for address in addresses:
        page.goto(address)
        look_over(page, address)


def test_everything_on_the_bench_page_is_reached_by_keyboard(browse: Any, technician, busy_job) -> None:
    page = browse(technician, width=820, height=1180)
    page.goto(at(busy_job) + "#reading")
    page.locator("#reading.is-open").wait_for()
    page.wait_for_load_state("networkidle")
    wanted = page.evaluate(MARK_WHAT_IS_REACHED)
    page.evaluate("document.querySelector('.skip').focus()")
    met: set[int] = set()
    for _ in range(wanted + 40):
        page.keyboard.press("Tab")
        met |= set(page.evaluate(REACHED))
    missed = set(range(wanted)) - met
    assert [page.evaluate(SHOW, one) for one in sorted(missed)] == []


# A group of radio buttons is one stop; the arrow keys go on from there.
MARK_WHAT_IS_REACHED = """() => {
  const all = 'main :is(a[href], button, summary, select, input:not([type=hidden]), textarea)';
  const seen = [...document.querySelectorAll(all)].filter((one) => one.checkVisibility() && !one.disabled);
  seen.forEach((one, at) => { one.dataset.wanted = at; });
  return seen.length;
}"""
REACHED = """() => {
  const here = document.activeElement;
  const group = here.type === 'radio' ? [...here.form.querySelectorAll(`[name="${here.name}"]`)] : [here];
  return group.map((one) => Number(one.dataset.wanted)).filter((one) => one >= 0);
}"""
SHOW = "(at) => document.querySelector(`[data-wanted='${at}']`).outerHTML.slice(0, 90)"


# --- what an act costs ----------------------------------------------------------------------------------------------


def written(page: Any) -> Any:
    """What stands in the record, without what waits to be sent."""
    return page.locator("#bench-record > section:not(#bench-unsent)")


SENT = "body:not([aria-busy]):not(:has(#bench-unsent))"


class Hand:
    """One hand on a tablet: counts touches and takes the time. Letters and the digits of a value are not counted: they
    are the words themselves, whatever they are written with."""

    def __init__(self, page: Any) -> None:
        self.page, self.touches, self.began = page, 0, 0.0
        self.costs: dict[str, tuple[int, float]] = {}

    def act(self, name: str) -> None:
        self.name, self.touches, self.began = name, 0, time.perf_counter()

    def touch(self, target: str | Any) -> None:
        place = self.page.locator(target).first if isinstance(target, str) else target
        place.tap()
        self.touches += 1

    def press_value(self, digits: str) -> None:
        for digit in digits:
            self.page.locator(f'#reading [data-key="{digit}"]').tap()

    def done(self, sign: Any) -> None:
        sign.first.wait_for()
        self.page.locator(SENT).wait_for()
        self.costs[self.name] = (self.touches, time.perf_counter() - self.began)


def told_in_the_guide() -> dict[str, int]:
    """The table beside the benchmarks: what each act costs."""
    text = (Path(settings.BASE_DIR) / "tests" / "benchmarks" / "RESULTS.md").read_text(encoding="utf-8")
    table = text.split("## What an act at the bench costs")[1].split("\n## ")[0]
    return {
        name: int(touches) for name, touches in re.findall(r"^\| ([^|]+?) \| (\d+) \|", table, re.MULTILINE)
    }


def test_the_acts_of_the_bench_cost_no_more_touches_than_the_guide_says(
    browse: Any, technician, busy_job, tmp_path
) -> None:
    actions.read_cautions(
        job=busy_job, keys=["mains-cover", "charged-capacitors", "series-lamp"], by=technician
    )
    actions.stop_running_stint(job=busy_job, by=technician)
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(at(busy_job))
    hand = Hand(page)
    clock_and_lines(hand)
    parts_and_pictures(hand, tmp_path)
    to_the_end(hand)
    assert (models.Finding.objects.count(), models.Evidence.objects.count()) == (2, 2)
    assert models.Reading.objects.filter(typed="412 mV", verdict="low", channel="R").exists()
    assert models.Reading.objects.filter(typed="11.9 V", where="IC3 pin 8").exists()
    assert PartFitted.objects.filter(job=busy_job).count() == 2
    busy_job.refresh_from_db()
    assert busy_job.stage == Stage.PROVING
    print({name: f"{touches} touches, {seconds:.1f} s" for name, (touches, seconds) in hand.costs.items()})  # noqa: T201
    assert {name: touches for name, (touches, _) in hand.costs.items()} == told_in_the_guide()


def clock_and_lines(hand: Hand) -> None:
    page = hand.page
    hand.act("Start the clock")
    hand.touch(page.get_by_role("button", name="Go on"))
    hand.done(page.get_by_role("button", name="Pause"))
    hand.act("Reading at a test point")
    hand.touch('[data-opens="reading"]')
    hand.touch('#reading label:has-text("Line out R")')
    hand.press_value("412")
    hand.touch("#reading .key-done")
    hand.done(written(page).get_by_text("412 mV"))
    hand.act("Reading at another place")
    hand.touches += 1  # the door, as before
    hand.touch('#reading label:has-text("Another place")')
    expect(page.locator("#reading-where")).to_be_focused()
    page.keyboard.type("IC3 pin 8")
    hand.touch('.keypad-quick [data-quantity="voltage_dc"]')
    hand.press_value("11.9")
    hand.touch("#reading .key-done")
    hand.done(written(page).get_by_text("IC3 pin 8"))
    hand.act("Finding")
    hand.touch('[data-opens="finding"]')
    # letters that come before the panel has opened would be shortcuts
    expect(page.locator("#finding textarea")).to_be_focused()
    page.keyboard.type("Dry joint at the motor plug.")
    hand.touch(page.locator("#finding").get_by_role("button", name="Note it"))
    hand.done(written(page).get_by_text("Dry joint"))
    hand.act("Evidence of earlier work")
    hand.touch('[data-opens="evidence"]')
    hand.touch('#evidence label:has-text("Date code")')
    hand.touch("#evidence-where")
    page.keyboard.type("C12")
    hand.touch("#evidence-marking")
    page.keyboard.type("8012")
    page.locator("#evidence-judged").get_by_text("can be original").first.wait_for()
    hand.touch(page.locator("#evidence").get_by_role("button", name="Note it"))
    hand.done(written(page).get_by_text("8012"))


def parts_and_pictures(hand: Hand, tmp_path: Path) -> None:
    page = hand.page
    hand.act("Part that this model had before")
    hand.touch('[data-opens="part"]')
    hand.touch('#part label.tile:has-text("B-71")')
    hand.touch(page.locator("#part").get_by_role("button", name="Fit it"))
    hand.done(written(page).get_by_text("Belt, flat"))
    hand.act("Part found by a word")
    hand.touches += 1  # the door, as before
    hand.touch("#part-drawer")
    page.keyboard.type("belt")
    page.locator("#part label.tile").get_by_text("B-71").wait_for()
    hand.touch("#part-position")
    page.keyboard.type("Capstan")
    hand.touch(page.locator("#part").get_by_role("button", name="Fit it"))
    hand.done(written(page).get_by_text("Capstan", exact=True))
    shot = tmp_path / "shot.jpg"
    shot.write_bytes(jpeg())
    before = page.locator(".photos > li").count()
    hand.act("Photograph")
    with page.expect_file_chooser() as chooser:
        hand.touch('[data-opens="photos"]')
    hand.touches += 1  # the camera's own release
    chooser.value.set_files(shot)
    hand.done(page.locator(".photos > li").nth(before))


def to_the_end(hand: Hand) -> None:
    page = hand.page
    hand.act("Conclusion")
    hand.touch(page.get_by_role("link", name="Write the conclusion").first)
    hand.touch("#conclusion-failed")
    page.keyboard.type("Capstan motor")
    hand.touch('#conclusion label:has-text("Worn")')
    hand.touch("#conclusion-remedy")
    page.keyboard.type("New motor and belt.")
    hand.touch(page.locator("#conclusion").get_by_role("button", name="Save the conclusion"))
    hand.done(written(page).get_by_text("New motor and belt."))
    # what comes next has come into sight
    expect(page.get_by_role("link", name="Put it on soak test")).to_be_in_viewport()
    hand.act("Soak test")
    hand.touch(page.get_by_role("link", name="Put it on soak test"))
    hand.touch(page.locator("#soak").get_by_role("button", name="Start the soak test"))
    hand.done(page.locator("#soak-bar"))
    hand.act("Soak-test check")
    hand.touch(page.get_by_role("link", name="Log a check").first)
    hand.touch("#soak_check-temperature")
    page.keyboard.type("41")
    hand.touch(page.locator("#soak_check").get_by_role("button", name="Note it"))
    hand.done(written(page).get_by_text("41 °C"))
    hand.act("Strike a line out")
    hand.touch(page.locator('summary:has-text("Dry joint")'))
    hand.touch(page.locator(".line-fold[open]").get_by_role("link", name="Strike out"))
    hand.touch(page.get_by_role("button", name="It was something else"))
    hand.done(page.locator(".is-struck").first)
    hand.act("Pause the clock")
    hand.touch(page.get_by_role("button", name="Pause"))
    hand.done(page.get_by_role("button", name="Go on"))
