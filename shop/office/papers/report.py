"""The repair report: what was wrong, what was found and measured, what was done, and what to watch."""

from __future__ import annotations

from collections.abc import Sequence

from shop.bench.models import Conclusion, Evidence, Reading, SafetyCheck
from shop.bench.queries import BenchRecord, latest_safety_check, record_of
from shop.counter.models import Job
from shop.counter.papers import postal
from shop.frame import clock, spelling
from shop.frame.clock import day_of
from shop.frame.english import english
from shop.frame.models import Staff
from shop.handbook.law.terms import Paper as LawPaper
from shop.office import legal
from shop.office.papers.sheets import by_our_customs, keep_until, unit_facts
from shop.press.building import Fact, Line, LineGroup, LineTable, Signature
from shop.press.issuing import PaperWanted
from shop.stockroom.models import PartFitted, PartState


@by_our_customs
def report_sheet(job: Job, *, number: str, by: Staff) -> PaperWanted:
    """The report of one job, from what stands in its record; struck-out lines and the shop's own notes are left out."""
    record = record_of(job)
    on = day_of(clock.now())
    ended = [one for one in record.conclusions if one.struck_at is None]
    return PaperWanted(
        kind="repair_report",
        number=number,
        title=f"Repair report {number}",
        heading="Repair report",
        template="papers/office/report.html",
        keep_until=keep_until(LawPaper.INVOICE, on),
        context={
            "to": postal(job.customer),
            "facts": [
                Fact("Date", spelling.short_day(on), strong=True),
                Fact("Outcome", job.get_outcome_display() or "Not settled yet", strong=True),
                Fact("Job", job.number),
                Fact("Taken in", spelling.short_day(job.booked_in_at)),
            ],
            "unit": unit_facts(job),
            "complaint": job.complaint,
            "findings": [one.text for one in record.findings if one.struck_at is None],
            "readings": reading_table([one for one in record.readings if one.struck_at is None]),
            "evidence": [_evidence(one) for one in record.evidence if one.struck_at is None],
            "conclusions": [_conclusion(one) for one in ended],
            "parts": _parts(job),
            "safety": _safety(latest_safety_check(job)),
            "soak": _soak(record),
            "pictures": [
                _Shown(one.picture, one.caption or one.get_shows_display())
                for one in record.pictures
                if one.in_report and one.struck_at is None
            ],
            "watch": [one.watch for one in ended if one.watch],
            "warranty": legal.warranty_words([job]),
            "signatures": [Signature("For the shop", name=by.signature, day=on)],
        },
    )


class _Shown:
    """A picture with its words, as the template of photographs wants it."""

    def __init__(self, picture: object, caption: str) -> None:
        self.picture, self.caption = picture, caption


def reading_table(readings: Sequence[Reading]) -> LineTable | None:
    """Readings before and after the repair, each with what was expected and the verdict; none where none was taken."""
    groups = []
    for title, after in (("Before", False), ("After the repair", True)):
        mine = [one for one in readings if one.after_repair is after]
        if mine:
            groups.append(LineGroup(title, [_reading(one) for one in mine]))
    if not groups:
        return None
    return LineTable(
        groups=groups, currency="", text_head="Where", quantity_head="Measured", tax_head="Expected"
    )


def _reading(reading: Reading) -> Line:
    measured = reading.shown
    if reading.value is not None and not reading.over_range:
        measured = spelling.engineering(reading.value, reading.unit)
    where = reading.where + (f", {reading.channel}" if reading.channel else "")
    return Line(
        where,
        note=", ".join(
            one for one in (reading.against and f"against {reading.against}", reading.condition) if one
        ),
        quantity=measured,
        tax=reading.expected or "—",
        mark=reading.get_verdict_display().lower() if reading.verdict else "",
    )


def _evidence(evidence: Evidence) -> str:
    words = f"{evidence.where[:1].upper()}{evidence.where[1:]}: {evidence.get_kind_display().lower()}"
    if evidence.marking:
        words += f" “{evidence.marking}”"
    if evidence.argument:
        words += f". {spelling.days_spelled(evidence.argument)}"
    elif evidence.note:
        words += f". {evidence.note}"
    return words


def _conclusion(conclusion: Conclusion) -> list[Fact]:
    failed = conclusion.failed + (f" ({conclusion.position})" if conclusion.position else "")
    facts = [
        Fact("What had failed", failed),
        Fact("How", conclusion.get_mode_display()),
        Fact("What fixed it", conclusion.remedy, wide=True),
    ]
    if conclusion.known_by and conclusion.tell_how_known:
        facts.append(Fact("How we know", conclusion.get_known_by_display()))
    # a job from an older book may say only what was done, or only what had failed
    return [fact for fact in facts if fact.value] if failed else facts[2:]


def _parts(job: Job) -> list[str]:
    fitted = PartFitted.objects.filter(job=job, struck_at__isnull=True).order_by("id")
    return [_part(one) for one in fitted]


def _part(part: PartFitted) -> str:
    words = f"{spelling.quantity(part.quantity_thousandths)} × {part.description}"
    if part.position:
        words += f" ({part.position})"
    return words if part.state == PartState.NEW else f"{words}, {part.get_state_display().lower()}"


def _safety(check: SafetyCheck | None) -> str:
    if check is None:
        return ""
    return f"Safety check of {spelling.short_day(check.at)}. {english(check.summary)}"


def _soak(record: BenchRecord) -> str:
    passed = [one for one in record.soaks if one.struck_at is None and one.result == "passed"]
    if not passed:
        return ""
    last = passed[-1]
    ran, planned = spelling.hours(last.seconds), spelling.hours(last.planned_seconds)
    return f"Ran for {ran} on soak test, of {planned} planned, without the fault coming back."
