"""Fourteen pages as pictures, at two sizes, by day and by night, held against those that were looked at and kept.

Source: the kept pictures themselves, each looked at by a person when it was made; the tolerance is common practice, no source.
They are drawn from the demo with the shop's clock held, at half scale. `--new-pictures` makes them anew, and README's with them.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.conf import settings
from django.core.management import call_command
from django.test import override_settings
from PIL import Image
from pytest_django.live_server_helper import LiveServer

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame.models import Staff
from shop.office.models import Invoice
from tests.conftest import Browsing, FirstPages
from tests.house.demo_pages import at

pytestmark = [
    pytest.mark.xdist_group("pictures"),
    pytest.mark.django_db,
    pytest.mark.soak,
    pytest.mark.browser,
    pytest.mark.timeout(1800),
]

KEPT = Path(__file__).parent / "pictures"
NOON = dt.datetime(2026, 11, 30, 20, tzinfo=dt.UTC)
"""Noon where the demo shop is."""
SIZES = {"desk": (1280, 800), "tablet": (820, 1180)}
LIGHTS = {"day": "light", "night": "dark"}
ALTERED, TOO_MANY = 48, 0.006
"""How far a point of gray (0 to 255) may be off, and which share of points may be further."""
MOST_BYTES = 1_500_000
README = {"first-screen", "job-card", "bench", "invoice"}


def _job(stage: Stage, place: int = 0) -> Job:
    return Job.objects.filter(stage=stage).order_by("id")[place]


def _gone_home() -> Job:
    return _job(Stage.GONE_HOME, 3)


def _invoice() -> str:
    return at("office:invoice", Invoice.objects.exclude(number="").order_by("id")[5].pk)


PAGES: dict[str, Callable[[], str]] = {
    "first-screen": lambda: at("records:first_screen"),
    "all-jobs": lambda: at("records:jobs"),
    "job-card": lambda: at("records:job_card", _gone_home().number),
    "model-file": lambda: at("records:model", _gone_home().unit.model_id),
    "figures": lambda: at("records:figures"),
    "search": lambda: at("records:search") + "?q=hum",
    "book-in": lambda: at("counter:book_in"),
    "customer": lambda: at("counter:customer", _gone_home().customer_id),
    "bench": lambda: at("bench:job", _job(Stage.ON_THE_BENCH).number),
    "job-in-office": lambda: at("office:job", _job(Stage.AWAITING_WORD).number),
    "invoice": _invoice,
    "all-invoices": lambda: at("office:invoices"),
    "parts": lambda: at("stockroom:parts"),
    "evening": lambda: at("planner:evening"),
}


@pytest.fixture(autouse=True)
def _django_db_marker() -> None:
    """Give no test a transaction of its own: `owner` keeps the book open for them all."""


@pytest.fixture(scope="module")
def owner(django_db_setup: FirstPages, django_db_blocker: Any) -> Iterator[Staff]:
    """The owner of the demo shop, with its clock held, from its first entry on."""
    with django_db_blocker.unblock(), pytest.MonkeyPatch.context() as held:
        held.setattr("django.utils.timezone.now", lambda: NOON)
        try:
            call_command("load_demo", verbosity=0)
            yield Staff.objects.get(username="ottoline")
        finally:
            django_db_setup.restore()


@pytest.fixture(scope="module")
def address(owner: Staff) -> Iterator[str]:
    """Where the demo shop is served for this module."""
    with override_settings(ALLOWED_HOSTS=["localhost", "testserver"]):
        server = LiveServer("localhost")
        yield server.url
        server.stop()


def drawn(page: Any, address: str) -> Image.Image:
    """What the window shows once everything has come and nothing moves."""
    page.goto(address, wait_until="networkidle")
    page.evaluate("document.fonts.ready")
    shot = page.screenshot(animations="disabled", caret="hide")
    return Image.open(io.BytesIO(shot)).convert("RGB")


def halved(picture: Image.Image) -> Image.Image:
    """The picture at half scale."""
    return picture.resize((picture.width // 2, picture.height // 2), Image.Resampling.BOX)


def further_off(found: Image.Image, kept: Image.Image) -> float:
    """Which share of points differs by more than what compression and another font hinting explain; 1 for another size."""
    if found.size != kept.size:
        return 1.0
    first, second = (np.asarray(one.convert("L"), dtype=np.int16) for one in (found, kept))
    return float((np.abs(first - second) > ALTERED).mean())


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PAGES)
def test_the_page_looks_as_it_did_when_somebody_looked(
    name: str,
    size: str,
    light: str,
    owner: Staff,
    address: str,
    new_context: Any,
    pytestconfig: pytest.Config,
) -> None:
    width, height = SIZES[size]
    browse = Browsing(new_context, address)
    whole = drawn(browse(owner, width=width, height=height, color_scheme=LIGHTS[light]), PAGES[name]())
    path = KEPT / f"{name}-{size}-{light}.webp"
    found = halved(whole)
    if pytestconfig.getoption("--new-pictures"):
        KEPT.mkdir(exist_ok=True)
        found.save(path, quality=45, method=6)
        if name in README and light == "day" and size == ("tablet" if name == "bench" else "desk"):
            whole.save(settings.BASE_DIR / "static" / "pictures" / f"{name}.webp", quality=70, method=6)
    off = further_off(found, Image.open(path).convert("RGB"))
    if off > TOO_MANY:
        found.save(Path(settings.SHOP_DATA) / path.name)
    assert off <= TOO_MANY, f"{off:.1%} of {path.name} looks otherwise"
    assert browse.complaints == []


def test_a_button_moved_by_its_own_height_is_seen() -> None:
    """Else the test above proves nothing: one dark button of 60 × 20 points among 640 × 400."""
    before = Image.new("RGB", (640, 400), "white")
    after = before.copy()
    before.paste((20, 60, 50), (100, 100, 160, 120))
    after.paste((20, 60, 50), (100, 122, 160, 142))
    assert further_off(before, after) > 0.009


def test_the_kept_pictures_are_few_and_small() -> None:
    kept = list(KEPT.glob("*.webp"))
    assert len(kept) == len(PAGES) * len(SIZES) * len(LIGHTS)
    assert sum(path.stat().st_size for path in kept) <= MOST_BYTES
