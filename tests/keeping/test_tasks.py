"""The table of tasks: each is done once, goes on where it was, says how far it is, and stops when somebody says so."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Iterator
from contextlib import suppress
from functools import partial
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from shop.frame import clock
from shop.frame.journal import acting
from shop.frame.models import NumberSeries, Staff
from shop.frame.refusal import Refusal
from shop.keeping import outbox
from shop.keeping.backup import Backup
from shop.keeping.models import Message, NightlyReport, Task
from shop.keeping.tasks import Kind, Result, Work, ask, hang_up, kinds, stop, timing, try_again
from shop.keeping.tasks.claiming import BACK_OFF, claim, give_back, hold
from shop.keeping.tasks.doing import do
from shop.keeping.tasks.kinds import LEASE
from shop.keeping.tasks.own import BACKUP, LETTERS, NIGHT
from shop.keeping.tasks.timing import ask_what_is_due
from tests.factories.backups import forged
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import words_on
from tests.working import do_all

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]

DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def _trial_kinds() -> Iterator[None]:
    before = dict(kinds._kinds)
    hang_up(Kind("trial.count", "Count numbers", count, of="numbers", resumes=True, tries=3))
    hang_up(Kind("trial.break", "Break", broken, tries=2))
    hang_up(Kind("trial.refuse", "Refuse", refused))
    yield
    kinds._kinds.clear()
    kinds._kinds.update(before)


@pytest.fixture(autouse=True)
def _own_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock asks for what the keeping has hung up, and for nothing of the rooms above."""
    own = [one for one in timing._timed if one.kind in {LETTERS, NIGHT, BACKUP}]
    monkeypatch.setattr(timing, "_timed", own)


@pytest.fixture
def jo() -> Staff:
    ShopProfileFactory()
    return StaffFactory(username="jo", roles=["counter"])


def count(work: Work) -> Result:
    """Write each number once; the table's key refuses the same number of a task a second time."""
    for number in range(work.place.get("next", 1), work.about["to"] + 1):
        with transaction.atomic():
            NumberSeries.objects.create(name=f"task {work.task.pk}", year=number)
            work.reached({"next": number + 1}, done=number, total=work.about["to"])
        if number == work.about.get("breaks_after"):
            raise OSError("The disk is full.")
    return Result("Counted.", "/counted/")


def broken(_work: Work) -> None:
    raise ValueError("It is broken.")


def refused(_work: Work) -> None:
    raise Refusal("There is nothing to do it with.")


def counted(task: Task) -> int:
    return NumberSeries.objects.filter(name=f"task {task.pk}").count()


def test_a_task_is_done_and_says_what_came_of_it(jo: Staff) -> None:
    task = ask("trial.count", by=jo, about={"to": 4})
    assert do_all() == 1
    task.refresh_from_db()
    assert (task.state, task.done, task.total, counted(task)) == ("done", 4, 4, 4)
    assert task.result["sentence"] == "Counted."
    assert do_all() == 0


def test_what_an_act_asked_for_that_was_undone_is_not_done(jo: Staff) -> None:
    with suppress(Refusal), acting(by=jo):
        ask("trial.count", by=jo, about={"to": 4})
        raise Refusal("Not so.")
    assert do_all() == 0


def test_of_the_same_one_is_open_at_a_time(jo: Staff) -> None:
    first = ask("trial.count", by=jo, about={"to": 1}, same="count")
    assert ask("trial.count", by=jo, about={"to": 1}, same="count") == first
    do_all()
    assert ask("trial.count", by=jo, about={"to": 1}, same="count") != first


def test_a_task_goes_on_where_it_was_and_a_try_that_came_further_counts_from_one(jo: Staff) -> None:
    task = ask("trial.count", by=jo, about={"to": 9, "breaks_after": 4})
    do_all()
    task.refresh_from_db()
    assert (task.state, counted(task), task.tries) == ("waiting", 4, 1)
    assert task.line == "OSError: The disk is full."
    assert task.due_at - clock.now() > BACK_OFF[0] / 2
    Task.objects.update(due_at=clock.now(), about={"to": 9})
    do_all()
    task.refresh_from_db()
    assert (task.state, counted(task)) == ("done", 9)


def test_a_task_that_breaks_is_tried_at_growing_distances_and_then_given_up(jo: Staff) -> None:
    task = ask("trial.break", by=jo)
    do_all()
    assert do_all() == 0
    Task.objects.update(due_at=clock.now())
    do_all()
    task.refresh_from_db()
    assert (task.state, task.tries) == ("failed", 2)
    assert task.result["sentence"] == "ValueError: It is broken."
    try_again(task=task, by=jo)
    task.refresh_from_db()
    assert (task.state, task.tries) == ("waiting", 0)


