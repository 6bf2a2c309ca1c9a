"""The search follows every act, and is built anew without a difference."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.db.models import F

from shop.bench.actions import strike
from shop.bench.models import Finding
from shop.counter.actions import change_unit
from shop.counter.models import Job
from shop.front_door import serving
from shop.records.models import SearchRow, SearchState, SearchTexts, SearchWords, Term
from shop.records.searching import upkeep
from shop.records.searching.answering import Asking, ask
from shop.records.searching.rows import VERSION, day_of, id_on
from tests.factories.counter import booked_in
from tests.factories.records import past_job
from tests.working import do_all

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def test_a_row_follows_every_act_in_its_own_transaction() -> None:
    job = booked_in(complaint="Buzzes at the zyxwvut")
    row = SearchRow.objects.get(job=job)
    assert Term.objects.get(word="zyxwvut").documents == 1
    finding = Finding.objects.create(job=job, text="Qwghlm leaks", by=job.accepted_by)
    upkeep.refresh([job.pk])
    assert [hit.job.pk for hit in ask(Asking(text="qwghlm")).hits] == [job.pk]
    strike(line=finding, reason="wrong unit", by=job.accepted_by)
    assert not ask(Asking(text="qwghlm", exactly=True)).hits
    assert Term.objects.get(word="qwghlm").documents == 0
    change_unit(unit=job.unit, serial="77-NEW", by=job.accepted_by)
    assert [hit.row for hit in ask(Asking(text="77new")).hits] == [row.pk]
    state = SearchState.objects.get()
    assert state.documents == SearchRow.objects.count() == 1


def test_old_jobs_brought_in_later_stand_where_their_day_puts_them() -> None:
    new = past_job(complaint="Hum", at=dt.datetime(2026, 5, 1, 9, tzinfo=dt.UTC))
    old = past_job(complaint="Hum", at=dt.datetime(2011, 5, 1, 9, tzinfo=dt.UTC))
    assert [hit.job.pk for hit in ask(Asking(text="hum")).hits] == [new.pk, old.pk]
    assert day_of(SearchRow.objects.get(job=old).pk) == dt.date(2011, 5, 1)
    assert id_on(dt.date(2011, 5, 1), 16_777_215) < id_on(dt.date(2011, 5, 2), 1)


def test_building_anew_gives_the_same_rows_and_goes_on_where_it_stopped(history: dict[str, Job]) -> None:
    def kept() -> tuple[list[object], ...]:
        return (
            list(SearchRow.objects.order_by("pk").values_list("pk", "job_id", "model_id", "facets")),
            list(SearchWords.objects.order_by("pk").values_list("pk", "words")),
            list(SearchTexts.objects.order_by("pk").values_list("pk", "shown")),
            list(Term.objects.filter(documents__gt=0).order_by("word").values_list("word", "documents")),
            list(SearchState.objects.values_list("documents", "words")),
        )

    before = kept()
    upkeep.begin_building()
    steps = upkeep.build_on(at_once=3)
    assert next(steps) == 3
    assert upkeep.is_stale()
    booked_in(complaint="came while it was being built")
    assert sum(upkeep.build_on(at_once=3)) == 5
    assert not upkeep.is_stale()
    Job.objects.filter(complaint__startswith="came while").update(complaint="")
    late = Job.objects.get(complaint="")
    upkeep.refresh([late.pk])
    assert [hit.job for hit in ask(Asking(text="relay")).hits] == [history["relay"]]
    row = SearchRow.objects.get(job=late)
    assert [one for one in kept()[0] if one[0] != row.pk] == before[0]  # type: ignore[index]
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("INSERT INTO records_fts(records_fts, rank) VALUES ('integrity-check', 1)")


def test_a_book_of_an_older_program_has_its_search_built_when_the_shop_is_served(
    history: dict[str, Job],
) -> None:
    SearchState.objects.update(version=VERSION - 1)
    SearchTexts.objects.all().delete()
    serving.bring_up_search()
    assert do_all() == 1
    assert not upkeep.is_stale()
    (hit,) = ask(Asking(text="black")).hits
    assert hit.texts.reasons
    SearchTexts.objects.all().delete()
    serving.bring_up_search()  # nothing to do in a whole search, so nothing is done
    assert not SearchTexts.objects.exists()


def test_while_old_rows_are_made_anew_they_answer_and_in_the_end_all_is_as_if_it_was_built_from_nothing(
    history: dict[str, Job],
) -> None:
    whole = list(SearchWords.objects.order_by("pk").values_list("pk", "words"))
    counted = dict(Term.objects.filter(documents__gt=0).values_list("word", "documents"))
    # an older program folded otherwise: it kept another word of each job
    for job in Job.objects.all():
        words = SearchWords.objects.get(row__job=job)
        words.words = f"{words.words} oldfolding"
        words.save(update_fields=["words"])
    Term.objects.create(word="oldfolding", documents=len(whole), written="oldfolding")
    SearchState.objects.update(version=VERSION - 1, words=F("words") + len(whole))
    after = 0
    while (last := upkeep.renew(after=after, at_once=2)) is not None:
        assert [hit.job for hit in ask(Asking(text="relay")).hits] == [history["relay"]]
        assert upkeep.is_stale()
        after = last
    assert not upkeep.is_stale()
    assert list(SearchWords.objects.order_by("pk").values_list("pk", "words")) == whole
    assert dict(Term.objects.filter(documents__gt=0).values_list("word", "documents")) == counted
    assert not ask(Asking(text="oldfolding", exactly=True)).hits
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("INSERT INTO records_fts(records_fts, rank) VALUES ('integrity-check', 1)")


@pytest.mark.postgres(only=True)
def test_a_building_leaves_the_foreign_keys_that_it_took_away(history: dict[str, Job]) -> None:
    def bound() -> set[tuple[str, str]]:
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT conrelid::regclass::text, confrelid::regclass::text FROM pg_constraint "
                "WHERE contype = 'f' AND conrelid::regclass::text LIKE 'records%'"
            )
            return set(cursor.fetchall())

    before = bound()
    upkeep.begin_building()
    assert len(bound()) == len(before) - 5
    for _ in upkeep.build_on(at_once=3):
        pass
    assert bound() == before


def test_a_word_that_stands_a_thousand_times_is_kept_and_so_is_what_follows_it() -> None:
    # PostgreSQL 15 manual, 12.11: positions up to 16,383, and no more than 256 of one lexeme
    job = past_job(complaint="hum " * 1000 + "zyxwvut " + "crackle " * 17_000 + "qwghlm")
    assert [hit.job.pk for hit in ask(Asking(text="hum zyxwvut qwghlm")).hits] == [job.pk]
