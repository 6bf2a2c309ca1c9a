"""Forgetting a person while books and technical history stay.

What goes: name, address, phone, e-mail and notes; the words on the customer's page and its links; letters; kept searches for
them; their rows of lists that were brought in; and name, address, phone and e-mail out of every text about their units. What
stays: jobs, findings, parts and figures without a name; and, as the law on books asks, issued papers, invoices, payments and
the answers that work was charged by, until the end of their retention. The journal never held a name.

A word of the name that the trade uses as well (Ray Short's amplifier with a short) goes only where the whole name stands.
"""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from urllib.parse import parse_qs

from django.apps import apps
from django.db import models, transaction

from shop.bench.models import (
    Conclusion,
    Evidence,
    FailureMode,
    Finding,
    FittedList,
    Heard,
    LeftOff,
    Overruled,
    Reading,
    SafetyCheck,
    SafetyWaiver,
    Said,
    SoakCheck,
    SoakTest,
    Stint,
    Taking,
    Temporary,
    Ticked,
)
from shop.counter.keys import name_key, phone_key
from shop.counter.models import Accessory, Customer, InboundParcel, Job, JobPicture, Kind, ModelNote, Unit
from shop.counter.stages import ENDED
from shop.dispatch.models import Collection, DamageReport, GoingBack, Parcel
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.openrepair import LEFT_OUT, without_personal, without_words, words_of_name
from shop.handbook.words import TRADE_ROWS, stored_tokens
from shop.keeping.models import Picture
from shop.office.queries import balance_of
from shop.records.bringing_in.kept import blank_rows
from shop.records.models import BroughtRow, SavedSearch, Term
from shop.records.personal import letters_to, one_with, rows_about
from shop.stockroom.models import PartFitted, PartWanted

FORGOTTEN = "Forgotten customer"
SHORTEST_PHONE = 5
LOCAL_PHONE = 7
"""So many digits at the end of a number mean its owner without the country's and the town's."""

TEXTS: dict[type[models.Model], tuple[str, ...]] = {
    Unit: ("marks",),
    Job: ("complaint", "condition"),
    Accessory: ("name", "stands_at"),
    JobPicture: ("caption",),
    ModelNote: ("text",),
    InboundParcel: ("packing_note",),
    PartFitted: ("description", "position", "struck_reason"),
    PartWanted: ("description",),
    Finding: ("text", "struck_reason"),
    Evidence: ("where", "marking", "note", "struck_reason"),
    Conclusion: ("failed", "position", "remedy", "watch", "struck_reason"),
    Reading: ("typed", "where", "against", "condition", "why", "struck_reason"),
    Temporary: ("what", "where", "struck_reason"),
    LeftOff: ("text", "struck_reason"),
    Ticked: ("left_out", "struck_reason"),
    FittedList: ("text", "struck_reason"),
    Said: ("text", "clip", "struck_reason"),
    Heard: ("words", "facts"),
    Taking: ("struck_reason",),
    SoakTest: ("note", "struck_reason"),
    SoakCheck: ("note",),
    SafetyCheck: ("struck_reason",),
    SafetyWaiver: ("reason", "struck_reason"),
    Overruled: ("reason", "struck_reason"),
    Stint: ("struck_reason",),
    GoingBack: ("explanation",),
    DamageReport: ("found",),
    BroughtRow: ("provider", "their_number", "barrier"),
}
"""Texts that somebody typed and that may name the customer, by table."""

THEIR_OWN_WORDS = {Job}
"""Tables whose texts are the customer's own words: any number to ring goes there, not theirs alone."""


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
    *, customer: Customer, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Customer:
    """Forget a customer. What went can't be brought back; a copy for them is made with `data_file` before."""
    if sentence := holds_back(customer):
        raise Refusal(sentence)
    with transaction.atomic():
        with acting(by=by, at=at, once=once_key) as act:
            mine = list(one_with(customer))
            jobs = list(Job.objects.filter(customer__in=mine).values_list("pk", flat=True))
            letters_to(mine).delete()
            _take_out_of_texts(mine)
            Parcel.objects.filter(customer__in=mine).update(address="")
            _drop_signatures(Collection.objects.filter(customer__in=mine))
            _drop_conversations(jobs)
            _drop_kept_searches(mine)
            blank_rows(jobs, says=_named_in_lists(mine))
            _empty(mine, act.at)
            act.record("customer.forgotten", subject=customer, jobs=jobs)
        # the search was brought up to date as the act closed: words that nobody says any more go, too
        Term.objects.filter(documents=0).delete()
    customer.refresh_from_db()
    return customer


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
    for table, columns in TEXTS.items():
        changed = []
        for row in rows_about(table, mine):
            said = {column: getattr(row, column) for column in columns}
            new = {column: without(text) for column, text in said.items()}
            if table in THEIR_OWN_WORDS:
                new = {column: without_personal(text, ()) for column, text in new.items()}
            if new != said:
                for column, text in new.items():
                    setattr(row, column, text)
                changed.append(row)
        if changed:
            table._default_manager.bulk_update(changed, list(columns))


def without_person(mine: Iterable[Customer]) -> Callable[[str], str]:
    """What leaves these customers out of a text: whole names, lines of the address, e-mail, phone, and words of the name."""
    whole, words = [], []
    for one in mine:
        lines = [one.name, one.organisation, *one.address.splitlines(), one.email]
        whole += [_as_written(line) for line in lines if len(line.strip()) > SHORTEST_PHONE]
        whole += [_as_dialled(number) for number in (phone_key(one.phone), one.phone_digits)]
        words += words_of_name(one.name)
    pattern = re.compile("|".join(filter(None, whole)) or r"(?!)", re.IGNORECASE)
    telling = [word for word in words if not _is_of_the_trade(word)]
    return lambda text: without_words(pattern.sub(LEFT_OUT, text), telling) if text else text


def _as_written(line: str) -> str:
    return r"(?<!\w)" + r"\s+".join(re.escape(word) for word in line.split()) + r"(?!\w)"


def _as_dialled(digits: str) -> str:
    """A phone number however it is spaced; nothing for one that is too short to be told from a value."""
    if len(digits) < SHORTEST_PHONE:
        return ""
    between = r"[\s().\-/]{0,2}"
    may_be_left_out = "".join(f"(?:{digit}{between})?" for digit in digits[:-LOCAL_PHONE])
    return rf"(?<!\d)\+?\(?{may_be_left_out}{between.join(digits[-LOCAL_PHONE:])}(?!\d)"


@cache
def _words_of_the_trade() -> frozenset[str]:
    said = (*(" ".join(row) for row in TRADE_ROWS), *FailureMode.labels, *Kind.labels)
    return frozenset(word for text in said for word in stored_tokens(str(text)))


def _is_of_the_trade(word: str) -> bool:
    return any(token in _words_of_the_trade() for token in stored_tokens(word))


# --- signatures, conversations, searches, lists -----------------------------------------------------------------------


def _drop_signatures(collections: models.QuerySet[Collection]) -> None:
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


def _named_in_lists(mine: Iterable[Customer]) -> Callable[[Sequence[str]], bool]:
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