def test_what_is_refused_is_not_tried_again(jo: Staff) -> None:
    task = ask("trial.refuse", by=jo)
    do_all()
    task.refresh_from_db()
    assert (task.state, task.result["sentence"]) == ("failed", "There is nothing to do it with.")


def test_a_worker_that_died_is_followed_by_another_when_its_claim_has_run_out(jo: Staff) -> None:
    ask("trial.count", by=jo, about={"to": 3})
    mine = claim(["trial.count"])
    assert mine is not None
    assert claim(["trial.count"]) is None
    assert claim(["trial.count"], at=clock.now() + LEASE - dt.timedelta(seconds=5)) is None
    other = claim(["trial.count"], at=clock.now() + LEASE + dt.timedelta(seconds=1))
    assert other is not None
    assert other.holder != mine.holder
    assert not hold(mine)
    assert hold(other)


def test_what_was_done_after_the_claim_was_lost_is_undone(jo: Staff) -> None:
    """Both believe that it is theirs: only what the second one does stands."""
    task = ask("trial.count", by=jo, about={"to": 3})
    mine = claim(["trial.count"])
    other = claim(["trial.count"], at=clock.now() + LEASE * 2)
    do(mine)
    assert counted(task) == 0
    do(other)
    task.refresh_from_db()
    assert (counted(task), task.state) == (3, "done")


def test_a_worker_that_closes_gives_its_task_back_and_no_try_is_counted(jo: Staff) -> None:
    task = ask("trial.count", by=jo, about={"to": 3})
    give_back(claim(["trial.count"]))
    task.refresh_from_db()
    assert (task.state, task.tries) == ("waiting", 0)
    assert do_all() == 1


def test_a_task_that_waits_stops_at_once_and_one_that_runs_when_it_looks_up(jo: Staff) -> None:
    waiting = ask("trial.count", by=jo, about={"to": 3})
    stop(task=waiting, by=jo)
    waiting.refresh_from_db()
    assert waiting.state == "stopped"
    running = ask("trial.count", by=jo, about={"to": 3})
    mine = claim(["trial.count"])
    stop(task=running, by=jo)
    do(mine)
    running.refresh_from_db()
    assert (running.state, counted(running)) == ("stopped", 0)
    with pytest.raises(Refusal):
        stop(task=running, by=jo)


