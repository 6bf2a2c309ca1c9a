"""What was sealed is found when it differs, by table, row and column; what is personal can be erased and the rest still holds.

The digests are those of FIPS 180-4 (SHA-256) and FIPS 198-1 (HMAC), cut to 96 bits; they are reckoned here once more by hand.
"""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import hmac
import tracemalloc
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, connection, models, transaction

from shop.frame import clock, seals
from shop.frame.guards import lifted
from shop.frame.journal import acting, verify
from shop.frame.models import JournalEntry, Staff
from shop.frame.seal_check import Difference, Rows, differences
from shop.keeping.models import StoredFile
from shop.keeping.nightly import watch_over
from shop.office.models import Authorisation, EInvoice, Estimate, Invoice, Payment, RepairForm
from shop.stockroom import actions as stockroom
from shop.stockroom.models import LedgerEntry, Part
from tests.factories.stockroom import a_part
from tests.frame.conftest import NAME

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


class Undone(Exception):
    """Raised to have what was tried taken back."""


def another(column: models.Field[Any, Any], value: Any) -> Any:
    """A value of the column's own kind that is not the one that is there."""
    if column.is_relation:
        return 987_654 if value is None else None if column.null else value + 100_000
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | Decimal):
        return value + 1
    if isinstance(value, dt.datetime | dt.date):
        return value + dt.timedelta(days=1)
    if isinstance(value, str):
        return "y" if value.startswith("x") else "xyz"[: column.max_length or 3]
    for kind, other in (
        (models.JSONField, {"another": True}),
        (models.DateTimeField, clock.now()),
        (models.DateField, clock.today()),
        (models.IntegerField, 7),
        (models.GenericIPAddressField, "192.0.2.7"),
    ):
        if isinstance(column, kind):
            return other
    return "xyz"


def changed(row: models.Model, column: models.Field[Any, Any]) -> list[Difference]:
    """What is found once a column of a row was changed past the guards; the change is taken back."""
    found: list[Difference] = []

    def try_it() -> None:
        with transaction.atomic(), lifted(connection):
            new = another(column, getattr(row, column.attname))
            type(row)._base_manager.filter(pk=row.pk).update(**{column.attname: new})
            found.extend(differences())
            raise Undone

    with pytest.raises((Undone, DatabaseError)):
        try_it()
    return found


def test_all_that_has_to_be_sealed_is_sealed_by_the_act_that_writes_it(sealed_book: Staff) -> None:
    tables = {model._meta.label_lower for model in seals.sealed_models()}
    assert tables == {
        *(
            "office.invoice",
            "office.invoicejob",
            "office.invoiceline",
            "office.invoicetax",
            "office.einvoice",
            "office.charge",
        ),
        *("office.estimate", "office.estimateline", "office.authorisation", "office.repairform"),
        *("office.payment", "office.allocation", "office.releaseunpaid"),
        *("keeping.issuedpaper", "stockroom.ledgerentry"),
    }
    sealed = [
        seal for entry in JournalEntry.objects.all() for seal in seals.unfold(entry.data.get("seals", []))
    ]
    assert {seal.table for seal in sealed} == tables
    assert len({(seal.table, seal.row) for seal in sealed}) == len(sealed) > 30
    assert list(differences()) == []
    assert verify() == []


def test_every_column_of_every_sealed_table_is_named_when_it_differs(sealed_book: Staff) -> None:
    tried = 0
    for model in seals.sealed_models():
        row = model._base_manager.order_by("pk").first()
        assert row is not None
        for column in model._meta.concrete_fields:
            if column.name not in seals.covered(model):
                continue
            found = changed(row, column)
            told = {(one.table, one.row): one.columns for one in found}
            if found:
                assert told == {(model._meta.label_lower, row.pk): (column.name,)}, column
                assert f"{model._meta.label_lower} {row.pk}: {column.name} is not what" in found[0].sentence
                tried += 1
    # where a check of the table itself stands before the seal, the change was refused
    assert tried > 100


