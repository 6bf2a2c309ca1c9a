"""Letters are read in the outbox, changed before they go, and wait to be looked at where the owner wants it."""

from __future__ import annotations

from typing import Any

import pytest
from django.core import mail
from django.urls import reverse

from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.keeping import outbox
from shop.keeping.models import Message
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import once

TYPED = {"to": "marguerite@osei.example", "subject": "Your deck", "body": "It is ready.\n\nOttoline"}


@pytest.fixture
def owner(db: None) -> Any:
    ShopProfileFactory()
    return StaffFactory(username="ottoline")


@pytest.fixture
def desk(client: Any, owner: Any) -> Any:
    client.force_login(owner)
    return client


def written(owner: Any) -> Message:
    return outbox.write_message(to="a@osei.example", subject="Ready", body="It is redy.", by=owner)


def test_a_letter_is_read_whole_and_changed_before_it_goes(desk, owner) -> None:
    message = written(owner)
    address = reverse("premises:letter", args=[message.pk])
    assert "It is redy." in desk.get(address).content.decode()
    assert address in desk.get(reverse("premises:outbox")).content.decode()
    desk.post(address, once(**TYPED, go="now"))
    assert outbox.send_waiting().sent == 1
    (sent,) = mail.outbox
    assert (sent.to, sent.subject, sent.body) == ([TYPED["to"]], TYPED["subject"], TYPED["body"])
    with pytest.raises(Refusal, match="sent already"):
        outbox.change_message(message=message, to="x@y.example", subject="x", body="x", let_go=True, by=owner)


def test_a_letter_that_is_kept_does_not_go_until_it_is_let_go(desk, owner) -> None:
    message = written(owner)
    address = reverse("premises:letter", args=[message.pk])
    desk.post(address, once(**TYPED))
    assert outbox.send_waiting().sent == 0
    desk.post(address, once(**TYPED, go="now"))
    assert outbox.send_waiting().sent == 1


def test_where_the_owner_wants_it_every_letter_waits_to_be_looked_at(desk, owner) -> None:
    desk.post(reverse("premises:let_letters_wait"), once())
    assert ShopProfile.objects.get().letters_wait
    message = written(owner)
    assert "to be looked at" in desk.get(reverse("premises:outbox")).content.decode()
    assert outbox.send_waiting().sent == 0
    desk.post(reverse("premises:letter", args=[message.pk]), once(**TYPED, go="now"))
    assert outbox.send_waiting().sent == 1
    desk.post(reverse("premises:let_letters_wait"), once())
    written(owner)
    assert outbox.send_waiting().sent == 1


@pytest.mark.parametrize("wrong", [{"to": "nobody"}, {"body": ""}, {"subject": " "}])
def test_a_wrong_letter_is_asked_again_and_what_was_typed_is_kept(desk, owner, wrong) -> None:
    message = written(owner)
    answer = desk.post(reverse("premises:letter", args=[message.pk]), once(**(TYPED | wrong)))
    assert answer.status_code == 422
    assert "marguerite" in answer.content.decode() or "nobody" in answer.content.decode()
    message.refresh_from_db()
    assert message.body == "It is redy."
