"""The sums of the bench: one page that lists them, one for each. Nothing is written here."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.bench.forms import FindingForm
from shop.bench.sums import SUMS
from shop.bench.sums.finding import LONGEST, find
from shop.bench.views.writing import at_the_bench
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
    context = {"form": form, "job": job, "note": note, "live": live}
    if live:
        return render(request, "bench/parts/sum_answer.html", context)
    return render(request, "bench/sum.html", context, status=422 if form.is_bound and not worked else 200)


def _job_beside(request: StaffRequest) -> Job | None:
    """The job that an answer may be noted on: named in the address, here, and not ended."""
    number = request.GET.get("job", "").strip().upper()[:20]
    if not number:
        return None
    return Job.objects.exclude(stage__in=[*ENDED, Stage.EXPECTED]).filter(number=number).first()
