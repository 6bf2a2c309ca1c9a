"""What the house says when it cannot do what was asked: one clear sentence, never a trace."""

from __future__ import annotations

import sys

from django.conf import settings
from django.core.exceptions import RequestDataTooBig, SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import TemplateDoesNotExist
from django.utils.html import escape

from shop.frame.faults import fault_in


def _answer(request: HttpRequest, *, status: int, title: str, sentence: str) -> HttpResponse:
    context = {"status": status, "title": title, "sentence": sentence}
    try:
        return render(request, "premises/refusal.html", context, status=status)
    except TemplateDoesNotExist:
        page = (
            f"<!doctype html><title>{escape(title)}</title><h1>{escape(title)}</h1><p>{escape(sentence)}</p>"
        )
        return HttpResponse(page, status=status)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 413 for more than a form may hold, else 400."""
    if isinstance(exception, RequestDataTooBig):
        limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE // (1024 * 1024)
        sentence = (
            f"That is more text than one form takes ({limit} MB). Nothing was saved; go back, your browser still "
            "has what you typed, and shorten it or add it as a file."
        )
        return _answer(request, status=413, title="Too much text", sentence=sentence)
    if isinstance(exception, SuspiciousOperation):
        sentence = "That request was not one this shop understands. Nothing was saved."
    else:
        sentence = "The browser sent something that could not be read. Nothing was saved."
    return _answer(request, status=400, title="Not understood", sentence=sentence)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 403 with the sentence of the refusal, when it has one."""
    sentence = str(exception) or "Your account may not do that. Ask the owner of the shop."
    return _answer(request, status=403, title="Not for this account", sentence=sentence)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer 403 for a form without its token: the page stood open too long, or cookies are blocked."""
    sentence = "This page had gone stale. Load the page again and repeat the step; nothing was saved."
    return _answer(request, status=403, title="Gone stale", sentence=sentence)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 404 without saying what exists and what does not."""
    return _answer(request, status=404, title="Not here", sentence="There is nothing at this address.")


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer what the machine's fault is and what to do, or 500; the trace is in the log."""
    fault = fault_in(sys.exc_info()[1])
    if fault is not None:
        sentence = f"{fault.sentence} {fault.again}".strip()
        answer = _answer(request, status=fault.status, title=fault.title, sentence=sentence)
        if fault.is_passing:
            answer["Retry-After"] = "60"
        return answer
    sentence = (
        "Something broke on our side. Nothing of this step was saved; the details are in the shop's log."
    )
    return _answer(request, status=500, title="Something broke", sentence=sentence)
