"""The owner's pages about the shop itself: profile, logo, terms, numbers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import clock
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.frame.once import AlreadyTaken
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.premises import actions, queries
from shop.premises.forms.shop import LogoForm, NextNumberForm, ProfileForm, TermsForm
from shop.premises.models import Terms
from shop.premises.views.pages import page
from shop.premises.zones import zone_names
from shop.press.letterhead import the_logo

of_the_owner = for_roles(Role.OWNER)


@require_http_methods(["GET", "HEAD", "POST"])
def profile(request: StaffRequest) -> HttpResponseBase:
    """The shop's profile, for its owner to change; everybody else's way to their own account."""
    if not request.user.has_role(Role.OWNER):
        return redirect("premises:password")
    form = ProfileForm(request.POST or None, initial=ProfileForm.facts_of(the_profile()))
    if request.method == "POST" and form.is_valid():
        try:
            taken = form.taken_by(
                actions.change_profile, by=request.user, once_key=form.once_key, **form.facts()
            )
        except AlreadyTaken:
            return redirect("premises:profile")
        if taken is not None:
            messages.success(request, "The profile is changed. Papers from now on carry it.")
            return redirect("premises:profile")
    context = {"form": form, "logo_form": LogoForm(), "logo": the_logo(), "zones": zone_names()}
    return page(request, "premises/profile.html", context)


@require_POST
@of_the_owner
def change_logo(request: StaffRequest) -> HttpResponseBase:
    """Put another picture at the head of papers."""
    form = LogoForm(request.POST, request.FILES)
    if (
        form.is_valid()
        and form.taken_by(actions.change_logo, upload=form.cleaned_data["logo"], by=request.user) is not None
    ):
        messages.success(request, "The logo is changed.")
        return redirect("premises:profile")
    context = {
        "form": ProfileForm(initial=ProfileForm.facts_of(the_profile())),
        "logo_form": form,
        "logo": the_logo(),
        "zones": zone_names(),
    }
    return page(request, "premises/profile.html", context)


@require_POST
@of_the_owner
def remove_logo(request: StaffRequest) -> HttpResponseBase:
    """Print papers without a logo."""
    try:
        actions.change_logo(upload=None, by=request.user)
        messages.success(request, "Papers carry no logo from now on.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("premises:profile")


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def terms(request: StaffRequest) -> HttpResponseBase:
    """The shop's terms with the days from which they hold, and a form for the next."""
    form = TermsForm(
        request.POST or None, initial={"text": getattr(queries.terms_on(clock.today()), "text", "")}
    )
    if request.method == "POST" and form.is_valid():
        try:
            added = form.taken_by(
                actions.add_terms,
                from_date=form.cleaned_data["from_date"],
                text=form.cleaned_data["text"],
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken:
            return redirect("premises:terms")
        if added is not None:
            messages.success(request, "The terms are written down.")
            return redirect("premises:terms")
    context = {
        "form": form,
        "all_terms": queries.all_terms(),
        "holding": queries.terms_on(clock.today()),
        "today": clock.today(),
    }
    return page(request, "premises/terms.html", context)


@require_POST
@of_the_owner
def withdraw_terms(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take back terms that do not hold yet."""
    try:
        actions.withdraw_terms(terms=get_object_or_404(Terms, pk=pk), by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "Those terms are taken back.")
    return redirect("premises:terms")


@require_safe
@of_the_owner
def numbers(request: StaffRequest) -> HttpResponse:
    """The number series of this year and where each goes on."""
    return _numbers_page(request, None)


@require_POST
@of_the_owner
def set_number(request: StaffRequest) -> HttpResponseBase:
    """Let a series go on from a higher number."""
    form = NextNumberForm(request.POST)
    if form.is_valid():
        facts = {name: form.cleaned_data[name] for name in ("series", "year", "value")}
        row = form.taken_by(actions.set_next_number, by=request.user, **facts)
        if row is not None:
            messages.success(request, f"The next number is {row.next_value}.")
            return redirect("premises:numbers")
    return _numbers_page(request, form)


def _numbers_page(request: StaffRequest, refused: NextNumberForm | None) -> HttpResponse:
    rows = []
    for series in queries.number_series():
        start = {"series": series.name, "year": series.year, "value": series.next_value}
        key = (series.name, str(series.year))
        sent = refused is not None and (refused["series"].value(), str(refused["year"].value())) == key
        form = refused if sent else NextNumberForm(initial=start, auto_id=f"id_{series.pk}_%s")
        rows.append((series, form))
    return page(request, "premises/numbers.html", {"rows": rows, "refused": refused})
