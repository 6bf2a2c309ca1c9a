"""The owner's pages about the people who work here."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role, Staff
from shop.frame.profile import the_profile
from shop.premises import actions, queries, signing_in
from shop.premises.forms.people import DoorRulesForm, GivenPasswordForm, NewStaffForm, StaffForm
from shop.premises.second_step.queries import is_set_up, with_second_step
from shop.premises.views.pages import page

of_the_owner = for_roles(Role.OWNER)


@require_safe
@of_the_owner
def staff(request: StaffRequest) -> HttpResponse:
    """Everybody who works or worked here."""
    return _staff_page(request)


@require_POST
@of_the_owner
def set_door_rules(request: StaffRequest) -> HttpResponseBase:
    """Change how long one stays signed in, and how long tablets keep bench pages."""
    form = DoorRulesForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.set_door_rules(
            idle_hours_owner=form.cleaned_data["idle_hours_owner"],
            idle_hours_counter=form.cleaned_data["idle_hours_counter"],
            idle_hours_bench=form.cleaned_data["idle_hours_bench"],
            kept_hours=form.cleaned_data["kept_hours"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("premises:staff"),
        said="Saved. It counts from the next request.",
        page=lambda: _staff_page(request, door_form=form),
    )


@sensitive_post_parameters("password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def add(request: StaffRequest) -> HttpResponseBase:
    """Give somebody an account."""
    form = NewStaffForm(request.POST or None)

    def appoint(key: joint.Key) -> Staff:
        _prove_for_owner(request, form, None)
        return actions.add_staff(
            username=form.cleaned_data["username"],
            password=form.cleaned_data["password"],
            **form.facts(),
            by=request.user,
            once_key=key,
        )

    return joint.answer(
        request,
        form,
        appoint,
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

    def changed(key: joint.Key) -> Staff:
        _prove_for_owner(request, form, person)
        return actions.change_staff(staff=person, **form.facts(), by=request.user, once_key=key)

    return joint.answer(
        request,
        form,
        changed,
        then=_address(pk),
        said="Changed.",
        page=lambda: _member_page(request, get_object_or_404(Staff, pk=pk), form=form),
    )


@sensitive_post_parameters("password", "again")
@require_POST
@of_the_owner
def give_password(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Give somebody else a new password, to be handed over in person; one's own asks for the one until now, elsewhere."""
    person = get_object_or_404(Staff, pk=pk)
    if person == request.user:
        messages.info(request, "Change your own password here; it asks for the one until now.")
        return redirect("premises:password")
    form = GivenPasswordForm(request.POST, user=person)

    def given(_: joint.Key) -> Staff:
        if person.is_owner:
            signing_in.prove(request.user, form.cleaned_data["own"], field="own")
        return actions.give_password(staff=person, password=form.cleaned_data["password"], by=request.user)

    return joint.answer(
        request,
        form,
        given,
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


@require_POST
@of_the_owner
def end_sessions(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Sign somebody out wherever they are signed in; oneself everywhere but here."""
    person = get_object_or_404(Staff, pk=pk)
    here = request.session.session_key if person == request.user else None
    actions.end_sessions(staff=person, here=here, which="all", by=request.user)
    messages.success(request, "Signed out everywhere else." if here else "Signed out everywhere.")
    return redirect(_address(pk))


def _prove_for_owner(request: StaffRequest, form: StaffForm, person: Staff | None) -> None:
    actions.prove_for_owner(
        staff=person, roles=form.cleaned_data["roles"], by=request.user, password=form.cleaned_data["own"]
    )


def _staff_page(request: StaffRequest, door_form: DoorRulesForm | None = None) -> HttpResponse:
    shop = the_profile()
    rules = {name: getattr(shop, name) for name in DoorRulesForm.base_fields if hasattr(shop, name)}
    needed = shop.roles_with_second_step
    context = {
        "people": with_second_step(queries.staff_by_name()),
        "required": [(role, role.label, role in needed) for role in (Role.OWNER, Role.COUNTER, Role.BENCH)],
        "door_form": door_form or DoorRulesForm(initial=rules),
    }
    return page(request, "premises/staff.html", context)


def _address(pk: int) -> str:
    return reverse("premises:member", args=[pk])


def _member_page(request: StaffRequest, person: Staff, **forms: object) -> HttpResponse:
    context = {
        "person": person,
        "second_step": is_set_up(person),
        "form": StaffForm(initial=StaffForm.facts_of(person)),
        "password_form": GivenPasswordForm(user=person, auto_id="id_new_%s"),
        **forms,
    }
    return page(request, "premises/member.html", context)
