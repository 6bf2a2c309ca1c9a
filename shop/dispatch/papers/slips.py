"""The return slip that lies in the parcel."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from shop.counter.models import Accessory, Job
from shop.dispatch.lithium import TAKEN_OUT
from shop.dispatch.measures import size, weight
from shop.dispatch.models import GoingBack, Parcel
from shop.frame import spelling
from shop.frame.clock import day_of
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.jobnumber import JobNumber
from shop.keeping.models import IssuedPaper
from shop.office.models import InvoiceJob
from shop.press.building import Address, Fact, Line, LineGroup, LineTable, Signature
from shop.press.issuing import issue_paper

RETURN_SLIP = "return_slip"


def issue_return_slip(
    *, parcel: Parcel, jobs: Sequence[Job], by: Staff, at: dt.datetime | None = None
) -> IssuedPaper:
    """Issue the slip: addresses, contents and accessories going back, job and invoice numbers, care notes."""
    numbers = ", ".join(job.number for job in jobs)
    return issue_paper(
        kind=RETURN_SLIP,
        number=numbers[:60],
        title=f"Return slip {numbers}"[:200],
        heading="Return slip",
        template="papers/dispatch/return_slip.html",
        context=return_slip_context(parcel, jobs, by=by),
        by=by,
        at=at,
    )


def return_slip_context(parcel: Parcel, jobs: Sequence[Job], *, by: Staff) -> dict[str, Any]:
    """Everything a return slip says."""
    return {
        "to": Address.of(parcel.address),
        "facts": [
            Fact("Packed", spelling.day(parcel.packed_at), strong=True),
            Fact("Parcel", f"{size(parcel)}\n{weight(parcel.weight_grams)}"),
            Fact("Invoice", ", ".join(_invoice_numbers(jobs)) or "—"),
            Fact("Tracking", parcel.tracking or "—"),
        ],
        "table": LineTable(groups=[_contents(job) for job in jobs], currency="", text_head="Contents"),
        "customs": _customs(parcel),
        "care": care_notes(jobs, lithium=bool(parcel.lithium) and parcel.lithium != TAKEN_OUT),
        "signatures": [Signature("Packed by", name=by.signature, day=day_of(parcel.packed_at))],
        "code": JobNumber.parse(jobs[0].number).compact if len(jobs) == 1 else "",
    }


def care_notes(jobs: Sequence[Job], *, lithium: bool = False) -> list[str]:
    """What to mind when the box is opened and the unit is used again."""
    notes = [
        "Keep the box and its cushions: they fit this unit.",
        "Let a cold unit stand an hour in the room before you switch it on.",
    ]
    if any(job.unit.mains for job in jobs):
        notes.append(
            "Before you plug it in, see that the voltage marked on the unit is that of your wall socket."
        )
    if lithium:
        notes.append("There is a lithium cell inside: keep the parcel dry and don’t leave it in the sun.")
    return notes


def _customs(parcel: Parcel) -> list[Fact]:
    """What customs asks for, where the parcel leaves the country; the carrier's own form is filled in from here."""
    if parcel.country == the_profile().country.upper():
        return []
    minor, said = parcel.declared_value_minor, parcel.customs_description
    value = "—" if minor is None else f"{spelling.amount(minor, parcel.currency)} {parcel.currency}"
    return [
        Fact(
            "Contents for customs",
            said if "return" in said.lower() else f"{said}, returned after repair",
            wide=True,
        ),
        Fact("Country of origin", parcel.customs_origin),
        Fact("HS code", parcel.customs_hs_code),
        Fact("Value", value),
    ]


def _contents(job: Job) -> LineGroup:
    unit = job.unit
    lines = [
        Line(
            f"{unit.model.maker.name} {unit.model.name}",
            note=f"serial number {unit.serial}" if unit.serial else "",
        )
    ]
    answers = {answer.accessory_id: answer for answer in GoingBack.objects.filter(accessory__job=job)}
    for accessory in Accessory.here.filter(job=job).order_by("id"):
        answer = answers.get(accessory.pk)
        missing = answer is not None and not answer.included
        lines.append(
            Line(
                accessory.name,
                note=answer.explanation if missing and answer else "",
                mark="not in the parcel" if missing else "",
            )
        )
    return LineGroup(f"Job {job.number}", lines)


def _invoice_numbers(jobs: Sequence[Job]) -> list[str]:
    issued = InvoiceJob.objects.filter(
        job__in=jobs, invoice__issued_at__isnull=False, invoice__kind="invoice"
    )
    return sorted(set(issued.values_list("invoice__number", flat=True)))
