"""Records that others published, kept beside the shop's own. For the owner."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.frame.refusal import Refusal
from shop.keeping.tasks.queries import latest
from shop.records.forms import CategoriesForm, LibraryForm
from shop.records.library import taking_in
from shop.records.models import Library
from shop.records.views.books import books_page

owner_only = for_roles(Role.OWNER)


@require_POST
@owner_only
def start(request: StaffRequest) -> HttpResponseBase:
    """Take a published list in and count its categories."""
    form = LibraryForm(request.POST, request.FILES, auto_id="library-%s")

    def started(key: joint.Key) -> Library:
        upload = form.cleaned_data["file"]
        return taking_in.start_library(name=upload.name, file=upload.file, by=request.user, once_key=key)

    return joint.answer(
        request,
        form,
        started,
        then=lambda made: reverse("records:library", args=[made]),
        page=lambda: books_page(request, library_form=form),
    )


@require_safe
@owner_only
def library(request: StaffRequest, pk: int) -> HttpResponse:
    """One library: its categories to choose from, how far it is read, or what of it is kept."""
    return _library(request, get_object_or_404(Library, pk=pk))


def _library(request: StaffRequest, one: Library, form: CategoriesForm | None = None) -> HttpResponse:
    context = {
        "library": one,
        "form": form or CategoriesForm(library=one),
        "task": latest(f"{taking_in.READ_LIBRARY} {one.pk}") if one.state == Library.State.READING else None,
    }
    return render(request, "records/library.html", context, status=422 if form else 200)


@require_POST
@owner_only
def choose(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say which categories are kept, and have them read."""
    one = get_object_or_404(Library, pk=pk)
    form = CategoriesForm(request.POST, library=one)
    return joint.answer(
        request,
        form,
        lambda key: taking_in.choose_categories(
            library=one,
            categories=form.cleaned_data["categories"],
            attribution=form.cleaned_data["attribution"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("records:library", args=[pk]),
        page=lambda: _library(request, one, form),
    )


@require_POST
@owner_only
def throw_away(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Delete a library with all that is in it."""
    try:
        taking_in.throw_away(library=get_object_or_404(Library, pk=pk), by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "The library was discarded.")
    return redirect("records:books")
