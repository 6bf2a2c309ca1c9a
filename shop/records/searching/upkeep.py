"""Keeping the search true: after every act for the jobs it touched, in its transaction, and for all jobs when it is built anew.

The journal's head is locked while acts close, so the counts of terms are written by one act at a time. Building anew takes the
same lock for each of its steps, and goes on where it was broken off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from django.db import connection, transaction
from django.db.models import F

from shop.counter.models import Job
from shop.frame.models import JournalHead
from shop.records.models import KnownSerial, SearchRow, SearchState, SearchTexts, SearchWords, Term
from shop.records.searching.rows import BETWEEN, VERSION, Row, among_these, build_rows, written_words
from shop.records.searching.store import store

AT_ONCE = 500


def refresh(job_ids: Collection[int]) -> None:
    """Bring the search rows of these jobs up to date. Registered with the journal; joins its transaction."""
    ids = sorted(job_ids)
    for start in range(0, len(ids), AT_ONCE):
        _refresh(ids[start : start + AT_ONCE])


def _refresh(job_ids: Sequence[int]) -> None:
    known = {row.job_id: row for row in _kept(job_ids)}
    built = {row.job_id: row for row in build_rows(job_ids)}
    fresh = [row for row in built.values() if row != known.get(row.job_id)]
    gone = [row for job, row in known.items() if job not in built]
    if not fresh and not gone:
        return
    before = [known[row.job_id] for row in fresh if row.job_id in known]
    moved = {row.id for row in before if row.id != built[row.job_id].id} | {row.id for row in gone}
    if moved:
        SearchWords.objects.filter(pk__in=moved).delete()
        SearchTexts.objects.filter(pk__in=moved).delete()
        SearchRow.objects.filter(pk__in=moved).delete()
    if added := [row for row in fresh if row.job_id not in known or known[row.job_id].id in moved]:
        _add(added)
    with store().together():
        _change([row for row in fresh if row.job_id in known and known[row.job_id].id not in moved], known)
        _count_words([*before, *gone], fresh)
    _count_jobs([*before, *gone], fresh)


_KEPT = """
SELECT r.id, r.job_id, r.model_id, j.unit_id, coalesce(s.serial, ''), r.facets,
    coalesce(t.shown, ''), w.words
FROM records_searchrow r JOIN records_searchwords w ON w.id = r.id LEFT JOIN records_searchtexts t ON t.id = r.id
JOIN counter_job j ON j.id = r.job_id LEFT JOIN records_knownserial s ON s.unit_id = j.unit_id WHERE r.job_id {}
"""


def _kept(job_ids: Sequence[int]) -> Iterator[Row]:
    """The rows as they were written last; one statement, asked at the end of every act."""
    among, ids = among_these(job_ids)
    with connection.cursor() as cursor:
        cursor.execute(_KEPT.format(among), ids)
        rows = cursor.fetchall()
    for row in rows:
        pk, job, model, unit, serial, facets, shown, words = row
        tokens, *texts = words.split(BETWEEN)
        yield Row(
            id=pk,
            job_id=job,
            model_id=model,
            unit_id=unit,
            serial=serial,
            facets=facets,
            tokens=tokens,
            texts=tuple(texts),
            shown=shown,
        )


def _add(rows: Iterable[Row]) -> Sequence[Row]:
    added = store().add(rows)
    _keep_serials(added)
    return added


def _change(rows: Sequence[Row], known: dict[int, Row]) -> None:
    facts = [row for row in rows if _facts(row) != _facts(known[row.job_id])]
    if facts:
        SearchRow.objects.bulk_update([_plain(row) for row in facts], ["model", "facets"])
    store().change_words([row for row in rows if row.words != known[row.job_id].words])
    store().keep_texts([row for row in rows if row.shown != known[row.job_id].shown])
    _keep_serials([row for row in rows if row.serial != known[row.job_id].serial])


def _plain(row: Row) -> SearchRow:
    return SearchRow(
        id=row.id,
        job_id=row.job_id,
        model_id=row.model_id,
        facets=row.facets,
    )


def _facts(row: Row) -> tuple[int, str]:
    return row.model_id, row.facets


def _keep_serials(rows: Sequence[Row]) -> None:
    """Note the serial number of each row's unit; one that was taken away is forgotten."""
    kept = {row.unit_id: row.serial for row in rows}
    if none := [unit for unit, serial in kept.items() if not serial]:
        KnownSerial.objects.filter(unit__in=none).delete()
    store().keep_serials([(unit, serial) for unit, serial in kept.items() if serial])


def _count_words(before: Sequence[Row], after: Sequence[Row], met: set[str] | None = None) -> None:
    """Note in how many jobs each word stands now.

    `met` are words that surely stand among the terms; those of these rows join them.
    """
    change = Counter[str]()
    terms = [row.terms for row in after]
    for words in terms:
        change.update(words)
    for row in before:
        change.subtract(row.terms)
    more = {word: by for word, by in change.items() if by > 0}
    written = _written(after, terms, more, met)
    store().count(
        [(word, by, written.get(word, word)) for word, by in sorted(more.items())],
        sorted((word, -by) for word, by in change.items() if by < 0),
    )


