"""The outbox: letters are written in the action's own transaction, and sent afterwards by `manage.py send_outbox`.

What could not be sent is tried again, at growing distances, and stays in sight of the counter the whole time.
"""

from __future__ import annotations

import datetime as dt
import smtplib
import uuid
from dataclasses import dataclass
from typing import Protocol

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.db.models import F

from shop.frame import clock
from shop.frame.journal import acting
from shop.frame.models import ShopProfile, Staff
from shop.frame.once import keyless
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping import mail
from shop.keeping.models import IssuedPaper, Message
from shop.keeping.papers import Altered, stored_bytes
from shop.keeping.queries import waiting_messages

NEXT_TRY_MINUTES = (0, 2, 10, 30, 120, 360, 720, 1440)
"""Minutes from one try to the next: counted from when the letter was written; the last distance repeats."""
LONGEST_ERROR = 300


class LetterAction(Protocol):
    """What a person does with one letter of the outbox."""

    def __call__(self, *, message: Message, by: Staff | None) -> None: ...


@dataclass(frozen=True, slots=True)
class Sent:
    """What one round did: letters sent, letters that failed and will be tried again, letters not due yet."""

    sent: int
    failed: int
    waiting: int


@keyless("joined")
def write_message(
    *,
    to: str,
    subject: str,
    body: str,
    paper: IssuedPaper | None = None,
    by: Staff | None,
    at: dt.datetime | None = None,
) -> Message:
    """Put a letter into the outbox, with a paper attached if one is given. Joins the caller's act; nothing is sent yet."""
    try:
        validate_email(to)
    except ValidationError as error:
        raise Refusal(f"“{to[:60]}” is no e-mail address.", field="email") from error
    with acting(by=by, at=at) as act:
        message = Message.objects.create(
            to=to,
            subject=" ".join(subject.split())[:200],
            body=body,
            paper=paper,
            written_at=act.at,
            held_at=act.at if the_profile().letters_wait else None,
        )
        act.record("message.written", subject=message)
    return message


def send_waiting(*, at: dt.datetime | None = None) -> Sent:
    """Send what is due. Safe to run as often as one likes, and twice at once: each letter is claimed before it goes.

    A letter that left just as the program died may go twice; its Message-ID is the same, so that mail readers show one.
    """
    now = at or clock.now()
    messages = list(waiting_messages().filter(held_at=None).select_related("paper"))
    due = [message for message in messages if next_try(message) <= now]
    sent = failed = 0
    if due and not mail.is_set_up():
        return Sent(0, 0, len(messages))
    for message in due:
        claimed = Message.objects.filter(
            pk=message.pk, tries=message.tries, sent_at=None, set_aside_at=None, held_at=None
        )
        if not claimed.update(tries=F("tries") + 1):
            continue
        if _send(message):
            sent += 1
        else:
            failed += 1
    return Sent(sent, failed, len(messages) - sent - failed)


def next_try(message: Message) -> dt.datetime:
    """When a waiting letter is due."""
    known = NEXT_TRY_MINUTES[: message.tries + 1]
    beyond = max(0, message.tries + 1 - len(NEXT_TRY_MINUTES))
    return message.written_at + dt.timedelta(minutes=sum(known) + beyond * NEXT_TRY_MINUTES[-1])


def try_again(
    *, message: Message, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Have a letter tried as soon as the outbox is next sent."""
    with acting(by=by, at=at, once=once_key) as act:
        waiting = Message.objects.filter(pk=message.pk, sent_at=None)
        if not waiting.update(tries=0, last_error="", set_aside_at=None):
            raise Refusal("This letter was sent already.")
        act.record("message.tried_again", subject=message)


def change_message(
    *,
    message: Message,
    to: str,
    subject: str,
    body: str,
    let_go: bool,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Message:
    """Change a letter before it goes; `let_go` has it sent with the next round. What went stays as it went."""
    if not subject.strip() or not body.strip():
        raise Refusal("A letter has a subject and says something.", field="body")
    with acting(by=by, at=at, once=once_key) as act:
        waiting = Message.objects.filter(pk=message.pk, sent_at=None)
        held = None if let_go else (message.held_at or act.at)
        if not waiting.update(
            to=to.strip(),
            subject=" ".join(subject.split())[:200],
            body=body,
            held_at=held,
            tries=0,
            last_error="",
            set_aside_at=None,
        ):
            raise Refusal("This letter was sent already.")
        act.record("message.changed", subject=message, let_go=let_go)
    message.refresh_from_db()
    return message


def let_letters_wait(
    *, wait: bool, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Have every letter looked at before it goes, or have them go by themselves; those that wait stay where they are."""
    with acting(by=by, at=at, once=once_key) as act:
        ShopProfile.objects.filter(pk=1).update(letters_wait=wait)
        act.record("letters.wait" if wait else "letters.go")


def set_aside(
    *, message: Message, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Decide that a letter is not to be sent. It stays in sight."""
    with acting(by=by, at=at, once=once_key) as act:
        if not Message.objects.filter(pk=message.pk, sent_at=None, set_aside_at=None).update(
            set_aside_at=act.at
        ):
            raise Refusal("This letter was sent, or marked as not to be sent, already.")
        act.record("message.set_aside", subject=message)


def _send(message: Message) -> bool:
    try:
        letter = _letter(message, mail.the_server())
        letter.send(fail_silently=False)
    except (OSError, smtplib.SMTPException, ValueError, Refusal, Altered) as error:
        reason = " ".join(str(error).split()) or type(error).__name__
        Message.objects.filter(pk=message.pk).update(last_error=reason[:LONGEST_ERROR])
        return False
    with acting(by=None) as act:
        Message.objects.filter(pk=message.pk).update(
            sent_at=max(clock.now(), message.written_at), last_error=""
        )
        act.record("message.sent", subject=message)
    return True


def _letter(message: Message, server: mail.Server | None) -> EmailMessage:
    letter = EmailMessage(
        subject=message.subject,
        body=message.body,
        from_email=mail.sender(),
        to=[message.to],
        reply_to=[the_profile().email] if the_profile().email else None,
        headers={"Message-ID": f"<letter-{message.pk}-{message.written_at:%Y%m%d%H%M%S}@{_domain()}>"},
        connection=server.connection() if server else None,
    )
    if message.paper is not None:
        letter.attach(f"{message.paper.title}.pdf", stored_bytes(message.paper), "application/pdf")
    return letter


def _domain() -> str:
    return mail.sender().rpartition("@")[2].strip("<> ") or "shop.invalid"
