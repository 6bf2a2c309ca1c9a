"""Signing in and out, and one's own password."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.models import Staff
from shop.frame.onward import within_the_house
from shop.frame.rooms import open_door
from shop.premises import actions, events, sessions, signing_in
from shop.premises.forms.people import ChangePasswordForm, SignInForm
from shop.premises.second_step.queries import is_set_up
from shop.premises.second_step.session import before_second_step, let_half_in
from shop.premises.views.pages import page

WRONG = "That name and that password don’t go together."


@login_not_required
@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponseBase:
    """Let somebody in. Wrong passwords make the next try wait; the right one never fails because of them for long."""
    if request.method != "POST":
        if request.user.is_authenticated:
            return HttpResponseRedirect(_onward(request))
        return _sign_in_page(request, SignInForm(), 200)
    form = SignInForm(request.POST)
    if not form.is_valid():
        return _sign_in_page(request, form, 422)
    counters = signing_in.counters_for(request, form.cleaned_data["username"])
    answer = must_wait(request, "premises/sign_in.html", form, counters, "passwords")
    if answer is not None:
        return answer
    staff = authenticate(request, **form.cleaned_data)
    if not isinstance(staff, Staff):
        events.refused(request, form.cleaned_data["username"], "password")
        wait = signing_in.seconds_to_wait(counters)
        form.add_error(None, f"{WRONG} The next try can be made in {wait} seconds." if wait else WRONG)
        answer = _sign_in_page(request, form, 422)
        if wait:
            signing_in.hand_slip(request, answer, wait)
        return answer
    signing_in.forgive(counters)
    if is_set_up(staff):
        let_half_in(request, staff, _onward(request))
        return redirect("premises:sign_in_code")
    return let_in(request, staff, _onward(request))


def let_in(request: HttpRequest, staff: Staff, onward: str) -> HttpResponseBase:
    """Begin the session of `staff`, and lead on to where they wanted to go."""
    login(request, staff, backend=settings.AUTHENTICATION_BACKENDS[0])
    events.let_in(request, staff)
    answer = HttpResponseRedirect(onward)
    signing_in.remember_device(request, answer, staff)
    return answer


def must_wait(
    request: HttpRequest, template: str, form: Form, counters: list[signing_in.Counter], what: str
) -> HttpResponse | None:
    """The page that asks to wait (429) after too many wrong ones; None where this try is let through, and counted."""
    wait = signing_in.begin_try(counters)
    if not wait:
        return None
    form.add_error(None, f"Too many wrong {what} just now. Wait {wait} seconds, then try again.")
    events.made_to_wait(request, what, wait)
    answer = render(request, template, {"form": form, "next": _wanted(request)}, status=429)
    answer["Retry-After"] = str(wait)
    signing_in.hand_slip(request, answer, wait)
    return answer


@before_second_step
@login_not_required
@require_POST
def sign_out(request: HttpRequest) -> HttpResponseBase:
    """End this session."""
    logout(request)
    return _nothing_kept(request, redirect("premises:sign_in"))


@sensitive_post_parameters("old", "password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: StaffRequest) -> HttpResponseBase:
    """One's own account: who one is here, and a new password."""
    form = ChangePasswordForm(request.POST or None, user=request.user)

    def changed(_: joint.Key) -> Staff:
        staff = actions.change_password(
            staff=request.user,
            old=form.cleaned_data["old"],
            password=form.cleaned_data["password"],
        )
        update_session_auth_hash(request, staff)
        return staff

    return joint.answer(
        request,
        form,
        changed,
        then=reverse("premises:password"),
        said="Your password is changed. Your other devices are signed out.",
        page=lambda: _password_page(request, form),
    )


def _password_page(request: StaffRequest, form: ChangePasswordForm) -> HttpResponse:
    context = {
        "form": form,
        "second_step": is_set_up(request.user),
        "sessions": sessions.of(request.user, here=request.session.session_key),
    }
    return page(request, "premises/password.html", context)


@require_POST
def end_sessions(request: StaffRequest) -> HttpResponseBase:
    """Sign out one of one's other devices, or all of them."""
    ended = actions.end_sessions(
        staff=request.user,
        here=request.session.session_key,
        which=request.POST.get("which", ""),
        by=request.user,
    )
    messages.success(request, f"{ended} signed out." if ended != 1 else "Signed out there.")
    return redirect("premises:password")


def _onward(request: HttpRequest) -> str:
    """Where to after signing in: the page that was asked for, if it is one of ours, else the first screen."""
    return (
        within_the_house(request, _wanted(request))
        or open_door("records:first_screen")
        or resolve_url("premises:password")
    )


def _nothing_kept(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """Have the browser put away pictures and papers that it stored; not what is noted and not sent, which is stored elsewhere."""
    if request.is_secure():
        answer["Clear-Site-Data"] = '"cache"'
    return answer


def _sign_in_page(request: HttpRequest, form: SignInForm, status: int) -> HttpResponse:
    answer = render(request, "premises/sign_in.html", {"form": form, "next": _wanted(request)}, status=status)
    # a session that ended by itself leaves its cookie behind
    is_left_over = settings.SESSION_COOKIE_NAME in request.COOKIES and not request.session.session_key
    return _nothing_kept(request, answer) if is_left_over else answer


def _wanted(request: HttpRequest) -> str:
    return request.POST.get("next") or request.GET.get("next") or ""
