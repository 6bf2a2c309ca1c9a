"""The journal, the outbox, and how the shop itself is doing."""

from __future__ import annotations

import time
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import joint, wording
from shop.frame import journal as chain
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm, whole_number
from shop.frame.models import JournalHead, Role, Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping import health as health_of
from shop.keeping import mail
from shop.keeping import outbox as letters
from shop.keeping import queries as letters_kept
from shop.keeping.models import Message
from shop.keeping.tasks import ask
from shop.keeping.tasks.own import LETTERS
from shop.keeping.tasks.queries import timetable
from shop.premises import queries
from shop.premises.views.pages import page

MOST_FAULTS_SHOWN = 20


@require_safe
@for_roles(Role.OWNER)
def journal(request: StaffRequest) -> HttpResponse:
    """Who did what, newest first."""
    verb, staff = request.GET.get("verb", "")[:60], _whole(request, "staff")
    found = queries.journal_page(
        before=_whole(request, "before"), after=_whole(request, "after"), verb=verb, staff=staff
    )
    chosen = {name: value for name, value in (("verb", verb), ("staff", staff)) if value}
    context = {
        "told": wording.told(found.entries),
        "newer": f"?{urlencode({**chosen, 'after': found.newer_than})}" if found.newer_than else "",
        "older": f"?{urlencode({**chosen, 'before': found.older_than})}" if found.older_than else "",
        "verb": verb,
        "staff": staff,
        "people": Staff.objects.order_by("last_name", "username"),
        "verbs": wording.verbs(),
    }
    return page(request, "premises/journal.html", context)


@require_POST
@for_roles(Role.OWNER)
def verify_journal(request: StaffRequest) -> HttpResponseBase:
    """Walk the whole chain of the journal."""
    began = time.monotonic()
    faults = chain.verify()
    entries = JournalHead.objects.values_list("sequence", flat=True).first() or 0
    took = time.monotonic() - began
    for fault in faults[:MOST_FAULTS_SHOWN]:
        messages.error(request, fault.sentence)
    if len(faults) > MOST_FAULTS_SHOWN:
        messages.error(request, f"And {len(faults) - MOST_FAULTS_SHOWN} more.")
    if not faults:
        messages.success(request, f"The chain holds: {entries:,} entries, walked in {took:.1f} s.")
    return redirect("premises:journal")


@require_safe
@for_roles(Role.COUNTER)
def outbox(request: StaffRequest) -> HttpResponse:
    """Letters that wait, that could not be sent, and that went."""
    shown = [(message, letters.next_try(message)) for message in letters_kept.messages_shown()]
    return page(
        request,
        "premises/outbox.html",
        {"shown": shown, "set_up": mail.is_set_up(), "waits": the_profile().letters_wait},
    )


@require_POST
@for_roles(Role.COUNTER)
def send_outbox(request: StaffRequest) -> HttpResponseBase:
    """Have the worker send what is due, now."""
    form, back = PlainForm(request.POST), reverse("premises:outbox")
    if not mail.is_set_up():
        messages.error(request, "No mail server is named: an owner names one on the page Mail.")
        return joint.see_other(request, back)
    return joint.answer(
        request,
        form,
        lambda key: ask(LETTERS, by=request.user, same=LETTERS, once_key=key),
        then=back,
        said="Letters that are due are being sent.",
        page=lambda: joint.sent_back(request, form, back),
    )


@require_POST
@for_roles(Role.COUNTER)
def try_again(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Have a letter tried once more."""
    return _with_letter(request, pk, letters.try_again, "It will be tried again with the next round.")


@require_POST
@for_roles(Role.COUNTER)
def set_aside(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Decide that a letter is not to be sent."""
    return _with_letter(request, pk, letters.set_aside, "It will not be sent.")


@require_safe
def health(request: StaffRequest) -> HttpResponse:
    """Whether the shop itself is in order."""
    found = health_of.signs()
    turns = timetable()
    worst = health_of.BAD if any(turn.failed for turn in turns) else health_of.worst(found)
    return page(request, "premises/health.html", {"signs": found, "worst": worst, "turns": turns})


def _with_letter(
    request: StaffRequest, pk: int, action: letters.LetterAction, sentence: str
) -> HttpResponseBase:
    try:
        action(message=get_object_or_404(Message, pk=pk), by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, sentence)
    return redirect("premises:outbox")


def _whole(request: HttpRequest, name: str) -> int | None:
    return whole_number(request.GET.get(name, ""))
