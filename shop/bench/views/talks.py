"""A repair that was talked through: brought as timed text, its chapters, and its runs of talk as bench time."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.bench import actions, hearing
from shop.bench.actions.saying import HEAR, LINES, READ_TALK
from shop.bench.models import Heard, Reading, Said
from shop.bench.page import BenchPage
from shop.bench.panels import Stamp
from shop.bench.saying import BeganForm, RecordingForm, RunForm, TalkForm, proposal_of
from shop.bench.views.writing import at_the_bench, page_of_its_own, posted, take_form, taken_well
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.refusal import Refusal
from shop.handbook.spoken import (
    Kind,
    Moment,
    chapters_as_text,
    chapters_as_webvtt,
    chapters_of,
    moment,
    read_timed,
    runs_of,
)
from shop.keeping.models import Task
from shop.keeping.tasks import queries as tasks


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def talks(request: StaffRequest, number: str) -> HttpResponseBase:
    """The talks of a job, and the form that brings another."""
    page = BenchPage.of(number, request.user)
    files = request.FILES if request.method == "POST" else None
    form = TalkForm(posted(request), files, job=page.job, auto_id="talk-%s")

    def brought(key: joint.Key) -> Said:
        data = form.cleaned_data
        return actions.bring_talk(
            job=page.job,
            text=data["text"],
            clip=data["clip"],
            began_at=data["began_at"],
            by=request.user,
            entry=key,
        )

    done = joint.taken(form, brought)
    if done is not None:
        return joint.see_other(request, reverse("bench:said", args=[page.job.number, done.pk]))
    return _talks_page(request, page, form)


def _talks_page(
    request: StaffRequest, page: BenchPage, form: TalkForm, wrong: RecordingForm | None = None
) -> HttpResponseBase:
    """The talks of a job, what is being heard for it, and the forms that bring another."""
    there = Said.objects.filter(job=page.job, timed=True, struck_at__isnull=True).order_by("-pk")[:20]
    going = (
        Task.objects.filter(kind=HEAR, title=page.job.number)
        .exclude(state=Task.State.DONE)
        .order_by("-pk")[:5]
    )
    answer = page_of_its_own(
        request,
        "bench/talks.html",
        page,
        form,
        talks=there,
        heard=wrong or RecordingForm(job=page.job, auto_id="recording-%s"),
        deaf=hearing.why_deaf(),
        going=tasks.shown(going),
    )
    if wrong is not None:
        answer.status_code = 422
    return answer


@require_POST
@at_the_bench
def record(request: StaffRequest, number: str) -> HttpResponseBase:
    """Have a recording heard on this machine."""
    page = BenchPage.of(number, request.user)
    form = RecordingForm(request.POST, request.FILES, job=page.job, auto_id="recording-%s")
    there = reverse("bench:talks", args=[page.job.number])

    def asked(form: RecordingForm, stamp: Stamp) -> Task:
        upload = form.cleaned_data["recording"]
        return actions.ask_to_hear(
            recording=hearing.lay_by(upload),
            clip=str(upload.name)[:200],
            began_at=form.cleaned_data["began_at"],
            **stamp,
        )

    if take_form(request, page, form, asked):
        return taken_well(request, page, said="It is being heard.", then=there)
    return _talks_page(request, page, TalkForm(job=page.job, auto_id="talk-%s"), wrong=form)


@require_POST
@at_the_bench
def began(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Note when the recording of a talk began."""
    page = BenchPage.of(number, request.user)
    said = _talk(page, pk)
    form = BeganForm(request.POST, job=page.job)
    there = reverse("bench:said", args=[page.job.number, said.pk])

    def noted(form: BeganForm, stamp: Stamp) -> Said:
        return actions.note_began(
            said=said,
            began_at=form.cleaned_data["began_at"],
            by=stamp["by"],
            entry=stamp["entry"],
            at=stamp["at"],
        )

    if take_form(request, page, form, noted):
        return taken_well(request, page, said="Noted.", then=there)
    return joint.sent_back(request, form, there)


@dataclass(frozen=True, slots=True)
class Line:
    """One cue as the page shows it."""

    at: str
    anchor: int
    text: str
    unsure: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """One run of talk as bench time."""

    at: int
    begins: str
    ends: str
    minutes: int
    started_at: dt.datetime | None


