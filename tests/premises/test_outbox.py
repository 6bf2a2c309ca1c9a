"""The outbox: nothing is sent before the act is done, nothing is lost when it can't be sent, nothing goes twice."""

from __future__ import annotations

import datetime as dt
import smtplib
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import Client
from django.urls import reverse

from shop.frame.models import JournalEntry, ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.keeping import health
from shop.keeping.mail import sender
from shop.keeping.models import Message
from shop.keeping.outbox import next_try, send_waiting, set_aside, try_again, write_message
from shop.keeping.papers import stored_bytes
from shop.press.issuing import issue_paper
from tests.factories.premises import StaffFactory
from tests.premises import samples
from tests.working import do_all

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "sample_papers")]


@pytest.fixture
def staff() -> Staff:
    return StaffFactory(roles=["counter"])


def write(**more: Any) -> Message:
    facts = {"to": "isolde@customer.example", "subject": "Your receiver", "body": "It is ready.", "by": None}
    return write_message(**{**facts, **more})


class Down(EmailBackend):
    """A mail server that is down."""

    def send_messages(self, _messages: Any) -> int:
        raise smtplib.SMTPServerDisconnected("Connection unexpectedly\nclosed")


@pytest.fixture
def down(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(EmailBackend, "send_messages", Down.send_messages)


def test_a_letter_goes_out_with_its_paper_under_the_shops_name(staff: Staff) -> None:
    paper = issue_paper(
        kind="invoice",
        number="2026-0012",
        title="Invoice 2026-0012",
        template="sample_invoice.html",
        context=samples.invoice(),
        by=staff,
    )
    message = write(paper=paper, by=staff)
    assert mail.outbox == []
    assert send_waiting().sent == 1
    (letter,) = mail.outbox
    assert letter.to == ["isolde@customer.example"]
    assert letter.from_email == "Halftone Bench <bench@halftone.example>"
    assert letter.reply_to == ["bench@halftone.example"]
    assert letter.attachments[0] == ("Invoice 2026-0012.pdf", stored_bytes(paper), "application/pdf")
    message.refresh_from_db()
    assert message.sent_at is not None
    assert send_waiting().sent == 0
    assert len(mail.outbox) == 1
    assert set(JournalEntry.objects.values_list("verb", flat=True)) >= {"message.written", "message.sent"}


def test_a_letter_of_an_act_that_failed_was_never_written() -> None:
    def fail() -> None:
        with transaction.atomic():
            write()
            raise RuntimeError("no")

    with pytest.raises(RuntimeError):
        fail()
    assert not Message.objects.exists()
    assert send_waiting().sent == 0


@pytest.mark.parametrize(
    "to",
    ["", "isolde", "a@b@c", "two@customer.example, three@customer.example", "x@y\nBcc: z@customer.example"],
)
def test_what_is_no_address_is_refused_at_its_field(to: str) -> None:
    with pytest.raises(Refusal, match="is no e-mail address") as refusal:
        write(to=to)
    assert refusal.value.field == "email"


def test_a_subject_can_not_carry_a_second_header() -> None:
    write(subject="Ready\nBcc: everybody@customer.example")
    send_waiting()
    assert mail.outbox[0].subject == "Ready Bcc: everybody@customer.example"
    assert mail.outbox[0].recipients() == ["isolde@customer.example"]


@pytest.mark.usefixtures("down")
def test_a_letter_that_could_not_be_sent_stays_in_sight_and_is_tried_at_growing_distances() -> None:
    with time_machine.travel("2026-11-25T10:00:00Z", tick=False) as clock:
        message = write()
        waits = []
        for _ in range(10):
            assert send_waiting().failed == 1
            assert send_waiting().failed == 0
            message.refresh_from_db()
            due = next_try(message)
            waits.append(int((due - dt.datetime.now(dt.UTC)).total_seconds() // 60))
            clock.move_to(due)
    assert waits == [2, 10, 30, 120, 360, 720, 1440, 1440, 1440, 1440]
    assert message.last_error == "Connection unexpectedly closed"
    assert message.tries == 10
    assert message.sent_at is None


@pytest.mark.usefixtures("down")
def test_health_names_letters_that_could_not_be_sent() -> None:
    write()
    send_waiting()
    (letters,) = [sign for sign in health.signs() if sign.title == "Letters"]
    assert (letters.state, letters.sentence) == (
        "bad",
        "One letter could not be sent: Connection unexpectedly closed",
    )


def test_a_letter_claimed_by_another_round_is_left_to_it(monkeypatch: pytest.MonkeyPatch) -> None:
    message = write()
    taken = Message.objects.get(pk=message.pk)
    monkeypatch.setattr("shop.keeping.outbox.waiting_messages", lambda: Pretend([taken]))
    Message.objects.filter(pk=message.pk).update(tries=1)
    assert send_waiting().sent == 0
    assert mail.outbox == []


class Pretend(list):  # type: ignore[type-arg]
    """What the other round had read before."""

    def filter(self, **_: object) -> Pretend:
        return self

    def select_related(self, *_: str) -> Pretend:
        return self


def test_the_same_letter_keeps_its_message_id() -> None:
    write()
    send_waiting()
    Message.objects.update(sent_at=None, tries=0)
    send_waiting()
    first, second = mail.outbox
    assert first.extra_headers["Message-ID"] == second.extra_headers["Message-ID"]
    assert first.extra_headers["Message-ID"].endswith("@halftone.example>")


def test_without_a_mail_server_letters_wait_and_the_pages_say_so(
    settings: Any, client: Client, staff: Staff
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST = ""
    message = write()
    assert send_waiting() == type(send_waiting())(0, 0, 1)
    message.refresh_from_db()
    assert message.tries == 0
    client.force_login(staff)
    assert "No mail server is named" in client.get(reverse("premises:outbox")).content.decode()
    with pytest.raises(CommandError, match="SHOP_MAIL_HOST"):
        call_command("send_outbox")


def test_who_letters_come_from(settings: Any) -> None:
    assert sender() == "Halftone Bench <bench@halftone.example>"
    settings.DEFAULT_FROM_EMAIL = "office@halftone.example"
    assert sender() == "Halftone Bench <office@halftone.example>"
    settings.DEFAULT_FROM_EMAIL = "The Office <office@halftone.example>"
    assert sender() == "The Office <office@halftone.example>"
    settings.DEFAULT_FROM_EMAIL = ""
    ShopProfile.objects.update(name='Müller, "Radio" & Söhne')
    assert sender().endswith("<bench@halftone.example>")


def test_a_letter_can_be_set_aside_and_taken_up_again(client: Client, staff: Staff) -> None:
    message = write()
    client.force_login(staff)
    client.post(reverse("premises:set_aside", args=[message.pk]))
    assert send_waiting().sent == 0
    client.post(reverse("premises:try_again", args=[message.pk]))
    assert send_waiting().sent == 1
    for action in (set_aside, try_again):
        with pytest.raises(Refusal):
            action(message=message, by=staff)
    late = client.post(reverse("premises:set_aside", args=[message.pk]), follow=True)
    assert "marked as not to be sent, already" in late.content.decode()


@pytest.mark.usefixtures("down")
def test_the_outbox_page_shows_why_and_when_again(client: Client, staff: Staff) -> None:
    write()
    client.force_login(staff)
    client.post(reverse("premises:send_outbox"))
    do_all()
    page = client.get(reverse("premises:outbox")).content.decode()
    assert "Connection unexpectedly closed" in page
    assert "Again after" in page


def test_the_outbox_is_the_counters_not_the_benchs(client: Client) -> None:
    client.force_login(StaffFactory(roles=["bench"]))
    assert client.get(reverse("premises:outbox")).status_code == 403


def test_the_command_says_what_it_did(capsys: Any) -> None:
    write()
    call_command("send_outbox")
    assert "Sent 1, failed 0, still waiting 0." in capsys.readouterr().out
