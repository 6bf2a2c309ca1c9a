"""Headers that tell the browser what our pages may do. The policy itself stands in settings, as `SECURE_CSP`.

Django 6 brings the same setting with a middleware of its own; then `PolicyMiddleware` shrinks to the
permissions header.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from django.conf import settings
from django.http import HttpRequest, HttpResponse

# The camera is for pictures of the unit; nothing else is asked of the device.
PERMISSIONS = "camera=(self), geolocation=(), microphone=(), payment=(), usb=()"


def build_policy(directives: Mapping[str, Sequence[str]]) -> str:
    """Return the Content-Security-Policy header for `directives`; one without sources stands as its bare name."""
    return "; ".join(" ".join([name, *sources]) for name, sources in directives.items())


class PolicyMiddleware:
    """Puts the content security policy on every response that does not bring its own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.policy = build_policy(settings.SECURE_CSP)

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", self.policy)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        return response
