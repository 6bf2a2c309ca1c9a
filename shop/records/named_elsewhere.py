"""Where the name of a customer who is to be forgotten stands in texts about somebody else, for a person to decide.

The complaint of a brother, a note on a model, a row of a list that was brought in: nothing leads there but the name itself, and
the name may be another's. So it is shown with its places, and goes only where somebody says so.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import CharField, Model, Q, QuerySet, Value
from django.urls import reverse

from shop.counter.keys import phone_key
from shop.counter.models import Customer, Job, ModelNote, Unit, UnitModel
from shop.handbook.openrepair import LEFT_OUT, words_of_name
from shop.records.bringing_in.kept import readable_rows
from shop.records.models import Batch, BroughtRow
from shop.records.naming import SHORTEST_PHONE, TEXTS, is_of_the_trade, rewritten, without_person
from shop.records.personal import rows_about

MOST_PLACES = 60
"""So many places are shown; a name that stands in more is a word that means others, too."""

LOOKED_AT = 2_000
AROUND = 60
"""Signs before and behind the name that are shown."""

SHORTEST_NEEDLE = 3
IN_A_LIST = "list:"
OTHERS: dict[type[Model], tuple[str, ...]] = TEXTS | {UnitModel: ("notes",), Customer: ("note",)}
_BY_LABEL = {table._meta.label_lower: table for table in OTHERS}


@dataclass(frozen=True, slots=True)
class Place:
    """One text that has the name: its key, what and whose it is, its page, and the words around. `sure` with the whole name."""

    key: str
    where: str
    address: str
    excerpt: str
    sure: bool


def without_their_name(mine: Iterable[Customer]) -> Callable[[str], str]:
    """What leaves names, e-mail and telephone of these customers out of a text; the address of a house may be others', too."""
    return without_person(_unplaced(mine))


def places_of(mine: Sequence[Customer], *, says: Callable[[Sequence[str]], bool]) -> list[Place]:
    """The places, those with the whole name first. `says` tells of a list's row that it goes in any case."""
    without = without_their_name(mine)
    whole = without_person([Customer(name=one.name, email=one.email) for one in mine], words=False)
    found = [*_in_tables(mine, without, whole), *_in_lists(mine, without, whole, says)]
    return sorted(found, key=lambda place: not place.sure)[:MOST_PLACES]


def take_out(mine: Sequence[Customer], keys: Collection[str]) -> list[int]:
    """Take the name out of these texts; the jobs that they belong to, for the search."""
    without = without_their_name(mine)
    chosen: dict[str, set[int]] = defaultdict(set)
    for label, pk in (key.split(":") for key in keys if not key.startswith(IN_A_LIST)):
        chosen[label].add(int(pk))
    jobs: set[int] = set()
    for label, pks in chosen.items():
        table = _BY_LABEL[label]
        changed = rewritten(table._default_manager.filter(pk__in=pks), OTHERS[table], without)
        jobs.update(_jobs_of(table, changed))
    return sorted(jobs)


def rows_in(keys: Iterable[str]) -> list[tuple[int, int]]:
    """The rows of lists among the places, by list and number."""
    named = (key.split(":") for key in keys if key.startswith(IN_A_LIST))
    return [(int(pk), int(number)) for _, pk, number in named]


# --- tables ------------------------------------------------------------------------------------------------------


def _in_tables(
    mine: Sequence[Customer], without: Callable[[str], str], whole: Callable[[str], str]
) -> Iterator[Place]:
    """Asked in one statement over all texts; what is about the customer's own units goes anyway and is left out."""
    met: dict[str, dict[int, str]] = defaultdict(dict)
    for label, pk, text in _having(_needles(mine)):
        if without(text) != text:
            met[label].setdefault(pk, text)
    for label, texts in met.items():
        table = _BY_LABEL[label]
        for pk in _about(table, mine, texts):
            del texts[pk]
        for pk, (where, address) in _described(table, list(texts)).items():
            yield _place(f"{label}:{pk}", where, address, texts[pk], without, whole)


def _having(needles: Sequence[str]) -> Iterator[tuple[str, int, str]]:
    """Every text that has one of the needles, as (table, id, text), the first ones."""
    if not needles:
        return iter(())
    parts = [
        table._default_manager.filter(reduce(or_, (Q(**{f"{column}__icontains": one}) for one in needles)))
        .order_by()
        .values_list(Value(table._meta.label_lower, CharField()), "pk", column)
        for table, columns in OTHERS.items()
        for column in columns
    ]
    first, *others = parts
    return iter(first.union(*others, all=True)[:LOOKED_AT])


