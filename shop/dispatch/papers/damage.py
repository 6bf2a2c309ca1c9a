"""The damage report: what the shop found when it opened a parcel, for the claim against its carrier."""

from __future__ import annotations

from collections.abc import Sequence

from shop.counter.models import InboundParcel, Job, JobPicture
from shop.counter.papers import postal
from shop.frame import clock, spelling
from shop.frame.clock import day_of
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.money import Money
from shop.keeping.models import IssuedPaper
from shop.press.building import Address, Fact, Signature
from shop.press.issuing import issue_paper

DAMAGE_REPORT = "damage_report"
MOST_PICTURES = 12


def issue_damage_paper(
    *,
    inbound: InboundParcel,
    jobs: Sequence[Job],
    found: str,
    claimed_minor: int | None,
    pictures: Sequence[JobPicture],
    by: Staff,
) -> IssuedPaper:
    """Issue the report with its photographs. Joins the caller's act."""
    number = inbound.tracking or ", ".join(job.number for job in jobs) or str(inbound.pk)
    return issue_paper(
        kind=DAMAGE_REPORT,
        number=number[:60],
        title=f"Damage report {number}"[:200],
        heading="Damage report",
        template="papers/dispatch/damage_report.html",
        context=damage_context(
            inbound, jobs, found=found, claimed_minor=claimed_minor, pictures=pictures, by=by
        ),
        by=by,
    )


def damage_context(
    inbound: InboundParcel,
    jobs: Sequence[Job],
    *,
    found: str,
    claimed_minor: int | None,
    pictures: Sequence[JobPicture],
    by: Staff,
) -> dict[str, object]:
    """Everything a damage report says."""
    currency = the_profile().currency
    claimed = spelling.money(Money(claimed_minor, currency)) if claimed_minor is not None else "to be named"
    return {
        "to": Address((inbound.carrier or "The carrier", "Claims")),
        "also": Address(postal(inbound.customer).lines, label="Sender"),
        "facts": [
            Fact("Tracking number", inbound.tracking or "none", strong=True),
            Fact("Arrived", spelling.day(inbound.arrived_at)),
            Fact("Opened", spelling.day(inbound.opened_at) or "not opened yet"),
            Fact("Claimed", claimed, strong=True),
        ],
        "units": [_unit_facts(job) for job in jobs],
        "packing": inbound.packing_note,
        "found": found,
        "picture_rows": _rows(pictures[:MOST_PICTURES]),
        "signatures": [Signature("Opened and examined by", name=by.signature, day=day_of(clock.now()))],
    }


def _unit_facts(job: Job) -> list[Fact]:
    unit = job.unit
    value = (
        spelling.money(Money(job.agreed_value_minor, job.currency))
        if job.agreed_value_minor is not None
        else "not agreed"
    )
    return [
        Fact("Job", job.number),
        Fact("Unit", f"{unit.model.maker.name} {unit.model.name}", strong=True),
        Fact("Serial number", unit.serial or "none found"),
        Fact("Agreed value", value),
        Fact("Condition when opened", job.condition or "—", wide=True),
    ]


def _rows(pictures: Sequence[JobPicture]) -> list[list[dict[str, object]]]:
    """Photographs two by two, so that a page may break between the rows."""
    shown = [{"picture": kept.picture, "caption": _caption(kept)} for kept in pictures]
    return [shown[at : at + 2] for at in range(0, len(shown), 2)]


def _caption(kept: JobPicture) -> str:
    return kept.caption or kept.get_shows_display()