def _count_jobs(before: Sequence[Row], after: Sequence[Row]) -> None:
    """Note how many jobs there are now, and how many words in all."""
    longer = sum(row.length for row in after) - sum(row.length for row in before)
    added = len(after) - len(before)
    if longer or added:
        changed = SearchState.objects.filter(pk=1).update(
            documents=F("documents") + added, words=F("words") + longer
        )
        if not changed:
            SearchState.objects.create(pk=1, documents=added, words=longer, version=VERSION)


def _written(
    rows: Sequence[Row], terms: Sequence[frozenset[str]], more: Mapping[str, int], met: set[str] | None
) -> dict[str, str]:
    """How the words that the shop meets for the first time are written."""
    new = {word for word in more if word.isalpha()}  # whatever has a digit is kept as it is written
    if met is not None:
        new -= met
        met |= new
    for some in _some(sorted(new)):
        new.difference_update(Term.objects.filter(word__in=some).values_list("word", flat=True))
    if not new:
        return {}
    having = (row for row, words in zip(rows, terms, strict=True) if not new.isdisjoint(words))
    texts = (
        raw
        for row in having
        for form, raw in zip(row.texts, row.raw, strict=True)
        if not new.isdisjoint(form.split())
    )
    return written_words(texts)


def _some(words: Sequence[str]) -> Iterator[Sequence[str]]:
    return (words[start : start + AT_ONCE] for start in range(0, len(words), AT_ONCE))


# --- making anew what answers meanwhile -----------------------------------------------------------------------

RENEWED_AT_ONCE = 100
"""Jobs in one step: whoever writes waits for no more than that."""


def answers() -> bool:
    """Whether the rows of all jobs are there, by whatever folding: then they can be made anew where they stand."""
    state = SearchState.objects.filter(pk=1).first()
    return state is not None and state.built_to is None


def renew(*, after: int, at_once: int = RENEWED_AT_ONCE) -> int | None:
    """Make the rows of the next jobs anew, each in place of its old one; the last of these jobs, or none when all are done.

    Until then the old rows answer, and no step keeps others waiting for longer than it takes to write a hundred rows. It takes
    three times as long as building from nothing, and nobody has to wait for it.
    """
    with transaction.atomic():
        _hold_the_journal()
        ids = list(Job.objects.filter(pk__gt=after).order_by("pk").values_list("pk", flat=True)[:at_once])
        if ids:
            _refresh(ids)
            store().tidy()
            return ids[-1]
        SearchState.objects.filter(pk=1).update(version=VERSION)
    return None


# --- building anew --------------------------------------------------------------------------------------------


def is_stale() -> bool:
    """Whether the rows were made by an older way of folding, or a rebuilding is not done."""
    state = SearchState.objects.filter(pk=1).first()
    if state is None:
        return Job.objects.exists()
    return state.version != VERSION or state.built_to is not None


def begin_building() -> None:
    """Empty the search. Searches find less, or nothing, until it is built again."""
    with transaction.atomic():
        _hold_the_journal()
        store().clear()
        Term.objects.all().delete()
        SearchState.objects.update_or_create(
            pk=1, defaults={"documents": 0, "words": 0, "version": VERSION, "built_to": 0}
        )


def build_whole() -> Iterator[int]:
    """Go on with a building that was broken off, or begin anew; yields how many jobs are done."""
    state = SearchState.objects.filter(pk=1).first()
    if state is None or state.built_to is None or state.version != VERSION:
        begin_building()
    done = SearchState.objects.get(pk=1).documents
    for some in build_on():
        done += some
        yield done


def build_on(*, at_once: int = 5000) -> Iterator[int]:
    """Go on building from where it stands; yields how many jobs each step took. Nothing to do when the search is whole."""
    met: set[str] = set()
    while True:
        with transaction.atomic():
            _hold_the_journal()
            state = SearchState.objects.get(pk=1)
            if state.built_to is None:
                return
            ids = list(
                Job.objects.filter(pk__gt=state.built_to)
                .order_by("pk")
                .values_list("pk", flat=True)[:at_once]
            )
            done = set(SearchRow.objects.filter(job__in=ids).values_list("job_id", flat=True))
            if rows := _add(build_rows([pk for pk in ids if pk not in done])):
                _count_words([], rows, met)
                _count_jobs([], rows)
            if not ids:
                store().complete()
            SearchState.objects.filter(pk=1).update(built_to=ids[-1] if ids else None)
        if not ids:
            return
        yield len(ids)


def _hold_the_journal() -> None:
    JournalHead.objects.get_or_create(pk=1)
    JournalHead.objects.select_for_update().get(pk=1)
