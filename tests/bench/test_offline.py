"""Nothing is lost when the network is: noted on the device, sent once, in order, whatever happens in between."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.db import connection
from django.urls import reverse
from playwright.sync_api import expect

from shop.bench import actions, models
from shop.bench.sums import SUMS
from shop.counter.models import JobPicture
from shop.counter.papers import tag_address
from shop.frame.models import OnceKey
from shop.frame.profile import the_profile
from tests.bench.page_cases import jpeg
from tests.conftest import session_cookie

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ENTRIES, PHOTOS = 40, 6
CAUTIONS = ["mains-cover", "charged-capacitors", "series-lamp"]


def at(job, name: str = "job") -> str:
    return reverse(f"bench:{name}", args=[job.number])


@pytest.fixture
def job(job, technician):
    """A job whose cautions were read."""
    actions.read_cautions(job=job, keys=CAUTIONS, by=technician)
    return job


@pytest.fixture
def shots(tmp_path: Path) -> list[Path]:
    """Photographs as a camera leaves them."""
    paths = [tmp_path / f"shot{one}.jpg" for one in range(PHOTOS)]
    for path in paths:
        path.write_bytes(jpeg())
    return paths


Profile = Callable[..., Any]


@pytest.fixture
def profile(playwright: Any, browser_type_launch_args: dict[str, Any], tmp_path: Path) -> Iterator[Profile]:
    """Open a browser that remembers between two openings, as a tablet does; returns its page, signed in."""
    opened: list[Any] = []

    def open_it(staff: Any, address: str, *, arguments: tuple[str, ...] = (), name: str = "tablet") -> Any:
        context = playwright.chromium.launch_persistent_context(
            str(tmp_path / name),
            **{**browser_type_launch_args, "args": [*browser_type_launch_args["args"], *arguments]},
            base_url=address,
            viewport={"width": 820, "height": 1180},
            has_touch=True,
        )
        opened.append(context)
        if staff is not None:
            context.add_cookies([session_cookie(staff, address)])
        return context.pages[0]

    yield open_it
    for context in opened:
        context.close()


def note(page: Any, text: str, *, waiting: int | None = None) -> None:
    """Note a finding with the panel's own form."""
    if not page.locator("#finding.is-open").count():
        page.locator('[data-opens="finding"]').tap()
    page.locator("#finding-text").fill(text)
    page.locator("#finding").get_by_role("button", name="Note it").tap()
    if waiting is not None:
        count_says(page, waiting)


def count_says(page: Any, waiting: int) -> None:
    words = f"{waiting} note not sent yet" if waiting == 1 else f"{waiting} notes not sent yet"
    page.locator("#outbox").get_by_text(words, exact=True).wait_for(timeout=20_000)


def all_sent(page: Any) -> None:
    page.locator("#outbox").wait_for(state="hidden", timeout=60_000)


def reading(page: Any, volts: str) -> None:
    if not page.locator("#reading.is-open").count():
        page.locator('[data-opens="reading"]').tap()
    page.locator('#reading label:has-text("TP4")').tap()
    for digit in volts:
        page.locator(f'#reading [data-key="{digit}"]').tap()
    page.locator("#reading .key-done").tap()


def photograph(page: Any, shot: Path) -> None:
    page.locator('#photos input[type="file"]').set_input_files(shot)