def _needles(mine: Iterable[Customer]) -> list[str]:
    """What a database looks for: the longest run of plain signs, since it folds no others, of each telling thing."""
    said: list[str] = []
    for one in mine:
        words = [word for word in words_of_name(one.name) if not is_of_the_trade(word)]
        said += words or words_of_name(one.name)[-1:]
        said += [one.email, one.organisation]
        said += [phone_key(one.phone)[-4:]] if len(phone_key(one.phone)) >= SHORTEST_PHONE else []
    plain = (max(re.findall(r"[ -~]+", text), key=len, default="") for text in said if text)
    return list(dict.fromkeys(one for one in plain if len(one) >= SHORTEST_NEEDLE))


def _about(table: type[Model], mine: Sequence[Customer], pks: Collection[int]) -> list[int]:
    if table is UnitModel:
        return []
    own: QuerySet[Any] = Customer.objects.filter(pk__in=[one.pk for one in mine])
    if table is not Customer:
        own = rows_about(table, mine)
    return list(own.filter(pk__in=pks).values_list("pk", flat=True))


def _described(table: type[Model], pks: Sequence[int]) -> dict[int, tuple[str, str]]:
    """What each row is called, and its page."""
    what = str(table._meta.verbose_name)
    rows: Any = table._default_manager.filter(pk__in=pks)
    if table is Customer:
        return {one.pk: (f"Note on {one.name}", reverse("counter:customer", args=[one.pk])) for one in rows}
    if table in {UnitModel, ModelNote}:
        models = rows.select_related("maker" if table is UnitModel else "model__maker")
        named = ((one.pk, one if table is UnitModel else one.model) for one in models)
        return {pk: (f"Note on {model}", reverse("records:model", args=[model.pk])) for pk, model in named}
    jobs = dict(_job_numbers(table, rows))
    return {
        pk: (
            f"{'Complaint' if table is Job else what.capitalize()} of {jobs[pk]}"
            if pk in jobs
            else what.capitalize(),
            reverse("records:job_card", args=[jobs[pk]]) if pk in jobs else "",
        )
        for pk in pks
    }


def _job_numbers(table: type[Model], rows: QuerySet[Any]) -> Iterator[tuple[int, str]]:
    path = _path_to_job(table)
    if path is not None:
        yield from rows.exclude(**{f"{path}number": None}).values_list("pk", f"{path}number")


def _path_to_job(table: type[Model]) -> str | None:
    """How a row leads to its job, such as `job__`; None where it has none of its own."""
    if table is Job:
        return ""
    if table is Unit:
        return "jobs__"
    names = {f.name for f in table._meta.concrete_fields if f.is_relation and f.related_model is Job}
    return f"{min(names)}__" if names else None


def _jobs_of(table: type[Model], rows: Sequence[Model]) -> Iterator[int]:
    path = _path_to_job(table)
    if path is not None and table is not BroughtRow:
        found = table._default_manager.filter(pk__in=[row.pk for row in rows])
        yield from (pk for pk in found.values_list(f"{path}pk", flat=True) if pk is not None)


# --- lists -------------------------------------------------------------------------------------------------------


def _in_lists(
    mine: Sequence[Customer],
    without: Callable[[str], str],
    whole: Callable[[str], str],
    says: Callable[[Sequence[str]], bool],
) -> Iterator[Place]:
    """Rows of kept lists that have the name among other words. Those that became the customer's own jobs go anyway."""
    needles = [one.lower() for one in _needles(mine)]
    jobs = Job.objects.filter(customer__in=mine)
    for batch in Batch.objects.all():
        own = set(batch.outcomes.filter(job__in=jobs).values_list("number", flat=True))
        others = set(batch.outcomes.filter(job__isnull=False).values_list("number", flat=True)) - own
        for number, cells in readable_rows(batch):
            line = " · ".join(filter(None, cells))
            if number in own or not any(one in line.lower() for one in needles) or without(line) == line:
                continue
            if number in others or not says(cells):
                where = f"Row {number} of “{batch.name}”"
                address = reverse("records:batch", args=[batch.pk])
                yield _place(f"{IN_A_LIST}{batch.pk}:{number}", where, address, line, without, whole)


# --- one place ---------------------------------------------------------------------------------------------------


def _place(
    key: str,
    where: str,
    address: str,
    text: str,
    without: Callable[[str], str],
    whole: Callable[[str], str],
) -> Place:
    left = without(text)
    at = next((at for at, (a, b) in enumerate(zip(text, left, strict=False)) if a != b), 0)
    start = max(0, at - AROUND)
    excerpt = f"{'… ' if start else ''}{text[start : at + 2 * AROUND].strip()}"
    return Place(key, where, address, excerpt, sure=whole(text) != text or LEFT_OUT not in left)


def _unplaced(mine: Iterable[Customer]) -> Iterator[Customer]:
    for one in mine:
        yield Customer(
            name=one.name,
            organisation=one.organisation,
            phone=one.phone,
            phone_digits=one.phone_digits,
            email=one.email,
        )
