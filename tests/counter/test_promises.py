"""Dates given to the customer: in two steps, each kept as it was told, and none on their page that the shop didn't give."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter import actions, promising
from shop.counter.models import Job, Promise
from shop.counter.papers import claim_check_context
from shop.frame import clock
from shop.frame.models import Role
from shop.frame.refusal import Refusal
from shop.premises.actions import set_promise_rules
from shop.window.page import WindowPage
from tests.factories.counter import booked_in
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db

WORD, READY = Promise.What.WORD, Promise.What.READY


def days(count: int) -> dt.date:
    return clock.today() + dt.timedelta(days=count)


@pytest.fixture
def job(monkeypatch: pytest.MonkeyPatch) -> Job:
    """A job of which no room above says anything."""
    monkeypatch.setattr(promising, "_objections", [])
    monkeypatch.setattr(promising, "_offerings", [])
    return booked_in()


def promise(job: Job, day: dt.date | None, what: str = READY) -> None:
    actions.promise(job=job, promised_for=day, what=what, by=job.accepted_by)


def test_the_last_date_of_each_kind_stands_and_the_earlier_ones_stay_known(job: Job) -> None:
    promise(job, days(3), WORD)
    promise(job, days(5), WORD)
    promise(job, days(20))
    standing = promising.standing([job.pk])[job.pk]
    assert (standing[WORD].day, standing[READY].day) == (days(5), days(20))
    promise(job, None)
    assert set(promising.standing([job.pk])[job.pk]) == {WORD}
    assert Promise.objects.count() == 4
    assert Job.objects.get(pk=job.pk).promised_for is None


@pytest.mark.postgres
def test_what_was_promised_cannot_be_changed_afterwards(job: Job) -> None:
    promise(job, days(3))
    with pytest.raises(DatabaseError), transaction.atomic():
        Promise.objects.update(day=days(30))


def test_no_finish_date_is_given_while_something_speaks_against_it(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(promising, "_objections", [lambda _: "The fault is not known yet."])
    with pytest.raises(Refusal, match="The fault is not known yet"):
        promise(job, days(9))
    promise(job, days(9), WORD)
    promise(job, None)


def test_the_forecast_of_the_moment_is_kept_with_the_promise(
    job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    offer = promising.Offer(days(4), days(8), "40 jobs")
    monkeypatch.setattr(promising, "_offerings", [lambda _, what: offer if what == WORD else None])
    promise(job, days(9), WORD)
    one = Promise.objects.get()
    assert (one.day, one.likely, one.safe, one.because) == (days(9), days(4), days(8), "turn")


def test_the_customer_reads_a_date_and_a_reason_and_no_odds(job: Job) -> None:
    assert WindowPage(job).promise_words == ""
    promise(job, days(3), WORD)
    said = WindowPage(job).promise_words
    assert said.startswith("You will hear from us by ")
    assert said.endswith(": it waits its turn on the bench.")
    promise(job, days(12))
    assert WindowPage(job).promise_words.startswith("We hope to have it ready by ")
    assert not any(odds in said for odds in ("%", "likely", "85"))


def test_a_first_word_that_was_had_is_promised_no_more(job: Job) -> None:
    promise(job, days(3), WORD)
    actions.set_ready_unopened(job=job, outcome="declined", by=job.accepted_by)
    assert WindowPage(Job.objects.get(pk=job.pk)).promise_words == ""
    assert job.pk in promising.first_words([job.pk])


def test_a_date_that_passed_is_said_to_have_passed(job: Job) -> None:
    promise(job, days(-2))
    assert WindowPage(job).promise_words.endswith("and need longer. We will write here when we know more.")


def test_papers_carry_the_date_if_the_shop_wants_it(job: Job) -> None:
    promise(job, days(3), WORD)

    def labels() -> list[str]:
        told = claim_check_context([job], on=clock.today(), accepted_by=job.accepted_by)
        return [fact.label for fact in told["jobs"][0]["facts"]]

    assert "You hear from us by" not in labels()
    set_promise_rules(retell_days=3, on_papers=True, quiet_hour=21, by=None)
    assert "You hear from us by" in labels()
    promise(job, days(20))
    assert "Ready by" in labels()
    assert "You hear from us by" not in labels()


def test_both_dates_are_given_at_the_counter(client: Client, job: Job) -> None:
    client.force_login(StaffFactory(roles=[Role.COUNTER]))
    bench.take_to_bench(job=job, by=job.accepted_by)
    for door, field in (("counter:promise_word", "word_by"), ("counter:promise", "promised_for")):
        answer = client.post(reverse(door, args=[job.number]), {field: str(days(6))})
        assert answer.status_code == 303
    page = client.get(reverse("counter:job", args=[job.number])).content.decode()
    assert page.count(f'value="{days(6)}"') == 2