def test_forty_notes_and_six_photographs_outlive_a_dead_network_and_a_closed_browser(
    profile: Profile, live_server: Any, technician, job, shots: list[Path]
) -> None:
    page = profile(technician, live_server.url)
    page.goto(reverse("bench:bench"))
    page.goto(at(job))
    assert page.evaluate("window.isSecureContext")
    kept = "async (address) => Boolean(await caches.match(address, { ignoreVary: true }))"
    wait_until(lambda: page.evaluate(kept, at(job)), "the worker keeps the bench page")
    wait_until(lambda: page.evaluate(TAGS_LOOKED_AFTER), "the worker looks after the tags")
    page.context.set_offline(True)
    expected = []
    for number in range(1, ENTRIES + 1):
        if number % 10 == 0:
            reading(page, f"12.{number}")
            expected.append(f"12.{number} V")
        else:
            note(page, f"Note {number}.")
            expected.append(f"Note {number}.")
        count_says(page, number)
    page.locator('[data-opens="photos"]').evaluate("door => { location.hash = door.dataset.opens; }")
    for number, shot in enumerate(shots, start=1):
        photograph(page, shot)
        count_says(page, ENTRIES + number)
    assert models.Finding.objects.count() == 0
    page.context.close()

    page = profile(technician, live_server.url)
    page.context.set_offline(True)
    # the camera app opens the tag's code: the worker leads on to the bench page that it kept
    page.goto(urlsplit(tag_address(job)).path)
    assert urlsplit(page.url).path == at(job)
    count_says(page, ENTRIES + PHOTOS)
    assert page.locator("#bench-unsent .line").count() == ENTRIES + PHOTOS
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    assert in_order(job) == expected
    assert JobPicture.objects.filter(job=job).count() == PHOTOS
    assert OnceKey.objects.exclude(verb="caution.read").count() == ENTRIES + PHOTOS
    page.locator("#bench-record").get_by_text("Note 39.").wait_for()
    page.context.set_offline(True)
    page.goto("/t/26-9999-A")
    page.get_by_role("heading", name="No network").wait_for()
    page.get_by_role("link", name="To the bench").tap()
    page.get_by_role("heading", name="Bench", exact=True).wait_for()
    page.context.close()


def test_a_calculator_opens_without_network_and_its_answer_is_noted_later(
    browse: Any, technician: Any, job: Any
) -> None:
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(at(job))
    kept = "async (address) => Boolean(await caches.match(address, { ignoreVary: true }))"
    last = reverse("bench:sum", args=[list(SUMS)[-1]])
    wait_until(lambda: page.evaluate(kept, last), "the worker keeps the calculators", seconds=60)
    page.context.set_offline(True)
    page.goto(f"{reverse('bench:sum', args=['idle-current'])}?job={job.number}")
    page.locator("#sum-volt").fill("22 mV")
    page.locator("#sum-first").fill("0R22")
    page.locator("[data-keep]").tap()
    page.get_by_text("Kept on this tablet").wait_for()
    page.locator("#outbox").get_by_text("1 note not sent yet").wait_for()
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    assert "Idle current: 100 mA" in models.Finding.objects.get(job=job).text
    browse.complaints.clear()  # the browser's own words for the lost network


HOW_MANY_KEPT = """async () => {
  const names = (await caches.keys()).filter((name) => name.startsWith("bench-"));
  const counts = names.map(async (name) => (await (await caches.open(name)).keys()).length);
  return (await Promise.all(counts)).reduce((a, b) => a + b, 0);
}"""
GROW_OLD = """async ([address, hours]) => {
  const [name] = (await caches.keys()).filter((one) => one.startsWith("bench-"));
  const cache = await caches.open(name);
  const kept = await cache.match(address, { ignoreVary: true });
  const headers = new Headers(kept.headers);
  headers.set("x-kept-at", String(Date.now() - hours * 3600000));
  await cache.put(address, new Response(await kept.blob(), { status: 200, headers }));
}"""


def test_kept_pages_go_after_the_hours_of_the_shop_and_where_a_session_ended(
    browse: Any, technician: Any, job: Any
) -> None:
    hours = the_profile().kept_hours
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(at(job))
    kept = "async (address) => Boolean(await caches.match(address, { ignoreVary: true }))"
    wait_until(lambda: page.evaluate(kept, at(job)), "the worker keeps the page", seconds=60)
    last = reverse("bench:sum", args=[list(SUMS)[-1]])
    wait_until(lambda: page.evaluate(kept, last), "the worker has kept them all", seconds=60)
    page.context.set_offline(True)
    page.evaluate(GROW_OLD, [at(job), hours - 1])
    page.goto(at(job))
    page.locator('[data-opens="finding"]').wait_for()
    page.evaluate(GROW_OLD, [at(job), hours + 1])
    page.goto(at(job))
    page.get_by_role("heading", name="No network").wait_for()
    wait_until(lambda: not page.evaluate(kept, at(job)), "the page that is over is put away")
    page.context.set_offline(False)
    page.goto(at(job))
    wait_until(lambda: page.evaluate(HOW_MANY_KEPT) > 0, "pages are kept again")
    page.context.clear_cookies()  # the session ended by itself
    page.goto(at(job))
    wait_until(lambda: page.evaluate(HOW_MANY_KEPT) == 0, "nothing is kept at the door")
    browse.complaints.clear()  # the browser's own words for the lost network


