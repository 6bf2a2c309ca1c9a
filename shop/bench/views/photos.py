"""One photograph of a job."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions
from shop.bench.forms import BenchForm, PhotoForm
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, page_of_its_own, posted, take_form, taken_well
from shop.counter.models import JobPicture
from shop.frame import joint
from shop.frame.doors import StaffRequest


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def photo(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Look at a photograph, say what it shows, and draw on it."""
    page = BenchPage.of(number, request.user)
    kept = get_object_or_404(
        JobPicture.objects.select_related("picture"), pk=pk, job=page.job, struck_at=None
    )
    others = [one for one in page.record.pictures if one.pk != kept.pk]
    form = PhotoForm(posted(request), job=page.job, kept=kept, others=others, auto_id="photo-%s")
    if take_form(
        request,
        page,
        form,
        lambda form, stamp: actions.describe_picture(kept=kept, **form.facts(), **stamp),
    ):
        return taken_well(request, page, said="Noted.")
    return page_of_its_own(request, "bench/photo.html", page, form, kept=kept, others=others)


@require_POST
@at_the_bench
def sketch(request: StaffRequest, number: str) -> HttpResponseBase:
    """Begin a sketch on an empty sheet, and go there."""
    page = BenchPage.of(number, request.user)
    form = BenchForm(request.POST, job=page.job)
    begun = joint.taken(
        form, lambda key: actions.begin_sketch(job=page.job, by=request.user, entry=key, at=form.at)
    )
    if begun is None:
        return joint.sent_back(request, form, page.address)
    return joint.see_other(request, reverse("bench:photo", args=[number, begun.pk]))


@require_POST
@at_the_bench
def set_aside(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Take a photograph out of the record."""
    page = BenchPage.of(number, request.user)
    kept = get_object_or_404(JobPicture, pk=pk, job=page.job)
    form = BenchForm(request.POST, job=page.job)
    take_form(request, page, form, lambda _, stamp: actions.set_picture_aside(kept=kept, **stamp))
    return taken_well(request, page, said="Taken out of the record.")