def stretches_of(said: Said) -> list[Stretch]:
    """The runs of talk of a minute and more; with their times of day where it is known when the recording began."""
    found = []
    for at, run in enumerate(runs_of(read_timed(said.text).cues)):
        minutes = round((run.end - run.start) / 60)
        began = said.began_at + dt.timedelta(seconds=int(run.start)) if said.began_at else None
        if minutes:
            found.append(Stretch(at, moment(run.start), moment(run.end), minutes, began))
    return found


REPORT: tuple[tuple[str, frozenset[Kind]], ...] = (
    (
        "Found",
        frozenset(
            {
                Kind.FINDING,
                Kind.READING,
                Kind.TRACE,
                Kind.DEVICE,
                Kind.CONDITION,
                Kind.MISSING,
                Kind.CONCLUSION,
            }
        ),
    ),
    ("Done", frozenset({Kind.WORK, Kind.PART})),
    ("Tested", frozenset({Kind.TEST})),
)


@dataclass(frozen=True, slots=True)
class Told:
    """What the report may say, from a line that stands in the record, and where in the recording it was said."""

    kind: Kind
    words: str
    anchor: int
    at: str


def told_of(said: Said) -> list[Told]:
    """The lines taken from a talk that stand unstruck; a reading as the record keeps it, the rest in their own words."""
    taken = list(said.heard.filter(taking__isnull=False, taking__struck_at__isnull=True).order_by("number"))
    kinds = {one.line_kind for one in taken}
    lines: dict[str, dict[int, Any]] = {
        kind: LINES[kind]
        ._default_manager.filter(struck_at__isnull=True)
        .in_bulk([one.line for one in taken if one.line_kind == kind])
        for kind in kinds
    }
    return [
        Told(
            Kind(one.kind),
            _words_of(lines[one.line_kind][one.line], one),
            int(one.seconds or 0),
            moment(one.seconds or 0),
        )
        for one in taken
        if one.line in lines[one.line_kind]
    ]


def _words_of(line: Any, heard: Heard) -> str:
    """A reading with its channel, its value and what it should be; any other line as it was said."""
    if not isinstance(line, Reading):
        return heard.words
    place = " ".join(one for one in (line.where, line.channel) if one)
    return f"{place}: {line.shown}" + (f", should be {line.expected}" if line.expected else "")


def talk_facts(said: Said) -> dict[str, object]:
    """What the page of a talk shows besides its cards: the text, what was skipped, runs, and what the report may say."""
    timed = read_timed(said.text)
    told = told_of(said)
    return {
        "lines": [Line(moment(one.start), int(one.start), one.text, one.unsure) for one in timed.cues],
        "skipped": timed.skipped[:20],
        "stretches": stretches_of(said),
        "began": BeganForm(job=said.job, auto_id="began-%s"),
        "task": tasks.latest(f"{READ_TALK} {said.pk}"),
        "report": [(title, [one for one in told if one.kind in kinds]) for title, kinds in REPORT],
    }


def _talk(page: BenchPage, pk: int) -> Said:
    return get_object_or_404(Said, pk=pk, job=page.job, timed=True)


@require_safe
@at_the_bench
def chapters(request: StaffRequest, number: str, pk: int, form: str) -> HttpResponse:
    """The chapters of a talk, as text or as WebVTT: times and what was worked on, no names and no serial numbers."""
    page = BenchPage.of(number, request.user)
    said = _talk(page, pk)
    heard = Heard.objects.filter(said=said, dropped_at__isnull=True).order_by("number")
    found = chapters_of(Moment(one.seconds, proposal_of(one)) for one in heard if one.seconds is not None)
    end = max(run.end for run in runs_of(read_timed(said.text).cues))
    text, kind = (
        (chapters_as_webvtt(found, end), "text/vtt")
        if form == "vtt"
        else (chapters_as_text(found), "text/plain")
    )
    response = HttpResponse(text, content_type=f"{kind}; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="chapters.{form}"'
    return response


@require_POST
@at_the_bench
def stint(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Note one run of talk as bench time."""
    page = BenchPage.of(number, request.user)
    said = _talk(page, pk)
    form = RunForm(request.POST, job=page.job)
    there = reverse("bench:said", args=[page.job.number, said.pk])

    def noted(form: RunForm, stamp: Any) -> object:
        found = [one for one in stretches_of(said) if one.at == form.cleaned_data["run"]]
        if not found or found[0].started_at is None:
            raise Refusal("Say when the recording began first.")
        began = found[0].started_at
        return actions.add_stint(
            started_at=began, stopped_at=began + dt.timedelta(minutes=found[0].minutes), **stamp
        )

    if take_form(request, page, form, noted):
        return taken_well(request, page, said="Noted.", then=there)
    return joint.sent_back(request, form, there)
