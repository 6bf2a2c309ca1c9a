"""What a session knows of the second step: who is half-way in, and whether a code was given in it."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.utils.crypto import constant_time_compare

from shop.frame import clock
from shop.frame.models import Staff
from shop.premises.second_step import KEY_BYTES
from shop.premises.second_step.queries import is_required_of, is_set_up

HALF_IN = "half-in"
CODE_GIVEN = "second-step"
KEY_SHOWN = "second-step-key"
PATIENCE = 300
"""Seconds from the password to the code."""


def let_half_in(request: HttpRequest, staff: Staff, onward: str) -> None:
    """The password was right; keep who it was, and where they want to go, until the code is given."""
    # a session that somebody else might have planted before the password was given is worth nothing after it
    request.session.cycle_key()
    request.session[HALF_IN] = {
        "staff": staff.pk,
        "password": staff.get_session_auth_hash(),
        "until": clock.now().timestamp() + PATIENCE,
        "onward": onward,
    }


def half_in(request: HttpRequest) -> tuple[Staff, str] | None:
    """Who gave the right password in this session a short while ago, and where they want to go."""
    kept = request.session.get(HALF_IN)
    now = clock.now().timestamp()
    if not kept or not now <= kept["until"] <= now + PATIENCE:
        return None
    staff = Staff.objects.filter(pk=kept["staff"], is_active=True).first()
    if staff is None or not constant_time_compare(staff.get_session_auth_hash(), kept["password"]):
        return None
    return staff, str(kept["onward"])


def note_code_given(request: HttpRequest) -> None:
    """Note that both steps were done in this session."""
    request.session.pop(HALF_IN, None)
    request.session.pop(KEY_SHOWN, None)
    request.session[CODE_GIVEN] = True


def key_to_show(request: HttpRequest) -> str:
    """The key that is offered to the app, in hex; the same one until a code confirms it or the session ends."""
    key = request.session.get(KEY_SHOWN) or secrets.token_hex(KEY_BYTES)
    request.session[KEY_SHOWN] = key
    return str(key)


def before_second_step(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Mark a view that somebody may use who has still to set the second step up."""
    view.before_second_step = True  # type: ignore[attr-defined]
    return view


class SecondStepMiddleware:
    """Where the shop requires the second step of a role, leads whoever has the role to setting it up, and nowhere else."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponseBase],
        _args: Sequence[object],
        _kwargs: Mapping[str, object],
    ) -> HttpResponseBase | None:
        """Answer in the view's place where the second step is still owed."""
        if not getattr(view, "login_required", True) or getattr(view, "before_second_step", False):
            return None
        staff = request.user
        if not isinstance(staff, Staff) or not _is_owed(request, staff):
            return None
        if is_set_up(staff):
            logout(request)
            return redirect("premises:sign_in")
        return redirect("premises:set_up_second_step")


def _is_owed(request: HttpRequest, staff: Staff) -> bool:
    return not request.session.get(CODE_GIVEN) and is_required_of(staff)
