"""A word for programs that watch whether the shop is well."""

from __future__ import annotations

import time

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from shop.keeping import health

ASKED_ANEW = 30.0
"""Seconds: strangers may ask as often as they like, and the shop is not looked at more often."""
_last: list[tuple[float, str]] = []


@login_not_required
@require_safe
def healthz(_request: HttpRequest) -> HttpResponse:
    """One word, `good`, `near` or `bad` (with 503), and nothing about the shop."""
    now = time.monotonic()
    if not _last or now - _last[0][0] > ASKED_ANEW:
        _last[:] = [(now, health.worst(health.signs()))]
    word = _last[0][1]
    response = HttpResponse(
        word, content_type="text/plain; charset=utf-8", status=503 if word == health.BAD else 200
    )
    response["Cache-Control"] = "no-store"
    return response