@pytest.fixture
def own_hours(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave to the clock what keeping asks for; upper rooms have hours of their own."""
    own = [one for one in timing._timed if one.kind in {NIGHT, LETTERS, BACKUP}]
    monkeypatch.setattr(timing, "_timed", own)


# --- the clock ----------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("own_hours")
def test_the_night_is_asked_for_once_a_day_of_the_shops_and_late_where_the_machine_was_off(
    jo: Staff, settings: Any
) -> None:
    settings.DEMO = True  # no backup
    ShopProfileFactory().__class__.objects.update(time_zone="America/Los_Angeles")
    four_in_the_morning = dt.datetime(2026, 5, 4, 11, 0, tzinfo=dt.UTC)
    ask_what_is_due(at=four_in_the_morning)
    ask_what_is_due(at=four_in_the_morning + dt.timedelta(hours=5))
    night = Task.objects.get(kind=NIGHT)
    assert night.slot == "night.check 2026-05-04"
    assert night.due_at == four_in_the_morning + dt.timedelta(minutes=10)
    Task.objects.update(state="done")
    assert ask_what_is_due(at=four_in_the_morning + DAY - dt.timedelta(hours=1)) == 0
    assert ask_what_is_due(at=four_in_the_morning + DAY) == 1


@pytest.mark.usefixtures("own_hours")
def test_a_night_that_is_still_tried_is_not_asked_for_a_second_time(jo: Staff, settings: Any) -> None:
    settings.DEMO = True
    today = clock.now()
    assert ask_what_is_due(at=today) == 1
    assert ask_what_is_due(at=today + DAY) == 0
    assert Task.objects.get(kind=NIGHT).state == "waiting"


@pytest.mark.usefixtures("own_hours")
def test_where_a_timer_of_the_machine_checks_the_books_the_worker_does_not(jo: Staff, settings: Any) -> None:
    settings.DEMO = True
    NightlyReport.objects.create(milliseconds=1, entries=1)
    assert ask_what_is_due() == 0


def test_a_backup_is_written_each_night_and_only_those_of_the_night_are_dropped(
    jo: Staff, settings: Any, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.SHOP_DATA = tmp_path
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path))
    forged(tmp_path / "by hand", dt.datetime(2020, 1, 1, tzinfo=dt.UTC))
    for day in range(9):
        monkeypatch.setattr("shop.keeping.tasks.own.backup.make_backup", partial(made_on, day))
        Task.objects.all().delete()
        task = ask(BACKUP, by=None)
        do(claim([BACKUP]))
        task.refresh_from_db()
        assert task.state == "done"
    # seven days from Tuesday on, and the Sunday before them as the last of its week
    assert sorted(path.name for path in tmp_path.rglob("*") if path.is_file()) == [
        *(f"2026-05-{day:02}" for day in (3, 5, 6, 7, 8, 9, 10, 11)),
        "by hand",
    ]


def made_on(day: int, *, into: Any, keys: Any) -> Backup:
    at = dt.datetime(2026, 5, 3, 12, tzinfo=dt.UTC) + day * DAY
    return Backup(forged(into / f"{at:%Y-%m-%d}", at), 6, 1)


@pytest.mark.usefixtures("own_hours")
def test_letters_that_are_due_are_sent_without_anybody_asking(
    jo: Staff, settings: Any, mailoutbox: Any
) -> None:
    settings.DEMO = True
    NightlyReport.objects.create(milliseconds=1, entries=1)
    outbox.write_message(to="odalys@fennimore.example", subject="Ready", body="It is.", by=jo)
    assert ask_what_is_due() == 1
    assert ask_what_is_due() == 0
    assert Task.objects.get().kind == LETTERS
    do_all()
    assert len(mailoutbox) == 1
    assert Message.objects.get().sent_at is not None
    assert ask_what_is_due() == 0


# --- the pages ----------------------------------------------------------------------------------------------


def test_the_page_shows_how_far_a_task_is_and_stops_it(jo: Staff, client: Client) -> None:
    client.force_login(jo)
    task = ask("trial.count", by=jo, about={"to": 100}, title="An old list")
    Task.objects.update(
        state="running",
        began_at=clock.now() - dt.timedelta(seconds=110),
        held_until=clock.now() + LEASE,
        holder="x",
        done=40,
        total=100,
    )
    page = words_on(client.get(reverse("premises:tasks")))
    assert "Count numbers: An old list" in page
    assert "40 of 100 numbers" in page
    assert "About 3 minutes left." in page
    client.post(reverse("premises:stop_task", args=[task.pk]))
    assert "It stops as soon as it can." in words_on(client.get(reverse("premises:tasks")))


def test_nobody_stops_what_somebody_else_asked_for(jo: Staff, client: Client) -> None:
    task = ask("trial.count", by=jo, about={"to": 1})
    client.force_login(StaffFactory(username="bo", roles=["counter"]))
    assert client.post(reverse("premises:stop_task", args=[task.pk])).status_code == 404
    assert "Count numbers" not in words_on(client.get(reverse("premises:tasks")))
    client.force_login(StaffFactory(username="owner"))
    assert client.post(reverse("premises:stop_task", args=[task.pk])).status_code == 303


def test_the_first_screen_says_when_it_is_done_until_it_was_noted(jo: Staff, client: Client) -> None:
    client.force_login(jo)
    ask("trial.count", by=jo, about={"to": 1})
    assert "waiting" in words_on(client.get(reverse("records:first_screen")))
    do_all()
    page = words_on(client.get(reverse("records:first_screen")))
    assert "Your tasks" in page
    assert 'href="/counted/"' in page
    client.post(reverse("premises:note_told"))
    assert "Your tasks" not in words_on(client.get(reverse("records:first_screen")))


def test_the_page_says_so_where_nobody_works(jo: Staff, client: Client) -> None:
    client.force_login(jo)
    ask("trial.count", by=jo, about={"to": 1})
    assert "Nobody does the tasks." not in words_on(client.get(reverse("premises:tasks")))
    Task.objects.update(due_at=clock.now() - dt.timedelta(minutes=6))
    assert "Nobody does the tasks." in words_on(client.get(reverse("premises:tasks")))


# --- two at once --------------------------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
def test_two_workers_do_no_task_twice() -> None:
    """On SQLite one transaction claims at a time, on PostgreSQL each takes what the other has not locked."""
    jo = StaffFactory(username="jo")
    tasks = [ask("trial.count", by=jo, about={"to": 2}) for _ in range(30)]

    def work() -> None:
        do_all()
        connection.close()

    workers = [threading.Thread(target=work) for _ in range(3)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert set(Task.objects.values_list("state", "tries")) == {("done", 1)}
    assert all(counted(task) == 2 for task in tasks)
