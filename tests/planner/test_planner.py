"""The planner: dates from the book, the evening, promises held against what came, reminders as letters to look at."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from shop.counter import actions as counter
from shop.counter.models import Job, Promise
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.models import Role, ShopProfile
from shop.frame.refusal import Refusal
from shop.keeping.models import Message
from shop.office import actions as office
from shop.office.models import LeftHere, Letter
from shop.planner import actions, news, queries, reminding
from shop.planner.models import JobForecast
from shop.planner.reckoning import is_stale, reckon
from shop.planner.week import entries
from shop.premises.actions import add_days_off, set_hours
from tests.factories.counter import CustomerFactory, UnitFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import words_on

pytestmark = pytest.mark.django_db

MONDAY = dt.datetime(2026, 6, 1, 17, tzinfo=dt.UTC)


@pytest.fixture
def at_five() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(MONDAY, tick=False) as traveller:
        ShopProfileFactory()
        yield traveller


def day(count: int) -> dt.date:
    return clock.today() + dt.timedelta(days=count)


def test_a_new_shop_gets_dates_from_what_is_assumed_and_is_told_so(at_five: time_machine.Traveller) -> None:
    job = booked_in()
    state = reckon()
    told = JobForecast.objects.get(job=job)
    assert state.trouble == ""
    assert clock.today() <= told.word_likely <= told.word_safe <= told.ready_safe
    assert told.ready_likely <= told.ready_safe
    assert "no history yet" in words_of_offer(job)


def words_of_offer(job: Job) -> str:
    from shop.planner.offers import rests_on  # noqa: PLC0415

    return rests_on(JobForecast.objects.get(job=job))


def test_a_week_off_moves_all_dates_behind_it(at_five: time_machine.Traveller) -> None:
    job = booked_in()
    reckon()
    before = JobForecast.objects.get(job=job).word_likely
    add_days_off(first=day(0), last=day(13), why="Away", by=None)
    reckon()
    assert JobForecast.objects.get(job=job).word_likely >= max(day(14), before)


def test_a_shop_without_hours_says_so_and_divides_by_nothing(at_five: time_machine.Traveller) -> None:
    booked_in()
    set_hours(from_date=clock.today(), minutes=[0] * 7, by=None)
    assert reckon().trouble == "Without bench time in the week no queue ever ends."
    assert not JobForecast.objects.exists()


def test_the_same_book_gives_the_same_dates_and_is_not_stale(at_five: time_machine.Traveller) -> None:
    assert is_stale()
    for _ in range(3):
        booked_in()
    reckon()
    first = list(JobForecast.objects.values_list("job", "word_safe", "ready_safe"))
    reckon()
    assert list(JobForecast.objects.values_list("job", "word_safe", "ready_safe")) == first
    assert not is_stale()
    booked_in()
    assert not is_stale()  # a moment later nobody reckons anew for each touch
    at_five.shift(dt.timedelta(minutes=5))
    assert is_stale()
    reckon()
    at_five.shift(dt.timedelta(days=-3))
    assert is_stale()  # the clock was set back


def test_a_job_is_moved_up_and_others_dates_are_told(client: Client, at_five: time_machine.Traveller) -> None:
    jobs = [booked_in() for _ in range(6)]
    reckon()
    before = JobForecast.objects.get(job=jobs[5]).ready_safe
    client.force_login(StaffFactory(roles=[Role.BENCH]))
    sent = client.post(reverse("planner:move", args=[jobs[5].number]), {"place": "1"}, follow=True)
    assert JobForecast.objects.order_by("place").first().job == jobs[5]
    assert JobForecast.objects.get(job=jobs[5]).ready_safe < before
    assert " moves from " in words_on(sent)
    wrong = client.post(reverse("planner:move", args=[jobs[5].number]), {"place": "0"})
    assert wrong.status_code == 422
    assert "Write the place as a number from 1 on." in words_on(wrong)


def test_the_evening_says_what_fits_and_why(client: Client, at_five: time_machine.Traveller) -> None:
    jobs = [booked_in() for _ in range(3)]
    counter.promise(job=jobs[2], promised_for=day(0), what=Promise.What.WORD, by=jobs[2].accepted_by)
    reckon()
    client.force_login(StaffFactory(roles=[Role.BENCH]))
    page = words_on(client.get(reverse("planner:evening"), {"hours": "2.5", "begins": "19:00"}))
    assert page.index(jobs[2].number) < page.index(jobs[0].number)
    assert "Its promise is at risk" in page
    for hours in ("0", "200", "x"):
        answer = client.get(reverse("planner:evening"), {"hours": hours, "begins": "19:00"})
        assert answer.status_code == 422
        assert "Write h" in words_on(answer)


def test_a_finish_date_waits_for_the_fault(at_five: time_machine.Traveller) -> None:
    job = booked_in()
    with pytest.raises(Refusal, match="once the fault is known"):
        counter.promise(job=job, promised_for=day(9), by=job.accepted_by)
    counter.promise(job=job, promised_for=day(9), what=Promise.What.WORD, by=job.accepted_by)


def test_promises_are_held_against_what_came(at_five: time_machine.Traveller) -> None:
    for promised in (2, 9):
        job = booked_in()
        counter.promise(job=job, promised_for=day(promised), what=Promise.What.WORD, by=job.accepted_by)
    open_one = booked_in()
    counter.promise(job=open_one, promised_for=day(60), what=Promise.What.WORD, by=open_one.accepted_by)
    late = booked_in()
    counter.promise(job=late, promised_for=day(1), what=Promise.What.WORD, by=late.accepted_by)
    at_five.shift(dt.timedelta(days=5))
    for job in Job.objects.exclude(pk__in=[open_one.pk, late.pk]):
        counter.set_ready_unopened(job=job, outcome="declined", by=job.accepted_by)
    told = queries.record()
    assert (told.kept, told.given) == (1, 3)
    assert told.is_noise


def test_a_date_that_moved_is_told_anew_by_a_letter_that_somebody_looked_at(
    client: Client, at_five: time_machine.Traveller
) -> None:
    owner = CustomerFactory(regular=True)
    job = booked_in(unit=UnitFactory(owner=owner))
    counter.promise(job=job, promised_for=day(1), what=Promise.What.WORD, by=job.accepted_by)
    add_days_off(first=day(0), last=day(20), why="Ill", by=None)
    reckon()
    (one,) = reminding.due()
    assert (one.kind, one.to) == ("promise", owner.email)
    assert not any(odds in one.body for odds in ("%", "85", "likely"))
    client.force_login(StaffFactory(roles=[Role.COUNTER]))
    assert one.subject in words_on(client.get(reverse("planner:reminders")))
    assert not Message.objects.exists()
    letter = {"to": one.to, "subject": one.subject, "body": one.body}
    wrong = client.post(reverse("planner:send_reminder", args=[one.key]), {**letter, "to": "nowhere"})
    assert wrong.status_code == 422
    sent = client.post(reverse("planner:send_reminder", args=[one.key]), letter)
    assert sent.status_code == 303
    assert Message.objects.get().to == owner.email
    assert Promise.objects.order_by("-id").first().day == one.new_day
    assert reminding.due() == []


def test_a_unit_that_nobody_fetches_is_remembered_and_may_be_left_aside(
    client: Client, at_five: time_machine.Traveller
) -> None:
    job = booked_in()
    counter.set_ready_unopened(job=job, outcome="declined", by=job.accepted_by)
    assert reminding.due() == []
    at_five.shift(dt.timedelta(days=15))
    (one,) = reminding.due()
    assert one.kind == "fetch"
    client.force_login(StaffFactory(roles=[Role.COUNTER]))
    assert client.post(reverse("planner:leave_reminder", args=[one.key])).status_code == 303
    assert reminding.due() == []
    at_five.shift(dt.timedelta(days=8))
    assert len(reminding.due()) == 1


def test_letters_to_look_at_are_news_until_they_were_seen_to(at_five: time_machine.Traveller) -> None:
    job = booked_in()
    counter.set_ready_unopened(job=job, outcome="declined", by=job.accepted_by)
    reckon()
    clerk, technician = StaffFactory(roles=[Role.COUNTER]), StaffFactory(roles=[Role.BENCH])
    assert list(news.reminders(clerk)) == []
    at_five.shift(dt.timedelta(days=15))
    reckon()
    (piece,) = news.reminders(clerk)
    assert piece.words == "A unit is ready and not picked up."
    assert list(news.reminders(technician)) == []
    actions.leave_reminder(kind="fetch", job=job, by=clerk)
    reckon()
    assert list(news.reminders(clerk)) == []


def test_an_earlier_place_is_kept_when_a_new_job_comes(at_five: time_machine.Traveller) -> None:
    first, second = booked_in(), booked_in()
    actions.move_in_queue(job=second, place=1, by=first.accepted_by)
    third = booked_in()
    reckon()
    assert list(JobForecast.objects.values_list("job", flat=True)) == [second.pk, first.pk, third.pk]


def test_the_week_has_the_days_of_the_law_for_what_was_left_here(at_five: time_machine.Traveller) -> None:
    # Torts (Interference with Goods) Act 1977, Schedule 1 Part II: three months where money is owed, else a reasonable
    # time, here 28 days; Directive (EU) 2024/1799 article 4: a form stands for 30 days
    ShopProfile.objects.update(law_profile="uk")
    job, other = booked_in(), booked_in()
    Job.objects.filter(pk=job.pk).update(stage=Stage.READY, ready_at=clock.now(), outcome="repaired")
    form = office.give_repair_form(
        job=other,
        defect="No sound on the left",
        repair_kind="Relay replaced",
        price_minor=90_00,
        days_needed=14,
        replacement="None",
        handover_place="At the shop",
        further_services="None",
        by=other.accepted_by,
    )

    def of_law() -> list[tuple[dt.date, str, Job | None]]:
        told = [one for one in entries(day(1), day(120)) if one.uid.startswith(("law-", "form-"))]
        return [(one.day, one.title, one.job) for one in told]

    assert of_law() == [(day(30), "Repair information form runs out", other)]
    Letter.objects.create(
        kind=Letter.Kind.SALE, customer=job.customer, job=job, sent_on=day(0), paper=form.paper
    )
    when, what, whose = of_law()[0]
    assert (when, whose) == (day(28), job)
    assert what.startswith("May be sold: a reasonable time, here 28 days, as nothing is owed (Torts")
    LeftHere.objects.create(job=job, disputed=True)
    assert len(of_law()) == 1
