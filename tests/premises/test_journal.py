"""The journal: one transaction, one entry, a chain that shows every change, on SQLite and on PostgreSQL.

The chain is checked here by a second implementation, written from the description of `digest_of`.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import json
import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse

from shop.frame import guard_check, guards, wording
from shop.frame.guards import lifted
from shop.frame.journal import acting, listen, verify, verify_end
from shop.frame.models import JournalEntry, JournalHead, JournalTouch, Staff
from shop.premises.actions import add_terms
from shop.premises.models import Terms
from tests.factories.premises import StaffFactory

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def write(count: int = 1, *, by: Staff | None = None, **data: Any) -> None:
    for _ in range(count):
        with acting(by=by) as act:
            act.record("test.written", jobs=[3, 1, 3], **data)


def by_hand(entry: JournalEntry) -> str:
    """The digest of an entry, computed without the code under test."""
    jobs = sorted(JournalTouch.objects.filter(entry=entry).values_list("job_id", flat=True))
    stamp = entry.at.astimezone(dt.UTC)
    content = [
        entry.sequence,
        f"{stamp:%Y-%m-%dT%H:%M:%S}.{stamp.microsecond:06d}+00:00",
        str(entry.act),
        entry.staff_id,
        entry.verb,
        entry.subject_type,
        entry.subject_id,
        jobs,
        entry.data,
        entry.previous,
    ]
    return hashlib.sha256(json.dumps(content, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def test_each_entry_carries_the_digest_of_the_one_before() -> None:
    write(
        4, by=StaffFactory(), stage="ready", total_minor=-1250, on=dt.date(2026, 2, 3), parts=["a", 2, None]
    )
    previous = ""
    for entry in JournalEntry.objects.order_by("sequence"):
        assert (entry.previous, entry.digest) == (previous, by_hand(entry))
        previous = entry.digest
    head = JournalHead.objects.get()
    assert (head.sequence, head.digest) == (4, previous)
    assert verify() == verify_end() == []


def test_nested_acts_share_one_act_and_one_transaction() -> None:
    with acting(by=None) as outer:
        outer.record("test.outer")
        with acting(by=StaffFactory()) as inner:
            inner.record("test.inner")
        assert not JournalEntry.objects.exists()
    first, second = JournalEntry.objects.order_by("sequence")
    assert first.act == second.act
    assert (first.verb, second.verb) == ("test.outer", "test.inner")


def test_an_inner_act_that_fails_and_is_caught_leaves_no_entry() -> None:
    def fail_inside() -> None:
        with acting(by=None) as inner:
            inner.record("test.lost")
            Terms.objects.create(from_date=dt.date(2026, 1, 1), text="lost")
            raise ValueError("no")

    with acting(by=None) as outer:
        with pytest.raises(ValueError, match="no"):
            fail_inside()
        outer.record("test.kept")
    assert [entry.verb for entry in JournalEntry.objects.all()] == ["test.kept"]
    assert not Terms.objects.exists()
    assert verify() == []


@pytest.mark.parametrize(
    "value",
    ["Isolde Farrow", "two words", "ümlaut", "x" * 65, 1.5, {"a": 1}, b"x", ["fine", "not fine"], "555 0142"],
)
def test_nothing_that_could_name_a_person_gets_into_the_journal(value: Any) -> None:
    with pytest.raises(ValueError, match="ids, codes and sums only"):
        write(note=value)
    assert not JournalEntry.objects.exists()


def test_listeners_are_told_once_which_jobs_were_touched(monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[frozenset[int]] = []
    monkeypatch.setattr("shop.frame.journal._listeners", [])
    listen(heard.append)
    listen(heard.append)
    with acting(by=None) as act:
        act.record("test.one", jobs=[1])
        with acting(by=None) as inner:
            inner.record("test.two", jobs=[2, 1])
    assert {frozenset(jobs) for jobs in heard} == {frozenset({1, 2})}


# --- the chain shows what was done to it ----------------------------------------------------------------------

TAMPERING: dict[str, tuple[Callable[[], Any], str]] = {
    "a fact changed": (
        lambda: JournalEntry.objects.filter(sequence=5).update(data={"total_minor": 1}),
        "Entry 5 was changed",
    ),
    "the time moved": (
        lambda: JournalEntry.objects.filter(sequence=5).update(at=dt.datetime(2020, 1, 1, tzinfo=dt.UTC)),
        "Entry 5 was changed",
    ),
    "the verb changed": (
        lambda: JournalEntry.objects.filter(sequence=5).update(verb="test.other"),
        "Entry 5 was changed",
    ),
    "somebody else named": (
        lambda: JournalEntry.objects.filter(sequence=5).update(staff=StaffFactory()),
        "Entry 5 was changed",
    ),
    "a job taken off": (
        lambda: JournalTouch.objects.filter(entry_id=5, job_id=1).delete(),
        "Entry 5 was changed",
    ),
    "an entry taken out": (
        lambda: (
            JournalTouch.objects.filter(entry_id=5).delete(),
            JournalEntry.objects.filter(sequence=5).delete(),
        ),
        "Entry 5 is missing",
    ),
    "the last entries cut off": (
        lambda: (
            JournalTouch.objects.filter(entry_id__gt=7).delete(),
            JournalEntry.objects.filter(sequence__gt=7).delete(),
        ),
        "The end of the journal is missing",
    ),
    "everything gone": (
        lambda: (JournalTouch.objects.all().delete(), JournalEntry.objects.all().delete()),
        "The end of the journal is missing",
    ),
    "an entry slipped in at the end": (
        lambda: JournalEntry.objects.create(
            sequence=11, at=dt.datetime(2026, 1, 1, tzinfo=dt.UTC), verb="test.x", digest="f" * 64
        ),
        "Entry 11 stands beyond",
    ),
    "a digest made to fit": (
        lambda: JournalEntry.objects.filter(sequence=5).update(digest="0" * 64),
        "Entry 5 was changed",
    ),
}


@pytest.mark.parametrize("tamper, sentence", TAMPERING.values(), ids=TAMPERING.keys())
def test_whoever_gets_past_the_triggers_is_still_found_out(tamper: Callable[[], Any], sentence: str) -> None:
    write(10, total_minor=100)
    assert verify() == []
    with lifted(connection):
        tamper()
    faults = [fault.sentence for fault in verify()]
    assert any(fault.startswith(sentence) for fault in faults), faults


def test_an_entry_recomputed_after_a_change_no_longer_fits_its_successor() -> None:
    write(10)
    with lifted(connection):
        entry = JournalEntry.objects.get(sequence=5)
        entry.data = {"total_minor": 1}
        entry.digest = by_hand(entry)
        entry.save()
    assert [fault.sentence for fault in verify()] == ["Entry 6 does not follow the one before it."]


def test_the_quick_look_sees_the_end_and_costs_the_same_however_long_the_journal(
    django_assert_num_queries: Any,
) -> None:
    write(30)
    with django_assert_num_queries(4):
        assert verify_end(last=5) == []
    with lifted(connection):
        JournalEntry.objects.filter(sequence=28).update(verb="test.other")
    assert verify_end(last=5) != []
    assert verify_end(last=1) == []


# --- the database's own guard ---------------------------------------------------------------------------------


@pytest.mark.parametrize("model", [JournalEntry, JournalTouch])
@pytest.mark.parametrize("how", ["update", "delete", "raw"])
def test_the_database_itself_refuses_to_change_the_journal(model: Any, how: str) -> None:
    write(2)
    table = model._meta.db_table

    def change() -> None:
        if how == "update":
            model.objects.update(**({"verb": "x.y"} if model is JournalEntry else {"job_id": 99}))
        elif how == "delete":
            model.objects.all()._raw_delete(model.objects.db)
        else:
            with connection.cursor() as cursor:
                cursor.execute(f"DELETE FROM {table}")  # noqa: S608

    with pytest.raises(DatabaseError, match="stays as it was written"), transaction.atomic():
        change()
    assert JournalEntry.objects.count() == 2
    assert verify() == []


def test_every_guard_that_a_model_declares_stands_in_the_database() -> None:
    assert len(guards.guarded()) > 25
    assert guard_check.missing(connection) == []


# --- many at once ---------------------------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
def test_many_who_write_at_once_make_one_chain_without_a_gap() -> None:
    def write_one(number: int, step: int) -> None:
        with acting(by=None) as act:
            act.record("test.written", number=number, step=step)
            if step == 3:
                raise RuntimeError("changed my mind")

    def work(number: int) -> None:
        try:
            for step in range(5):
                with contextlib.suppress(RuntimeError):
                    write_one(number, step)
        finally:
            connection.close()

    threads = [threading.Thread(target=work, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert list(JournalEntry.objects.order_by("sequence").values_list("sequence", flat=True)) == list(
        range(1, 25)
    )
    assert verify() == []


# --- shown ----------------------------------------------------------------------------------------------------


def test_the_wording_is_made_when_it_is_shown() -> None:
    staff = StaffFactory(first_name="Pell", last_name="Varga")
    add_terms(from_date=dt.date(2026, 12, 1), text="We keep a unit ninety days.", by=staff)
    (told,) = wording.told(JournalEntry.objects.all())
    assert told.sentence == "Wrote terms in effect from Dec 1, 2026"
    assert told.who == "Pell Varga"


def test_a_verb_without_words_is_shown_as_it_is_spelled() -> None:
    entry = JournalEntry(
        verb="unit.turned_over", data={"total_minor": 1250, "twice": True, "note": None, "{x}": 1}
    )
    assert wording.sentence_of(entry) == "Unit: turned over (total $12.50, twice yes, (x) 1)"


def test_what_is_offered_to_choose_from_keeps_a_gap_where_a_fact_stands() -> None:
    offered = dict(wording.verbs())
    assert offered["part.counted"] == "counted …, … apart from the book"
    assert offered["reading.added"] == "took a reading"
    assert not [words for words in offered.values() if words.startswith(("away", "into", "of "))]


def test_the_journal_page_shows_the_newest_first_in_pages_that_do_not_shift(client: Client) -> None:
    owner = StaffFactory()
    write(120, by=owner)
    client.force_login(owner)
    page = client.get(reverse("premises:journal"))
    assert [told.entry.sequence for told in page.context["told"]] == list(range(120, 70, -1))
    assert page.context["newer"] == ""
    write(3, by=owner)
    older = client.get(reverse("premises:journal") + page.context["older"])
    assert [told.entry.sequence for told in older.context["told"]] == list(range(70, 20, -1))
    back = client.get(reverse("premises:journal") + older.context["newer"])
    assert [told.entry.sequence for told in back.context["told"]] == list(range(120, 70, -1))
    assert back.context["newer"] != ""
    last = client.get(reverse("premises:journal") + older.context["older"])
    assert [told.entry.sequence for told in last.context["told"]] == list(range(20, 0, -1))
    assert last.context["older"] == ""


def test_the_journal_page_costs_the_same_for_one_entry_and_for_fifty(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    owner = StaffFactory()
    client.force_login(owner)
    write(1, by=owner)
    with django_assert_max_num_queries(24) as one:
        client.get(reverse("premises:journal"))
    write(60, by=owner)
    with django_assert_max_num_queries(len(one)):
        client.get(reverse("premises:journal"))


@pytest.mark.parametrize(
    "wrong", ["before=x", "before=-1", "before=9999999999999999999999", "after=²", "staff=me", "verb='"]
)
def test_a_journal_address_that_makes_no_sense_is_still_answered(client: Client, wrong: str) -> None:
    client.force_login(StaffFactory())
    assert client.get(f"{reverse('premises:journal')}?{wrong}").status_code == 200


def test_the_owner_can_have_the_chain_walked(client: Client) -> None:
    client.force_login(StaffFactory())
    write(3)
    good = client.post(reverse("premises:verify_journal"), follow=True)
    assert "The chain holds: 3 entries" in good.content.decode()
    with lifted(connection):
        JournalEntry.objects.filter(sequence=2).update(verb="test.other")
    bad = client.post(reverse("premises:verify_journal"), follow=True)
    assert "Entry 2 was changed after it was written." in bad.content.decode()


def test_only_the_owner_reads_the_journal(client: Client) -> None:
    client.force_login(StaffFactory(roles=["counter", "bench"]))
    assert client.get(reverse("premises:journal")).status_code == 403
    assert client.post(reverse("premises:verify_journal")).status_code == 403
