"""Who may come in: roles at the views' doors, and the decorator that turns a refusal into a sentence beside the form."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from shop.frame.models import Staff

P = ParamSpec("P")


class StaffRequest(HttpRequest):
    """A request of someone who is signed in; the login middleware guarantees it."""

    user: Staff
    htmx: object


View = Callable[Concatenate[StaffRequest, P], HttpResponseBase]


def for_roles(*roles: str) -> Callable[[View[P]], View[P]]:
    """Let in the named roles and owners; everyone else gets the 403 page."""

    def decorate(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: StaffRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not request.user.has_role(*roles):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        # what decorates this in turn carries it outward, so that a test can walk all doors and read whom each lets in
        guarded.roles = frozenset(map(str, roles))  # type: ignore[attr-defined]
        return guarded

    return decorate
