"""Signing in and out, and one's own password."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.models import Staff
from shop.frame.rooms import open_door
from shop.premises import actions, signing_in
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
            return redirect(_onward(request))
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
        signing_in.count_wrong(counters)
        wait = signing_in.seconds_to_wait(counters)
        form.add_error(None, f"{WRONG} The next try can be made in {wait} seconds." if wait else WRONG)
        return _sign_in_page(request, form, 422)
    signing_in.forgive(counters)
    if is_set_up(staff):
        let_half_in(request, staff, _onward(request))
        return redirect("premises:sign_in_code")
    return let_in(request, staff, _onward(request))


def let_in(request: HttpRequest, staff: Staff, onward: str) -> HttpResponseBase:
    """Begin the session of `staff`, and lead on to where they wanted to go."""
    login(request, staff, backend=settings.AUTHENTICATION_BACKENDS[0])
    answer = redirect(onward)
    signing_in.remember_device(request, answer, staff)
    return answer


def must_wait(
    request: HttpRequest, template: str, form: Form, counters: list[signing_in.Counter], what: str
) -> HttpResponse | None:
    """The page that asks to wait (429) when too many wrong ones were given just now; None when a try may be made."""
    wait = signing_in.seconds_to_wait(counters)
    if not wait:
        return None
    form.add_error(None, f"Too many wrong {what} just now. Wait {wait} seconds, then try again.")
    answer = render(request, template, {"form": form, "next": _wanted(request)}, status=429)
    answer["Retry-After"] = str(wait)
    return answer


@before_second_step
@login_not_required
@require_POST
def sign_out(request: HttpRequest) -> HttpResponseBase:
    """End this session."""
    logout(request)
    return redirect("premises:sign_in")


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
    return page(request, "premises/password.html", {"form": form, "second_step": is_set_up(request.user)})


def _onward(request: HttpRequest) -> str:
    """Where to after signing in: the page that was asked for, if it is one of ours, else the first screen."""
    wanted = _wanted(request)
    if url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    ):
        return wanted
    return open_door("records:first_screen") or resolve_url("premises:password")


def _sign_in_page(request: HttpRequest, form: SignInForm, status: int) -> HttpResponse:
    return render(request, "premises/sign_in.html", {"form": form, "next": _wanted(request)}, status=status)


def _wanted(request: HttpRequest) -> str:
    return request.POST.get("next") or request.GET.get("next") or ""
