"""The owner's pages about the people who work here."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role, Staff
from shop.frame.profile import the_profile
from shop.premises import actions, queries
from shop.premises.forms.people import NewStaffForm, PasswordTwiceForm, StaffForm
from shop.premises.second_step.queries import is_set_up, with_second_step
from shop.premises.views.pages import page

of_the_owner = for_roles(Role.OWNER)


@require_safe
@of_the_owner
def staff(request: StaffRequest) -> HttpResponse:
    """Everybody who works or worked here."""
    people = with_second_step(queries.staff_by_name())
    context = {"people": people, "required": the_profile().owners_need_second_step}
    return page(request, "premises/staff.html", context)


@sensitive_post_parameters("password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def add(request: StaffRequest) -> HttpResponseBase:
    """Give somebody an account."""
    form = NewStaffForm(request.POST or None)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_staff(
            username=form.cleaned_data["username"],
            password=form.cleaned_data["password"],
            **form.facts(),
            by=request.user,
            once_key=key,
        ),
        then=reverse("premises:staff"),
        said=lambda person: f"{person} can sign in now.",
        page=lambda: page(request, "premises/staff_add.html", {"form": form}),
    )


@require_safe
@of_the_owner
def member(request: StaffRequest, pk: int) -> HttpResponse:
    """One person: what they are called, what they may do, their account."""
    return _member_page(request, get_object_or_404(Staff, pk=pk))


@require_POST
@of_the_owner
def change(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Change what is known of somebody and what they may do."""
    person = get_object_or_404(Staff, pk=pk)
    form = StaffForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.change_staff(staff=person, **form.facts(), by=request.user, once_key=key),
        then=_address(pk),
        said="Changed.",
        page=lambda: _member_page(request, get_object_or_404(Staff, pk=pk), form=form),
    )


@sensitive_post_parameters("password", "again")
@require_POST
@of_the_owner
def give_password(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Give somebody a new password, to be handed over in person."""
    person = get_object_or_404(Staff, pk=pk)
    form = PasswordTwiceForm(request.POST, user=person)
    return joint.answer(
        request,
        form,
        lambda _: actions.give_password(
            staff=person, password=form.cleaned_data["password"], by=request.user
        ),
        then=_address(pk),
        said="The new password works from now on.",
        page=lambda: _member_page(request, person, password_form=form),
    )


@require_POST
@of_the_owner
def retire(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Close somebody's account."""
    person = get_object_or_404(Staff, pk=pk)
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.retire_staff(staff=person, by=request.user, once_key=key),
        then=_address(pk),
        said="The account is closed. What was done under it stays.",
        page=lambda: joint.sent_back(request, form, _address(pk)),
    )


@require_POST
@of_the_owner
def bring_back(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Open a closed account again."""
    person, form = get_object_or_404(Staff, pk=pk), PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.bring_back_staff(staff=person, by=request.user, once_key=key),
        then=_address(pk),
        said="The account is open again.",
        page=lambda: joint.sent_back(request, form, _address(pk)),
    )


def _address(pk: int) -> str:
    return reverse("premises:member", args=[pk])


def _member_page(request: StaffRequest, person: Staff, **forms: object) -> HttpResponse:
    context = {
        "person": person,
        "second_step": is_set_up(person),
        "form": StaffForm(initial=StaffForm.facts_of(person)),
        "password_form": PasswordTwiceForm(user=person, auto_id="id_new_%s"),
        **forms,
    }
    return page(request, "premises/member.html", context)
