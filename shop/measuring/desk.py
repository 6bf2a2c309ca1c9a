"""Jobs on the bench of a measured shop, each with a long record: the pages on which notes are timed. All of it is invented."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass
from decimal import Decimal

from django.core.files.uploadedfile import SimpleUploadedFile

from shop.bench import actions
from shop.bench.forms.meters import RangeTyped
from shop.bench.models import Meter
from shop.counter.actions import Intake, book_in
from shop.counter.models import Customer, Job, TestPoint, Unit, UnitModel
from shop.frame.models import Staff
from shop.measuring.corpus import SEED
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Part, PartFitted

JOBS = 12
PARTS = 2000
POINTS = 12
LINES = {"findings": 15, "readings": 15, "traces": 8, "parts": 8, "stints": 4}
"""What stands in each job's record before the first note is timed."""

PHOTO = (1600, 1200)
"""As a tablet sends it: `photos.js` makes the longest side 1600 pixels."""


@dataclass(frozen=True, slots=True)
class Desk:
    """The jobs on the bench, and what notes are made of."""

    by: Staff
    jobs: list[Job]
    points: list[TestPoint]
    parts: list[Part]
    meter: Meter
    photo: bytes


def lay_the_desk(by: Staff, *, jobs: int = JOBS) -> Desk:
    """Put so many jobs of the most frequent model on the bench, each with a record of some fifty lines."""
    model = UnitModel.objects.get(pk=1)
    parts = _fill_the_drawers(by)
    _remember_parts(model, parts)
    points = _test_points(model)
    meter = actions.keep_meter(
        name="Bench meter",
        by=by,
        ranges=[RangeTyped("voltage_dc", Decimal(40), Decimal("0.01"), Decimal("0.5"), 3)],
    )
    desk = Desk(by, [_job(model, by, at) for at in range(jobs)], points, parts, meter, a_photograph())
    for job in desk.jobs:
        _write_record(desk, job)
    return desk


def _fill_the_drawers(by: Staff) -> list[Part]:
    rnd = random.Random(SEED)  # noqa: S311
    words = ("Resistor, carbon film", "Capacitor, electrolytic", "Relay", "Belt, flat", "Lamp", "Transistor")
    parts = [
        stockroom.add_part(
            description=f"{rnd.choice(words)} {at}",
            number=f"M-{at:04d}",
            drawer=f"{at % 40}",
            price_ten_thousandths=12_000,
            by=by,
        )
        for at in range(PARTS)
    ]
    for part in parts[:60]:
        stockroom.receive(part=part, quantity_thousandths=900_000, unit_cost_ten_thousandths=3000, by=by)
    return parts


def _remember_parts(model: UnitModel, parts: list[Part]) -> None:
    """Earlier jobs of the same model had parts out of these drawers."""
    earlier = Job.objects.filter(unit__model=model).order_by("-pk").values_list("pk", "currency")[:200]
    PartFitted.objects.bulk_create(
        PartFitted(job_id=job, part=parts[at % 30], description=parts[at % 30].description, currency=currency)
        for at, (job, currency) in enumerate(earlier)
    )


def _test_points(model: UnitModel) -> list[TestPoint]:
    return TestPoint.objects.bulk_create(
        TestPoint(
            model=model,
            name=f"TP{at + 1}",
            where=f"TP{at + 1}, supply",
            quantity="voltage_dc",
            condition="Playing",
            expected="12 V ± 5 %",
            role="rail",
            position=at,
        )
        for at in range(POINTS)
    )


def _job(model: UnitModel, by: Staff, at: int) -> Job:
    customer = Customer.objects.get(pk=at + 1)
    unit = Unit.objects.create(
        model=model,
        owner=customer,
        serial=f"Z{at}",
        serial_folded=f"z{at}",
        line_voltage=120,
        protection_class="II",
    )
    (job,) = book_in(customer=customer, intakes=[Intake(unit=unit, complaint="Cuts out when warm.")], by=by)
    actions.take_to_bench(job=job, by=by)
    return job


def _write_record(desk: Desk, job: Job) -> None:
    for at in range(LINES["stints"]):
        actions.start_stint(job=job, kind=("diagnosis", "repair")[at % 2], by=desk.by)
        actions.stop_running_stint(job=job, by=desk.by)
    for at in range(LINES["findings"]):
        actions.add_finding(
            job=job, text=f"Joint {at} at the regulator cracked, relay contact dirty.", by=desk.by
        )
    for at in range(LINES["readings"]):
        point = desk.points[at % POINTS]
        actions.add_reading(
            job=job,
            typed=f"{9 if at % 5 == 4 else 11.7 + at / 25:.1f} V",
            quantity=point.quantity,
            where=point.where,
            expected=point.expected,
            role=point.role,
            test_point=point,
            meter=desk.meter,
            by=desk.by,
        )
    for at in range(LINES["traces"]):
        actions.add_evidence(job=job, kind="date_code", where=f"C{at}", marking=f"80{at + 10}", by=desk.by)
    for part in desk.parts[: LINES["parts"]]:
        stockroom.fit_part(job=job, part=part, by=desk.by)
    photo = SimpleUploadedFile("bench.jpg", desk.photo, "image/jpeg")
    actions.add_pictures(job=job, photos=[photo], by=desk.by)


def a_photograph() -> bytes:
    """A picture with as much to tell as a photograph of a board has: about a quarter of a byte for each pixel."""
    from PIL import Image, ImageFilter  # noqa: PLC0415  only where a photograph is made

    width, height = PHOTO
    coarse = Image.effect_noise((width // 4, height // 4), 60).resize(PHOTO, Image.Resampling.BICUBIC)
    grain = Image.blend(coarse, Image.effect_noise(PHOTO, 8), 0.15)
    shade = Image.radial_gradient("L").resize(PHOTO)
    picture = Image.merge("RGB", (grain, shade, grain.filter(ImageFilter.GaussianBlur(2))))
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=85)
    return file.getvalue()