def test_a_digest_is_what_the_standards_make_of_what_the_row_says() -> None:
    def cut(whole: bytes) -> str:
        return base64.urlsafe_b64encode(whole[:12]).decode()

    said = b'["office.payment", 7, "amount_minor", 2000]'
    assert seals.digest("office.payment", 7, "amount_minor", 2000) == cut(hashlib.sha256(said).digest())
    said = b'["office.payment", 7, "at", "2026-02-28T23:30:00.000000+00:00"]'
    berlin = dt.datetime(2026, 3, 1, 0, 30, tzinfo=dt.timezone(dt.timedelta(hours=1)))
    assert seals.digest("office.payment", 7, "at", berlin) == cut(hashlib.sha256(said).digest())
    said = b'["office.payment", 7, "note", "f\\u00fcr"]'
    by_key = hmac.new(b"a salt", said, hashlib.sha256).digest()
    assert seals.digest("office.payment", 7, "note", "für", "a salt") == cut(by_key)
    # PostgreSQL keeps the keys of a JSON value in another order than SQLite
    assert seals.digest("x", 1, "facts", {"b": 1, "a": 2}) == seals.digest("x", 1, "facts", {"a": 2, "b": 1})
    assert seals.digest("x", 1, "one", None) != seals.digest("x", 1, "one", "")


def test_the_journal_still_names_nobody(sealed_book: Staff) -> None:
    told = "".join(str(entry.data) for entry in JournalEntry.objects.all())
    assert NAME not in told
    assert "Quarrington" not in told


# --- acts that seal -----------------------------------------------------------------------------------------


def test_an_act_that_seals_and_writes_nothing_down_is_refused(sealed_book: Staff) -> None:
    with pytest.raises(ValueError, match="records what it did"), acting(by=None) as act:
        act.seal(Payment.objects.first())  # type: ignore[arg-type]


def test_what_an_inner_act_sealed_goes_with_it_when_it_fails(sealed_book: Staff) -> None:
    part, before = Part.objects.get(), LedgerEntry.objects.count()

    def received_and_failed() -> None:
        with acting(by=sealed_book):
            stockroom.receive(part=part, quantity_thousandths=1000, by=sealed_book)
            raise Undone

    with acting(by=sealed_book) as outer:
        with pytest.raises(Undone):
            received_and_failed()
        stockroom.receive(part=part, quantity_thousandths=2000, by=sealed_book)
        outer.record("test.outer")
    assert LedgerEntry.objects.count() == before + 1
    assert list(differences()) == []


def test_the_check_takes_no_more_room_for_a_long_book_than_for_a_short_one(sealed_book: Staff) -> None:
    part = a_part(sealed_book)

    def room_after(rows: int) -> int:
        for _ in range(rows):
            stockroom.receive(part=part, quantity_thousandths=1000, by=sealed_book, once_key=uuid.uuid4())
        tracemalloc.start()
        assert list(differences()) == []
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    room_after(400)
    short = room_after(0)
    assert room_after(1200) < 1.3 * short


def test_a_set_of_row_numbers_keeps_what_it_was_given_and_nothing_else() -> None:
    numbers, far = Rows(), 2**62
    for one in (1, 8191, 8192, far):
        numbers.add(one)
    assert [one in numbers for one in (1, 2, 8191, 8192, 8193, far, far + 1)] == [
        *(True, False, True, True, False, True, False)
    ]


# --- what is personal ---------------------------------------------------------------------------------------

PERSONAL = (Invoice, EInvoice, Estimate, Authorisation, Payment, RepairForm)


def everything_said() -> str:
    """Every text of the tables that are sealed, as the database holds them."""
    told = []
    for model in seals.sealed_models():
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT * FROM {model._meta.db_table}")  # noqa: S608
            told += [str(row) for row in cursor.fetchall()]
    return "\n".join(told)


