"""A published list taken in as a library: read apart, by category, step by step; a newer edition replaces the older whole.

Each step is one transaction, so that a reading that is broken off goes on where it stopped. Until the last one nothing of the new
edition is found and all of the old one is.
"""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from functools import partial
from itertools import islice
from typing import IO

from django.core.files.base import File
from django.db import transaction

from shop.frame import clock
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.handbook.words import stored_form
from shop.keeping.models import Task
from shop.keeping.tasks import ask
from shop.records.bringing_in.apart import table_of
from shop.records.bringing_in.columns import missing
from shop.records.bringing_in.kept import KeptRow, head_of, rows_from
from shop.records.bringing_in.reading import UNKNOWN, OldJob, Unreadable, read
from shop.records.models import Library, Passage

READ_LIBRARY = "records.read_library"
AT_ONCE = 1000
UNSORTED = "Without a category"
NO_PLACE = "This list has no column for: {}. A library needs a day and what was wrong."


def start_library(
    *,
    name: str,
    file: IO[bytes],
    by: Staff | None,
    attribution: str = "",
    once_key: uuid.UUID | None = None,
) -> Library:
    """Keep a published list and count its categories; nothing of it is found yet. Refuses what is no list."""
    with table_of(file) as table:
        library = Library(name=name[:200], by=by)
        head_of(table, library)
        if lacking := missing(library.columns):
            raise Refusal(
                NO_PLACE.format(", ".join(column.label.lower() for column in lacking)), field="file"
            )
        with acting(by=by, once=once_key) as act:
            library.made_at = act.at
            library.file.save(f"{uuid.uuid4()}.csv", File(table.file), save=False)
            providers, library.categories = _counted(library)
            library.provider = (providers.most_common(1)[0][0] if providers else name)[:120]
            library.attribution = (attribution.strip() or library.provider)[:200]
            library.save(force_insert=True)
            act.record("library.started", subject=library, rows=library.rows)
    return library


def _counted(library: Library) -> tuple[Counter[str], dict[str, int]]:
    providers: Counter[str] = Counter()
    categories: Counter[str] = Counter()
    provider, kind = library.columns.get("provider"), library.columns.get("kind")
    for (_, cells), _place in rows_from(library, 0):
        categories[_at(cells, kind) or UNSORTED] += 1
        if who := _at(cells, provider):
            providers[who] += 1
    return providers, dict(categories.most_common())


def _at(cells: Sequence[str], place: int | None) -> str:
    return cells[place].strip() if place is not None and place < len(cells) else ""


def choose_categories(
    *,
    library: Library,
    categories: Collection[str],
    by: Staff | None,
    attribution: str = "",
    begin: bool = True,
    once_key: uuid.UUID | None = None,
) -> Library:
    """Say which categories are kept, and what stands beside every record; then have the worker read them."""
    wanted = [name for name in library.categories if name in categories]
    if strange := sorted(set(categories) - set(wanted)):
        raise Refusal(f"No row of this list is of the category “{strange[0]}”.", field="categories")
    if not wanted:
        raise Refusal("Choose one category at least.", field="categories")
    with acting(by=by, once=once_key) as act:
        library = Library.objects.select_for_update().get(pk=library.pk)
        if library.state != Library.State.CHOOSING:
            raise Refusal("This list is being read already.")
        library.chosen, library.state = wanted, Library.State.READING
        library.attribution = (attribution.strip() or library.attribution)[:200]
        library.save(update_fields=["chosen", "state", "attribution"])
        if begin:
            ask_to_read(library=library, by=by)
        act.record("library.chosen", subject=library)
    return library


def ask_to_read(*, library: Library, by: Staff | None) -> Task:
    """Have the worker read a library, from where it stands."""
    same = f"{READ_LIBRARY} {library.pk}"
    return ask(READ_LIBRARY, by=by, about={"library": library.pk}, title=library.name, same=same)


@keyless("stepwise")
def go_on(*, library: Library, at_once: int = AT_ONCE) -> Library:
    """Read the next rows. Call again until it is ready; each call is one transaction."""
    with transaction.atomic():
        library = Library.objects.select_for_update().get(pk=library.pk)
        if library.state != Library.State.READING:
            return library
        found = list(islice(rows_from(library, library.place), at_once))
        passages = list(_passages(library, [row for row, _ in found]))
        Passage.objects.bulk_create(passages)
        library.done += len(found)
        library.kept += len(passages)
        if found:
            library.place = found[-1][1]
        if library.done >= library.rows or not found:
            _take_the_place_of_older(library)
        library.save(update_fields=["done", "kept", "place", "state"])
    return library


def read_all(*, library: Library, say: Callable[[int, int], None] | None = None) -> Library:
    """Go on until the library can be asked."""
    while library.state == Library.State.READING:
        library = go_on(library=library)
        if say is not None:
            say(library.done, library.rows)
    return library


def _take_the_place_of_older(library: Library) -> None:
    library.state = Library.State.READY
    older = Library.objects.filter(provider=library.provider, state=Library.State.READY)
    for one in older.exclude(pk=library.pk):
        _delete(one)


def throw_away(*, library: Library, by: Staff | None, once_key: uuid.UUID | None = None) -> None:
    """Delete a library with all that is in it, whether it was read or not."""
    with acting(by=by, once=once_key) as act:
        act.record("library.thrown_away", rows=library.rows)
        _delete(library)


def _delete(library: Library) -> None:
    name, storage = library.file.name, library.file.storage
    library.delete()
    if name:
        transaction.on_commit(partial(storage.delete, name))


def _passages(library: Library, rows: Sequence[KeptRow]) -> list[Passage]:
    kind, chosen, today = library.columns.get("kind"), set(library.chosen), clock.today()
    found = []
    for _, cells in rows:
        if (_at(cells, kind) or UNSORTED) not in chosen:
            continue
        try:
            record = read(cells, library.columns, month_first=False, today=today)
        except Unreadable:
            continue
        if passage := _passage(library, record, _at(cells, kind), _at(cells, library.columns.get("outcome"))):
            found.append(passage)
    return found


def _passage(library: Library, record: OldJob, category: str, ended: str) -> Passage | None:
    """One record as it is kept, its end in the publisher's own word; none of one that says only what kind of thing it was."""
    cured = ": ".join(filter(None, (record.failed, record.remedy)))
    text = "\n".join(filter(None, (record.complaint, record.finding, cured)))
    names = [name for name in (record.maker, record.model) if not name.lower().startswith(UNKNOWN)]
    title = " ".join(names) or category or "Unnamed"
    if record.complaint == record.model and not (record.finding or cured):
        return None
    told = " · ".join(filter(None, (ended or record.ended_as, record.barrier)))
    return Passage(
        library=library,
        title=title[:250],
        text=text,
        told=told[:200],
        number=record.number,
        day=record.came,
        words="\n".join((stored_form(" ".join((title, category))), stored_form(text))),
    )
