"""The second step: giving a code at the door, and setting it up, its spare codes and its end on one's own account."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role, Staff
from shop.frame.refusal import Refusal
from shop.premises import events, signing_in
from shop.premises.forms.people import CodeForm, FirstCodeForm, OwnPasswordForm
from shop.premises.second_step import actions, queries, session
from shop.premises.views.doors import let_in, must_wait
from shop.premises.views.pages import page
from shop.press.symbols import qr_svg


@login_not_required
@sensitive_post_parameters("code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_code(request: HttpRequest) -> HttpResponseBase:
    """The second step of signing in: the code, from whoever gave the right password a short while ago."""
    waiting = session.half_in(request)
    if waiting is None:
        return redirect("premises:sign_in")
    if request.method != "POST":
        return render(request, "premises/sign_in_code.html", {"form": CodeForm()})
    staff, onward = waiting
    form = CodeForm(request.POST)
    counters = signing_in.code_counters_for(request, staff)
    answer = must_wait(request, "premises/sign_in_code.html", form, counters, "codes")
    if answer is not None:
        return answer
    if form.is_valid():
        if actions.give_code(staff=staff, code=form.cleaned_data["code"]):
            signing_in.forgive(counters)
            session.note_code_given(request)
            return let_in(request, staff, onward)
        events.refused(request, staff.username, "code")
        form.add_error("code", "That code does not open. Take the next one that the app shows.")
    else:
        signing_in.not_tried(counters)
    return render(request, "premises/sign_in_code.html", {"form": form}, status=422)


@require_safe
def second_step(request: StaffRequest) -> HttpResponse:
    """How one's own sign-in stands: the password alone, or a code after it; how many spare codes are left."""
    return _account(request)


@session.before_second_step
@sensitive_post_parameters("code", "old")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def set_up(request: StaffRequest) -> HttpResponseBase:
    """Show the key to the app, and take its first code; the spare codes are shown in the answer, this once."""
    if queries.is_set_up(request.user):
        return redirect("premises:second_step")
    key = session.key_to_show(request)
    form = FirstCodeForm(request.POST or None)
    done = joint.taken(
        form,
        lambda _: actions.set_up(
            staff=request.user,
            key=key,
            code=form.cleaned_data["code"],
            password=form.cleaned_data["old"],
        ),
    )
    if done is not None and done.made is not None:
        update_session_auth_hash(request, request.user)
        session.note_code_given(request)
        return _spare_codes(request, done.made)
    context = {
        "form": form,
        "code": qr_svg(queries.key_address(request.user, key), module_mm=1.0, error="m"),
        "key": queries.key_in_letters(key).split(),
        "required": queries.is_required_of(request.user),
    }
    return page(request, "premises/second_step_set_up.html", context)


@sensitive_post_parameters("old")
@never_cache
@require_POST
def new_spare_codes(request: StaffRequest) -> HttpResponseBase:
    """Make other spare codes and show them, this once."""
    form = OwnPasswordForm(request.POST, auto_id="id_codes_%s")
    done = joint.taken(
        form, lambda _: actions.make_spare_codes(staff=request.user, password=form.cleaned_data["old"])
    )
    if done is not None and done.made is not None:
        return _spare_codes(request, done.made)
    return _account(request, codes_form=form)


@sensitive_post_parameters("old")
@require_POST
def drop_second_step(request: StaffRequest) -> HttpResponseBase:
    """Go back to the password alone."""
    form = OwnPasswordForm(request.POST, auto_id="id_drop_%s")
    return joint.answer(
        request,
        form,
        lambda _: actions.drop(staff=request.user, password=form.cleaned_data["old"]),
        then=reverse("premises:second_step"),
        said="Your password alone opens again.",
        page=lambda: _account(request, drop_form=form),
    )


@require_POST
@for_roles(Role.OWNER)
def reset_second_step(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Remove the second step from somebody's account, whose phone is lost."""
    person = get_object_or_404(Staff, pk=pk)
    if person == request.user:
        return redirect("premises:second_step")
    actions.reset(staff=person, by=request.user)
    messages.success(request, "The password alone opens that account now.")
    return redirect("premises:member", pk)


_EVERYBODY = {Role.OWNER: "Owners", Role.COUNTER: "All at the counter", Role.BENCH: "All at the bench"}


@require_POST
@for_roles(Role.OWNER)
def require_second_step(request: StaffRequest) -> HttpResponseBase:
    """Require the second step of everybody with a role, or leave it open to them."""
    required = request.POST.get("required") == "yes"
    sent = request.POST.get("role", Role.OWNER)
    role = Role(sent) if sent in Role.values else Role.OWNER
    try:
        actions.require_of(role, required=required, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        needs = "need it now" if required else "may do without it"
        messages.success(request, f"{_EVERYBODY[role]} {needs}.")
    return redirect("premises:staff")


def _account(
    request: StaffRequest,
    *,
    codes_form: OwnPasswordForm | None = None,
    drop_form: OwnPasswordForm | None = None,
) -> HttpResponse:
    context = {
        "is_set_up": queries.is_set_up(request.user),
        "left": queries.spare_codes_left(request.user),
        "codes_form": codes_form or OwnPasswordForm(auto_id="id_codes_%s"),
        "drop_form": drop_form or OwnPasswordForm(auto_id="id_drop_%s"),
    }
    return page(request, "premises/second_step.html", context)


def _spare_codes(request: StaffRequest, codes: list[str]) -> HttpResponse:
    shown = [f"{code[:5]} {code[5:]}" for code in codes]
    return page(request, "premises/spare_codes.html", {"codes": shown})
