"""The sums of the bench: one page that lists them, one for each, and the door for those typed without network."""

from __future__ import annotations

from django.conf import settings
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from shop.bench import actions
from shop.bench.forms import FindingForm
from shop.bench.page import BenchPage
from shop.bench.sums import SUMS
from shop.bench.sums.finding import LONGEST, find
from shop.bench.views.writing import answered, at_the_bench, from_outbox, take_form, taken_well
from shop.counter.models import Job
from shop.counter.stages import ENDED, Stage
from shop.frame.doors import StaffRequest


@require_safe
@at_the_bench
def sums(request: StaffRequest) -> HttpResponse:
    """The sums by group, all or those asked for; a job named in the address goes along to each."""
    asked = request.GET.get("q", "").strip()[:LONGEST]
    context = {"groups": find(asked), "find": asked, "job": _job_beside(request)}
    return render(
        request,
        "bench/parts/sum_list.html" if "HX-Request" in request.headers else "bench/sums.html",
        context,
    )


@require_safe
@at_the_bench
def one_sum(request: StaffRequest, slug: str) -> HttpResponse:
    """One sum; while somebody types, only its answer is asked for."""
    if slug not in SUMS:
        raise Http404
    kind, job = SUMS[slug], _job_beside(request)
    asked = request.GET if any(name in request.GET for name in kind.base_fields) else None
    form = kind(asked, auto_id="sum-%s")
    worked = form.is_bound and form.is_valid()
    note = FindingForm(job=job, initial={"text": form.note}, auto_id="note-%s") if job and worked else None
    live = "HX-Request" in request.headers
    context = {
        "form": form,
        "job": job,
        "note": note,
        "live": live,
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
    }
    if live:
        return render(request, "bench/parts/sum_answer.html", context)
    return render(request, "bench/sum.html", context, status=422 if form.is_bound and not worked else 200)


@require_POST
@at_the_bench
def note_sum(request: StaffRequest, number: str, slug: str) -> HttpResponseBase:
    """Work out a sum that was typed without network, and note it on its job."""
    if slug not in SUMS:
        raise Http404
    page, worked = BenchPage.of(number, request.user), SUMS[slug](request.POST, auto_id="sum-%s")
    sent = {name: request.POST.get(name, "") for name in ("once", "noted")}
    note = FindingForm(sent | {"text": worked.note if worked.is_valid() else worked.title}, job=page.job)
    for errors in worked.errors.values():
        note.add_error("text", [str(one) for one in errors])
    if take_form(
        request, page, note, lambda form, stamp: actions.add_finding(text=form.cleaned_data["text"], **stamp)
    ):
        return taken_well(request, page, said="Noted.")
    context = {"form": worked, "job": page.job, "csrf_cookie": settings.CSRF_COOKIE_NAME}
    response = render(request, "bench/sum.html", context, status=422)
    return answered(request, response, note) if from_outbox(request) else response


def _job_beside(request: StaffRequest) -> Job | None:
    """The job that an answer may be noted on: named in the address, here, and not ended."""
    number = request.GET.get("job", "").strip().upper()[:20]
    if not number:
        return None
    return Job.objects.exclude(stage__in=[*ENDED, Stage.EXPECTED]).filter(number=number).first()