TAGS_LOOKED_AFTER = """async () => Boolean((await navigator.serviceWorker.getRegistrations())
  .find((one) => new URL(one.scope).pathname === "/t/")?.active)"""


def reached(shop: Any, share: int) -> bool:
    return len(shop.findings()) >= share


def wait_until(holds: Callable[[], bool], what: str, seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if holds():
            return
        time.sleep(0.1)
    raise AssertionError(f"Waited {seconds} s for this: {what}.")


def in_order(job) -> list[str]:
    """What was noted on the job, in the order in which the server took it, by the moments at which it was noted."""
    lines = [(one.pk, one.at, one.text) for one in models.Finding.objects.filter(job=job).order_by("pk")]
    assert [at for _, at, _ in lines] == sorted(at for _, at, _ in lines)
    both = [(one.at, one.text) for one in models.Finding.objects.filter(job=job)]
    both += [(one.at, one.typed) for one in models.Reading.objects.filter(job=job)]
    return [words for _, words in sorted(both)]


def test_plain_http_keeps_what_is_noted_and_says_that_no_page_opens_without_network(
    profile: Profile, live_server: Any, technician, job, shots: list[Path], settings: Any
) -> None:
    settings.ALLOWED_HOSTS = ["*"]
    port = live_server.url.rpartition(":")[2]
    address = f"http://shop-pc.example:{port}"
    arguments = ("--host-resolver-rules=MAP shop-pc.example 127.0.0.1",)
    page = profile(technician, address, arguments=arguments)
    page.goto(at(job))
    assert not page.evaluate("window.isSecureContext")
    assert page.evaluate("typeof crypto.randomUUID + typeof navigator.serviceWorker") == "undefinedundefined"
    page.get_by_text("no page opens without network").wait_for()
    page.context.set_offline(True)
    for number in range(1, 6):
        note(page, f"Note {number}.", waiting=number)
    page.locator('[data-opens="photos"]').evaluate("door => { location.hash = door.dataset.opens; }")
    photograph(page, shots[0])
    count_says(page, 6)
    page.context.close()

    page = profile(technician, address, arguments=arguments)
    page.goto(at(job))
    all_sent(page)
    assert in_order(job) == [f"Note {number}." for number in range(1, 6)]
    assert JobPicture.objects.filter(job=job).count() == 1
    assert len(set(models.Finding.objects.values_list("entry", flat=True))) == 5
    page.context.close()


def test_two_devices_on_one_job_never_write_over_one_another(browse: Any, technician, job) -> None:
    pages = [browse(technician, width=820, height=1180, touch=True) for _ in range(2)]
    for page in pages:
        page.goto(at(job))
        page.context.set_offline(True)
    for number in range(1, 9):
        for name, page in zip("AB", pages, strict=True):
            note(page, f"{name}{number}", waiting=number)
    for page in pages:
        page.context.set_offline(False)
        page.evaluate("window.dispatchEvent(new Event('online'))")
    for page in pages:
        all_sent(page)
    taken = list(models.Finding.objects.order_by("pk").values_list("text", flat=True))
    for name in "AB":
        assert [one for one in taken if one.startswith(name)] == [f"{name}{number}" for number in range(1, 9)]
    assert len(taken) == 16
    browse.complaints.clear()  # the browser's own words for the lost network


def test_a_refused_note_stays_with_its_reason_until_it_is_mended(browse: Any, technician, job) -> None:
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(at(job))
    page.context.set_offline(True)
    page.locator('[data-opens="reading"]').tap()
    page.locator('#reading label:has-text("TP4")').tap()
    page.locator("#reading-typed").fill("4k7x")
    page.locator("#reading .key-done").tap()
    count_says(page, 1)
    note(page, "After the wrong one.", waiting=2)
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    box = page.locator("#outbox")
    box.get_by_text("1 note refused", exact=True).wait_for()
    box.get_by_text("can't be read").wait_for()
    assert models.Finding.objects.get().text == "After the wrong one."
    page.reload()
    box.get_by_text("1 note refused", exact=True).wait_for()
    box.get_by_role("button", name="Fix").tap()
    expect(page.locator("#reading-typed")).to_have_value("4k7x")
    page.locator("#reading-typed").fill("11.9 V")
    page.locator("#reading .key-done").tap()
    all_sent(page)
    assert models.Reading.objects.get().typed == "11.9 V"
    browse.complaints.clear()


def test_a_clock_started_and_stopped_without_network_keeps_its_times(browse: Any, technician, job) -> None:
    page = browse(technician, width=390, height=844, touch=True)
    page.goto(at(job))
    page.context.set_offline(True)
    page.get_by_role("button", name="Start the clock").tap()
    page.get_by_role("button", name="Pause").wait_for()
    page.wait_for_timeout(7000)
    page.get_by_role("button", name="Pause").tap()
    count_says(page, 2)
    page.wait_for_timeout(6000)
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    stint = models.Stint.objects.get()
    assert stint.stopped_at is not None
    assert 5 <= stint.seconds <= 11
    browse.complaints.clear()


# --- the server dies ---------------------------------------------------------------------------------------------------


class Shop:
    """A server of its own over a copy of this test's book, to be killed."""

    def __init__(self, home: Path) -> None:
        self.home = home
        home.mkdir()
        connection.close()
        shutil.copy(connection.settings_dict["NAME"], home / "shop.sqlite3")
        shutil.copy(Path(settings.SHOP_DATA) / "secret-key", home / "secret-key")
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.address = f"http://localhost:{self.port}"

    def open(self) -> None:
        environ = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
        environ.pop("DATABASE_URL", None)
        environ |= {"SHOP_DATA": str(self.home), "SHOP_DEBUG": "1"}
        served = (
            "from shop.wsgi import application; from shop.front_door.porch.server import Porch;"
            f"Porch(application, bind='127.0.0.1', port={self.port}).run()"
        )
        command = ["-c", served]
        self.process = subprocess.Popen(
            [sys.executable, *command], cwd=settings.BASE_DIR, env=environ, start_new_session=True
        )
        wait_until(self.answers, "the server answers", 40)

    def answers(self) -> bool:
        with socket.socket() as probe:
            return probe.connect_ex(("127.0.0.1", self.port)) == 0

    def kill(self) -> None:
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def findings(self) -> list[str]:
        with sqlite3.connect(self.home / "shop.sqlite3", timeout=10) as book:
            return [text for (text,) in book.execute("SELECT text FROM bench_finding ORDER BY id")]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    shop = Shop(tmp_path / "shop")
    yield shop
    if shop.process.poll() is None:
        shop.kill()


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_a_server_that_is_killed_while_notes_are_sent_takes_each_of_them_once(
    new_context: Callable[..., Any], technician, job, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    cookie = session_cookie(technician, "http://localhost")
    shop: Shop = request.getfixturevalue("shop")  # copies the book, with the session in it
    shop.open()
    context = new_context(base_url=shop.address, viewport={"width": 820, "height": 1180}, has_touch=True)
    context.add_cookies([{**cookie, "url": shop.address}])
    page = context.new_page()
    page.goto(at(job))
    context.set_offline(True)
    expected = [f"Note {number}." for number in range(1, ENTRIES + 1)]
    for number, text in enumerate(expected, start=1):
        note(page, text, waiting=number)
    context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    for share in (8, 22):
        wait_until(partial(reached, shop, share), f"{share} notes are taken")
        shop.kill()
        assert shop.findings() == expected[: len(shop.findings())]
        page.wait_for_timeout(300)
        shop.open()
        page.evaluate("window.dispatchEvent(new Event('online'))")
    all_sent(page)
    assert shop.findings() == expected
