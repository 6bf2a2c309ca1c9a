"""What the window hangs up in the pages of lower rooms and beside it: the conversation, the link."""

from __future__ import annotations

from django.http import HttpRequest
from django.template.loader import render_to_string

from shop.counter.models import Job
from shop.frame.formwork import PlainForm
from shop.window.forms import ReplyForm
from shop.window.models import WindowKey, Word


def conversation(request: HttpRequest, *, job: Job) -> str:
    """On the job card: words to the shop and back, with a form to answer; the link to the page."""
    words = list(Word.objects.filter(job=job))
    context = {
        "job": job,
        "words": words,
        "unread": any(word.from_customer and word.seen_at is None for word in words),
        "form": ReplyForm(auto_id="reply-%s"),
        "key_form": PlainForm(),
    }
    return render_to_string("window/places/conversation.html", context, request)


def link(request: HttpRequest, *, job: Job) -> str:
    """Where a job has just been booked in, and on its page at the counter: give the customer the link."""
    keys = WindowKey.objects.filter(job=job, withdrawn_at__isnull=True).count()
    context = {"job": job, "keys": keys, "key_form": PlainForm()}
    return render_to_string("window/places/link.html", context, request)
