"""Forgetting a person while books and technical history stay.

What goes: name, address, phone, e-mail and notes; the words on the customer's page and its links; letters; kept searches for
them; their rows of lists that were brought in; and name, address, phone and e-mail out of every text about their units. What
stays: jobs, findings, parts and figures without a name; and, as the law on books asks, issued papers, invoices, payments and
the answers that work was charged by, until the end of their retention. The journal never held a name.

Where the name stands in texts about somebody else, whoever forgets is shown it and says where it goes (`named_elsewhere`).
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from urllib.parse import parse_qs

from django.apps import apps
from django.db import models, transaction

from shop.counter.keys import name_key, phone_key
from shop.counter.models import Customer, Job
from shop.counter.stages import ENDED
from shop.dispatch import models as dispatch
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.openrepair import without_personal
from shop.keeping.models import Picture
from shop.office.queries import balance_of
from shop.records import named_elsewhere
from shop.records.bringing_in.kept import blank_rows
from shop.records.models import SavedSearch, Term
from shop.records.naming import SHORTEST_PHONE, TEXTS, THEIR_OWN_WORDS, rewritten, without_person
from shop.records.personal import letters_to, one_with, rows_about

FORGOTTEN = "Forgotten customer"


def holds_back(customer: Customer) -> str | None:
    """Why a customer can't be forgotten yet: something of theirs is here, something is owed, or they are the shop."""
    if customer.is_shop:
        return "The shop itself is not forgotten."
    if customer.forgotten_at is not None:
        return "This customer was forgotten already."
    if customer.merged_into_id is not None:
        return "This customer was merged into another; forget that one."
    jobs = Job.objects.filter(customer=customer)
    if still := jobs.exclude(stage__in=ENDED).first():
        return f"{still.number} is still open; the customer can be forgotten when it has ended."
    for job in jobs:
        if (balance := balance_of(job)).minor != 0:
            return f"{balance} is open on {job.number}; settle it first."
    return None


def forget(
    *,
    customer: Customer,
    by: Staff,
    elsewhere: Collection[str] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Customer:
    """Forget a customer. What went can't be brought back; a copy for them is made with `data_file` before.

    `elsewhere` are the keys of places in texts about others where the name is to go as well (`named_elsewhere.places_of`).
    """
    if sentence := holds_back(customer):
        raise Refusal(sentence)
    with transaction.atomic():
        with acting(by=by, at=at, once=once_key) as act:
            mine = list(one_with(customer))
            jobs = list(Job.objects.filter(customer__in=mine).values_list("pk", flat=True))
            letters_to(mine).delete()
            _take_out_of_texts(mine)
            dispatch.Parcel.objects.filter(customer__in=mine).update(address="")
            _drop_signatures(dispatch.Collection.objects.filter(customer__in=mine))
            _drop_conversations(jobs)
            _drop_kept_searches(mine)
            others = named_elsewhere.take_out(mine, elsewhere)
            blank_rows(
                jobs,
                says=named_in_lists(mine),
                chosen=named_elsewhere.rows_in(elsewhere),
                without=named_elsewhere.without_their_name(mine),
            )
            _empty(mine, act.at)
            act.record("customer.forgotten", subject=customer, jobs=jobs)
            if others:
                act.record("texts.name_taken_out", jobs=others)
        # the search was brought up to date as the act closed: words that nobody says any more go, too
        Term.objects.filter(documents=0).delete()
    customer.refresh_from_db()
    return customer


def named_in_other_texts(customer: Customer) -> list[named_elsewhere.Place]:
    """Where the customer's name stands in texts about others and in rows of lists, for a person to decide."""
    mine = list(one_with(customer))
    return named_elsewhere.places_of(mine, says=named_in_lists(mine))


def _empty(mine: Iterable[Customer], at: dt.datetime) -> None:
    emptied = (
        "organisation",
        "address",
        "phone",
        "email",
        "note",
        "tax_number",
        "search_key",
        "phone_digits",
    )
    Customer.objects.filter(pk__in=[one.pk for one in mine]).update(
        name=FORGOTTEN, **dict.fromkeys(emptied, ""), forgotten_at=at
    )


# --- texts ----------------------------------------------------------------------------------------------------------


def _take_out_of_texts(mine: Sequence[Customer]) -> None:
    """The customer's own name, address and numbers out of every text about their units; the fault itself stays."""
    without = without_person(mine)

    def bare(text: str) -> str:
        return without_personal(without(text), ())

    for table, columns in TEXTS.items():
        rewritten(rows_about(table, mine), columns, bare if table in THEIR_OWN_WORDS else without)


# --- signatures, conversations, searches, lists -----------------------------------------------------------------------


def _drop_signatures(collections: models.QuerySet[dispatch.Collection]) -> None:
    """Who collected it, by name and by a drawn signature; the file itself goes with the night's clearing."""
    drawn = list(collections.exclude(drawing=None).values_list("drawing", flat=True))
    collections.update(collected_by=FORGOTTEN, drawing=None)
    Picture.objects.filter(pk__in=drawn).delete()


def _drop_conversations(jobs: list[int]) -> None:
    """The words on the customers' pages and the keys to them; the window stands beside the records, so it is asked by name."""
    for model in apps.get_app_config("window").get_models():
        model._default_manager.filter(job__in=jobs).delete()


def _drop_kept_searches(mine: Sequence[Customer]) -> None:
    """Searches that staff kept for this customer, or with their name, phone or e-mail in it."""
    without, pks = without_person(mine), {str(one.pk) for one in mine}
    gone = [
        kept.pk
        for kept in SavedSearch.objects.all()
        if any(without(text) != text for text in _texts_of(kept))
        or not pks.isdisjoint(parse_qs(kept.query).get("customer", ()))
    ]
    SavedSearch.objects.filter(pk__in=gone).delete()


def _texts_of(kept: SavedSearch) -> Iterator[str]:
    yield kept.name
    yield from parse_qs(kept.query).get("q", ())


def named_in_lists(mine: Iterable[Customer]) -> Callable[[Sequence[str]], bool]:
    """Whether a row of a list names one of these customers: a row that became no job, so that nothing else leads to it."""
    names = {key for one in mine if (key := name_key(one.name))}
    emails = {one.email.casefold() for one in mine if one.email}
    phones = {one.phone_digits for one in mine if len(one.phone_digits) >= SHORTEST_PHONE}

    def says(cells: Sequence[str]) -> bool:
        return any(
            name_key(cell) in names or cell.strip().casefold() in emails or phone_key(cell) in phones
            for cell in cells
            if cell
        )

    return says
