"""A form's key: claimed before anything is done, settled with what was made, free again where nothing was done."""

from __future__ import annotations

import contextlib
import threading
import uuid

import pytest
from django.db import connection

from shop.frame.journal import acting
from shop.frame.models import JournalEntry, OnceKey, Staff
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
from tests.factories.premises import StaffFactory

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def appoint(key: uuid.UUID | None) -> Staff:
    with acting(by=None, once=key) as act:
        staff = StaffFactory.create()
        act.record("staff.appointed", subject=staff)
    return staff


def test_a_form_sent_twice_is_told_what_the_first_one_made() -> None:
    key = uuid.uuid4()
    staff = appoint(key)
    with pytest.raises(AlreadyTaken) as again:
        appoint(key)
    assert (again.value.result_type, again.value.result_id) == ("frame.staff", staff.pk)
    assert OnceKey.objects.get().verb == "staff.appointed"
    assert (Staff.objects.count(), JournalEntry.objects.count()) == (1, 1)


def test_the_second_sending_is_stopped_before_anything_is_looked_at() -> None:
    key = uuid.uuid4()
    appoint(key)
    with pytest.raises(AlreadyTaken), acting(by=None, once=key):
        pytest.fail("The block of a key that was taken ran.")


def test_what_was_refused_may_be_sent_again_with_the_same_key() -> None:
    key = uuid.uuid4()
    with pytest.raises(Refusal), acting(by=None, once=key):
        raise Refusal("Not like this.")
    assert not OnceKey.objects.exists()
    appoint(key)


def test_what_the_action_says_it_made_counts_for_more_than_its_last_entry() -> None:
    made, spoken_of = StaffFactory.create(), StaffFactory.create()
    with acting(by=None, once=uuid.uuid4()) as act:
        act.made(made)
        act.record("test.written", subject=spoken_of)
    assert OnceKey.objects.get().result_id == made.pk


def test_each_action_of_one_act_settles_its_own_key_with_its_own_work() -> None:
    outer, inner = uuid.uuid4(), uuid.uuid4()
    first, second, third = StaffFactory.create_batch(3)
    with acting(by=None, once=outer) as act:
        act.made(first)
        with acting(by=None, once=inner):
            act.record("test.written", subject=second)
        with acting(by=None):
            act.made(third)
    keys = {key.key: key.result_id for key in OnceKey.objects.all()}
    assert keys == {outer: first.pk, inner: second.pk}


def test_an_inner_action_that_is_refused_leaves_its_key_free_and_the_outer_one_goes_on() -> None:
    outer, inner = uuid.uuid4(), uuid.uuid4()
    staff = StaffFactory.create()
    with acting(by=None, once=outer) as act:
        with contextlib.suppress(Refusal), acting(by=None, once=inner):
            act.record("test.written", subject=staff)
            raise Refusal("Not like this.")
        act.record("test.read", subject=staff)
    assert {key.key: key.verb for key in OnceKey.objects.all()} == {outer: "test.read"}


def test_an_act_without_a_key_claims_none() -> None:
    appoint(None)
    assert not OnceKey.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_of_eight_who_send_one_form_at_once_one_makes_it_and_seven_are_told_so() -> None:
    key, start = uuid.uuid4(), threading.Barrier(8)
    made: list[int] = []
    told: list[int | None] = []

    def send() -> None:
        start.wait()
        try:
            made.append(appoint(key).pk)
        except AlreadyTaken as taken:
            told.append(taken.result_id)
        finally:
            connection.close()

    senders = [threading.Thread(target=send) for _ in range(8)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join()
    assert len(made) == 1
    assert told == made * 7
