"""The owner's pages about the shop itself: profile, logo, terms, numbers."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import clock, joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.premises import actions, queries
from shop.premises.forms.shop import LogoForm, NextNumberForm, ProfileForm, TermsForm
from shop.premises.models import Terms
from shop.premises.views.pages import page
from shop.press.letterhead import the_logo

of_the_owner = for_roles(Role.OWNER)


@require_http_methods(["GET", "HEAD", "POST"])
def profile(request: StaffRequest) -> HttpResponseBase:
    """The shop's profile, for its owner to change; everybody else's way to their own account."""
    if not request.user.has_role(Role.OWNER):
        return redirect("premises:password")
    form = ProfileForm(request.POST or None, initial=ProfileForm.facts_of(the_profile()))
    return joint.answer(
        request,
        form,
        lambda key: actions.change_profile(**form.facts(), by=request.user, once_key=key),
        then=joint.way_back(request, reverse("premises:profile")),
        said="The profile is changed. Papers from now on carry it.",
        page=lambda: _profile_page(request, form=form),
    )


def _profile_page(
    request: StaffRequest, *, form: ProfileForm | None = None, logo_form: LogoForm | None = None
) -> HttpResponse:
    context = {
        "form": form or ProfileForm(initial=ProfileForm.facts_of(the_profile())),
        "logo_form": logo_form or LogoForm(),
        "logo": the_logo(),
    }
    return page(request, "premises/profile.html", context)


@require_POST
@of_the_owner
def change_logo(request: StaffRequest) -> HttpResponseBase:
    """Put another picture at the head of papers."""
    form = LogoForm(request.POST, request.FILES)
    return joint.answer(
        request,
        form,
        lambda key: actions.change_logo(upload=form.cleaned_data["logo"], by=request.user, once_key=key),
        then=reverse("premises:profile"),
        said="The logo is changed.",
        page=lambda: _profile_page(request, logo_form=form),
    )


@require_POST
@of_the_owner
def remove_logo(request: StaffRequest) -> HttpResponseBase:
    """Print papers without a logo."""
    form, back = PlainForm(request.POST), reverse("premises:profile")
    return joint.answer(
        request,
        form,
        lambda key: actions.change_logo(upload=None, by=request.user, once_key=key),
        then=back,
        said="Papers carry no logo from now on.",
        page=lambda: joint.sent_back(request, form, back),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def terms(request: StaffRequest) -> HttpResponseBase:
    """The shop's terms with the days from which they hold, and a form for the next."""
    form = TermsForm(
        request.POST or None, initial={"text": getattr(queries.terms_on(clock.today()), "text", "")}
    )
    return joint.answer(
        request,
        form,
        lambda key: actions.add_terms(
            from_date=form.cleaned_data["from_date"],
            text=form.cleaned_data["text"],
            by=request.user,
            once_key=key,
        ),
        then=joint.way_back(request, reverse("premises:terms")),
        said="The terms are written down.",
        page=lambda: _terms_page(request, form),
    )


def _terms_page(request: StaffRequest, form: TermsForm) -> HttpResponse:
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
    terms, form, back = get_object_or_404(Terms, pk=pk), PlainForm(request.POST), reverse("premises:terms")
    return joint.answer(
        request,
        form,
        lambda key: actions.withdraw_terms(terms=terms, by=request.user, once_key=key),
        then=back,
        said="Those terms are taken back.",
        page=lambda: joint.sent_back(request, form, back),
    )


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
    return joint.answer(
        request,
        form,
        lambda key: actions.set_next_number(
            series=form.cleaned_data["series"],
            year=form.cleaned_data["year"],
            value=form.cleaned_data["value"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("premises:numbers"),
        said=lambda row: f"The next number is {row.next_value}.",
        page=lambda: _numbers_page(request, form),
    )


def _numbers_page(request: StaffRequest, refused: NextNumberForm | None) -> HttpResponse:
    rows = []
    for series in queries.number_series():
        start = {"series": series.name, "year": series.year, "value": series.next_value}
        key = (series.name, str(series.year))
        sent = refused is not None and (refused["series"].value(), str(refused["year"].value())) == key
        form = refused if sent else NextNumberForm(initial=start, auto_id=f"id_{series.pk}_%s")
        rows.append((series, form))
    return page(request, "premises/numbers.html", {"rows": rows, "refused": refused})
