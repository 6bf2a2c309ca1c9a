"""News on the first screen: every kind of it, for each person until they have seen it, and at the bench and dispatch."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.actions import Intake
from shop.dispatch import actions as dispatch
from shop.frame import clock, news
from shop.frame.models import NewsSeen, Staff
from shop.keeping.models import Message
from shop.office import actions as office
from shop.office.models import Authorisation
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Part
from shop.window.actions import say_word, see_words
from tests.factories.backups import forged
from tests.factories.bench import on_the_bench
from tests.factories.counter import CustomerFactory, UnitFactory
from tests.factories.dispatch import ready
from tests.factories.office import agreed, rates
from tests.factories.premises import ShopProfileFactory, StaffFactory

ASKED = "Keep the old belts for me."


@pytest.fixture
def owner(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Staff:
    """The owner of a shop whose backup is of today."""
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path))
    monkeypatch.setenv("SHOP_BACKUP_KEY", "age1mine")
    forged(tmp_path / "mendwright-2026.tar", clock.now())
    ShopProfileFactory()
    rates(900_000)
    return StaffFactory(username="ottoline")


@pytest.fixture
def screen(client: Any, owner: Staff) -> Any:
    client.force_login(owner)
    return lambda: " ".join(client.get("/").content.decode().split())


def keys(staff: Staff) -> set[str]:
    return {piece.key.partition(":")[0] for piece in news.unseen(staff)}


def test_a_quiet_shop_has_no_news(screen) -> None:
    assert 'id="news"' not in screen()


def test_the_customers_answer_is_told_with_its_sum_and_what_it_asks(screen, client, owner) -> None:
    job = on_the_bench(owner)
    agreed(job, 27_600, by=None, conditions=ASKED)
    said = screen()
    assert "Yes, up to a sum in all" in said
    assert "up to $276.00 in all, before tax" in said
    assert ASKED in said
    assert ASKED in client.get(reverse("bench:job", args=[job.number])).content.decode()


def test_what_the_yes_asked_stands_where_the_unit_leaves(client, owner, screen) -> None:
    job = ready(owner, owner=CustomerFactory(regular=True))
    agreed(job, 50_000, by=owner, conditions=ASKED)
    assert ASKED in client.get(reverse("dispatch:job", args=[job.number])).content.decode()
    office.record_answer(
        job=job,
        answer=Authorisation.Answer.WITHDRAWN,
        how=Authorisation.How.WRITTEN,
        given_by="Marguerite Osei",
        by=owner,
    )
    assert ASKED not in client.get(reverse("dispatch:job", args=[job.number])).content.decode()


def test_an_answer_that_somebody_wrote_down_is_no_news_to_them_but_to_the_others(owner) -> None:
    other = StaffFactory(username="odile", roles=["bench"])
    agreed(on_the_bench(owner), 27_600, by=owner)
    assert "answer" not in keys(owner)
    assert "answer" in keys(other)


def test_what_one_person_has_seen_stays_new_to_the_others(client, owner, screen) -> None:
    other = StaffFactory(username="odile", roles=["bench"])
    agreed(on_the_bench(owner), 27_600, by=None)
    (piece,) = news.unseen(owner)
    client.post(reverse("records:news_seen"), {"key": piece.key})
    assert 'id="news"' not in screen()
    assert keys(other) == {"answer"}
    client.post(reverse("records:news_seen"), {"key": [piece.key, piece.key]})
    assert NewsSeen.objects.count() == 1


def test_a_word_is_told_until_somebody_has_read_it_with_the_job(owner) -> None:
    job = on_the_bench(owner)
    say_word(job=job, text="Is it the belt again?")
    assert keys(owner) == {"word"}
    see_words(job=job, by=owner)
    assert keys(owner) == set()


def test_a_part_that_came_is_told_and_told_anew_when_more_of_it_comes(owner) -> None:
    job = on_the_bench(owner)
    part = stockroom.add_part(description="Belt", by=owner)
    stockroom.want_part(job=job, part=part, quantity_thousandths=2_000, by=owner)
    stockroom.receive(part=part, quantity_thousandths=1_000, by=owner)
    (piece,) = news.unseen(owner)
    assert piece.words.startswith("1 of 2 × Belt")
    news.note_seen(owner, [piece.key])
    assert keys(owner) == set()
    stockroom.receive(part=Part.objects.get(), quantity_thousandths=1_000, by=owner)
    assert keys(owner) == {"part"}
    stockroom.fit_part(job=job, part=part, quantity_thousandths=2_000, by=owner)
    assert keys(owner) == set()


def test_a_parcel_that_stands_here_is_told_until_it_is_opened(owner) -> None:
    unit = UnitFactory(owner=CustomerFactory(regular=True))
    (job,) = counter.announce(
        customer=unit.owner, intakes=[Intake(unit=unit, complaint="Hums.")], carrier="Tern Post", by=owner
    )
    assert keys(owner) == set()
    assert job.inbound is not None
    dispatch.note_arrived(inbound=job.inbound, by=owner)
    assert keys(owner) == {"parcel"}
    counter.receive_expected(job=job, packing_state="sound", by=owner)
    assert keys(owner) == set()


def test_a_soak_test_is_told_when_its_time_is_over_and_when_it_has_ended(owner) -> None:
    job = on_the_bench(owner)
    bench.conclude(job=job, failed="Belt", mode="worn", remedy="New belt.", outcome="repaired", by=owner)
    begun = clock.now() - dt.timedelta(hours=2)
    bench.start_soak(job=job, planned_seconds=3600, unattended=True, by=owner, at=begun)
    (piece,) = [one for one in news.unseen(owner) if one.key.startswith("soak")]
    assert piece.title.endswith("has run its time")
    job.refresh_from_db()
    bench.end_running_soak(job=job, result="passed", note="Steady.", by=owner)
    (piece,) = [one for one in news.unseen(owner) if one.key.startswith("soak")]
    assert piece.title.endswith("ended: passed")


def test_a_soak_test_that_still_runs_is_no_news(owner) -> None:
    job = on_the_bench(owner)
    bench.conclude(job=job, failed="Belt", mode="worn", remedy="New belt.", outcome="repaired", by=owner)
    bench.start_soak(job=job, planned_seconds=3600, by=owner)
    assert keys(owner) == set()


def test_agreed_hours_that_run_out_say_stop_and_ask_there_and_at_the_bench(client, owner, screen) -> None:
    job = on_the_bench(owner)
    agreed(job, 10_000, by=owner)
    # worked by hand: 54 minutes at 90.00 an hour are 81.00, of 100.00 agreed
    begun = clock.now() - dt.timedelta(minutes=54)
    bench.start_stint(job=job, kind="repair", by=owner, at=begun)
    (piece,) = news.unseen(owner)
    assert (piece.title, piece.stops) == (
        f"Stop and ask: what is agreed on {job.number} is nearly gone",
        False,
    )
    assert "$81.00 of $100.00 agreed, 81 %" in piece.words
    news.note_seen(owner, [piece.key])
    stockroom.fit_part(job=job, description="Belt", unit_price_ten_thousandths=400_000, by=owner)
    (piece,) = news.unseen(owner)
    assert (piece.title.endswith("is gone"), piece.stops) == (True, True)
    at_the_bench = client.get(reverse("bench:aside", args=[job.number])).content.decode()
    assert "Stop and ask: what is agreed is gone." in at_the_bench


def test_a_further_fault_says_stop_and_ask_until_the_customer_has_answered(client, owner, screen) -> None:
    job = on_the_bench(owner)
    agreed(job, 50_000, by=owner, at=clock.now() - dt.timedelta(minutes=5))
    client.post(reverse("bench:finding", args=[job.number]), {"text": "Head worn through.", "beyond": "on"})
    assert "Stop and ask: a further fault" in screen()
    assert (
        "Stop and ask: a further fault"
        in client.get(reverse("bench:job", args=[job.number])).content.decode()
    )
    agreed(job, 90_000, by=owner, at=clock.now() + dt.timedelta(seconds=1))
    assert keys(owner) == set()


def test_a_letter_that_failed_is_told(owner) -> None:
    Message.objects.create(to="a@b.example", subject="Your estimate", body="x", last_error="No route to host")
    (piece,) = news.unseen(owner)
    assert "No route to host" in piece.words


def test_a_backup_that_was_not_made_is_told_anew_each_day_to_the_owner(owner, tmp_path, monkeypatch) -> None:
    (file,) = tmp_path.iterdir()
    forged(file, clock.now() - dt.timedelta(days=3))
    assert keys(owner) == {"backup"}
    assert keys(StaffFactory(username="odile", roles=["bench"])) == set()
    (piece,) = news.unseen(owner)
    news.note_seen(owner, [piece.key])
    assert keys(owner) == set()
    tomorrow = clock.today() + clock.A_DAY
    monkeypatch.setattr(clock, "today", lambda: tomorrow)
    assert keys(owner) == {"backup"}


def test_what_is_new_is_told_at_the_same_price_whatever_was_told_before(
    owner, django_assert_max_num_queries
) -> None:
    job = on_the_bench(owner)
    for at in range(3):
        agreed(job, 27_600 + at, by=None)
    with django_assert_max_num_queries(16):
        assert len(news.unseen(owner)) == 3