def test_what_is_personal_is_erased_at_the_end_of_retention_and_everything_else_still_holds(
    sealed_book: Staff, django_capture_on_commit_callbacks: Any
) -> None:
    assert NAME in everything_said()
    sums = {
        model: list(model._base_manager.order_by("pk").values_list("pk")) for model in seals.sealed_models()
    }
    years = dt.timedelta(days=366 * 14)
    with django_capture_on_commit_callbacks(execute=True):
        report = watch_over(at=clock.now() + years)
    assert report.faults == []
    assert "papers reached the end of their retention" in " ".join(report.notes)
    assert "names behind" in " ".join(report.notes)
    said = everything_said()
    assert NAME not in said
    for word in ("Quarrington", "555 0177", "Ahornallee", "Friday"):
        assert word not in said, word
    for model in PERSONAL:
        assert set(model._base_manager.filter(seal_salt="").values_list("pk")) == set(sums[model])
    assert not StoredFile.objects.exists()
    assert list(differences()) == verify() == []
    # sums and dates stay, and are still sealed
    paid = Payment.objects.earliest("pk")
    assert paid.amount_minor == 2000
    assert [one.columns for one in changed(paid, Payment._meta.get_field("amount_minor"))] == [
        ("amount_minor",)
    ]  # type: ignore[arg-type]
    assert not [
        note for note in watch_over(at=clock.now() + years).notes if "retention" in note or "names" in note
    ]


def test_a_day_before_its_retention_ends_nothing_is_erased(sealed_book: Staff) -> None:
    last_days = set(Invoice.objects.values_list("paper__keep_until", flat=True))
    last = last_days.pop()
    assert last is not None
    assert not last_days
    noon = dt.datetime(last.year, last.month, last.day, 12, tzinfo=dt.UTC)
    watch_over(at=noon)
    assert not Invoice.objects.filter(seal_salt="").exists()
    watch_over(at=noon + dt.timedelta(days=1))
    assert Invoice.objects.filter(seal_salt="").count() == Invoice.objects.count()


def test_without_its_salt_nobody_can_try_names_against_a_digest(sealed_book: Staff) -> None:
    answer = Authorisation.objects.filter(how="phone").get()
    entry = JournalEntry.objects.get(verb="answer.recorded", subject_id=answer.pk)
    sealed = next(one for one in seals.unfold(entry.data["seals"]) if one.table == "office.authorisation")
    tried = seals.digest("office.authorisation", answer.pk, "given_by", NAME)
    assert sealed.digests["given_by"] != tried
    assert sealed.digests["given_by"] == seals.digest(
        "office.authorisation", answer.pk, "given_by", NAME, answer.seal_salt
    )
    assert (
        len(set(Authorisation.objects.values_list("seal_salt", flat=True))) == Authorisation.objects.count()
    )


ALL_EMPTIED = (
    "given_by = '', phone_called = '', conditions = '', additional_work = '', "
    "address_seen = NULL, message_id = NULL, drawing_id = NULL, seal_salt = ''"
)


@pytest.mark.parametrize(
    "change",
    [
        "given_by = 'Somebody else'",
        "given_by = ''",
        "given_by = '', phone_called = '', conditions = '', additional_work = ''",
        "seal_salt = ''",
        "seal_salt = '00'",
        f"{ALL_EMPTIED}, authorised_minor = 1",
    ],
)
def test_what_is_personal_is_emptied_with_its_salt_or_not_at_all(sealed_book: Staff, change: str) -> None:
    before = list(Authorisation.objects.values())
    with (
        pytest.raises(DatabaseError, match="stays as it was written"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(f"UPDATE office_authorisation SET {change} WHERE how = 'phone'")  # noqa: S608
    assert list(Authorisation.objects.values()) == before


def test_a_row_without_personal_columns_is_not_erased(sealed_book: Staff) -> None:
    with pytest.raises(ValueError, match="no personal columns"), acting(by=None) as act:
        act.erase(LedgerEntry.objects.first())  # type: ignore[arg-type]
