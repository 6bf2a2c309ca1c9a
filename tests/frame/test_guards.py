"""What is written stays as it was written: however it is tried, and whatever migrations do to the tables.

How SQLite's REPLACE takes rows away without a delete trigger is told in its documentation, “The ON CONFLICT Clause”: delete
triggers fire only where `recursive_triggers` is on, a pragma of the connection. So each try is made on a connection without it.
"""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib import import_module, invalidate_caches
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.autodetector import MigrationAutodetector
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.questioner import MigrationQuestioner
from django.db.migrations.state import ProjectState
from django.db.migrations.writer import MigrationWriter

from shop.frame import guard_check, guards, seals
from shop.frame.models import JournalEntry, Staff
from shop.frame.seal_check import differences
from shop.office import actions as office
from shop.office.models import Invoice, Payment
from tests.factories import bench, stockroom
from tests.factories.office import issued, item, rates, rules, sales_tax
from tests.factories.premises import StaffFactory

REFUSED = "stays as it was written"
ROOMS = ("counter", "stockroom", "bench", "office")
TABLES = (
    "office_invoice",
    "office_invoiceline",
    "office_payment",
    "bench_reading",
    "counter_job",
    "stockroom_part",
)
FROZEN = ("office_invoice", "office_invoiceline", "office_payment")
NEVER_GO = (*FROZEN, "bench_reading", "counter_job")


def run(sql: str, *values: object) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql, values)


def one_row(table: str) -> dict[str, Any]:
    """The newest row of a table, whatever columns it has."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table} ORDER BY id DESC LIMIT 1")  # noqa: S608
        names = [column[0] for column in cursor.description]
        return dict(zip(names, cursor.fetchone(), strict=True))


def everything(table: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table} ORDER BY 1")  # noqa: S608
        return list(cursor.fetchall())


@pytest.fixture
def book() -> Staff:
    """A shop with an issued and paid invoice, a draft, a reading, a part."""
    owner = StaffFactory()
    rules()
    rates()
    sales_tax()
    job = bench.on_the_bench(by=owner)
    bench.readings(job, owner, "23.5 V")
    invoice = issued(job, [item(price="85.00"), item(price="12.00")], by=owner)
    office.take_payment(customer=invoice.customer, amount_minor=4000, how="cash", invoice=invoice, by=owner)
    stockroom.a_part(owner, there=3)
    return owner


# --- every way to displace a row ----------------------------------------------------------------------------


def displaced(table: str, how: str) -> tuple[str, list[Any]]:
    """One statement that would put another row in the place of the newest."""
    row = one_row(table)
    names, marks = ", ".join(f'"{name}"' for name in row), ", ".join(["%s"] * len(row))
    insert = f"INTO {table} ({names}) VALUES ({marks})"
    first = next(name for name in row if name != "id")
    return {
        "replace": f"REPLACE {insert}",
        "insert or replace": f"INSERT OR REPLACE {insert}",
        "upsert": f'INSERT {insert} ON CONFLICT (id) DO UPDATE SET "{first}" = excluded."{first}"',
    }[how], list(row.values())


@pytest.mark.django_db
@pytest.mark.parametrize(
    "table", [*NEVER_GO, "office_allocation", "frame_journaltouch", "stockroom_ledgerentry"]
)
@pytest.mark.parametrize("how", ["replace", "insert or replace", "upsert"])
def test_a_written_row_is_displaced_by_no_form_of_replace(book: Staff, table: str, how: str) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("REPLACE is SQLite's own")
    before = everything(table)
    assert before
    sql, values = displaced(table, how)
    with pytest.raises(DatabaseError, match=REFUSED):
        run(sql, *values)
    assert everything(table) == before


@pytest.mark.django_db
def test_an_update_that_would_take_a_written_rows_place_is_refused(book: Staff) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("UPDATE OR REPLACE is SQLite's own")
    invoice = Invoice.objects.get()
    draft = Invoice.objects.create(customer=invoice.customer, currency="USD", kind=invoice.kind, by=book)
    before = everything("office_invoice")
    for change in (
        f"id = {invoice.pk}",
        f"number = '{invoice.number}', year = {invoice.year}, sequence = {invoice.sequence}, issued_at = drafted_at",
    ):
        with pytest.raises(DatabaseError, match=REFUSED):
            run(f"UPDATE OR REPLACE office_invoice SET {change} WHERE id = {draft.pk}")  # noqa: S608
    assert everything("office_invoice") == before


@pytest.mark.django_db
def test_a_key_that_is_written_elsewhere_displaces_it_neither(book: Staff) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("REPLACE is SQLite's own")
    last = JournalEntry.objects.latest("sequence")
    columns = "sequence, at, act, verb, subject_type, data, previous, digest"
    with pytest.raises(DatabaseError, match=REFUSED):
        run(
            f"REPLACE INTO frame_journalentry ({columns}) VALUES (%s, %s, 'x', 'x.y', '', '{{}}', '', %s)",  # noqa: S608
            last.sequence + 1000,
            dt.datetime.now(dt.UTC),
            last.digest,
        )
    assert JournalEntry.objects.filter(digest=last.digest).get() == last


@pytest.mark.django_db
def test_a_draft_may_be_changed_thrown_away_and_replaced(book: Staff) -> None:
    invoice = Invoice.objects.get()
    draft = Invoice.objects.create(customer=invoice.customer, currency="USD", kind=invoice.kind, by=book)
    run("UPDATE office_invoice SET note = 'another' WHERE id = %s", draft.pk)
    if connection.vendor == "sqlite":
        row = one_row("office_invoice")
        marks = ", ".join(["%s"] * len(row))
        run(f"REPLACE INTO office_invoice ({', '.join(row)}) VALUES ({marks})", *row.values())  # noqa: S608
    run("DELETE FROM office_invoice WHERE id = %s", draft.pk)
    assert Invoice.objects.get() == invoice


# --- guards that are gone are missed ------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.postgres
def test_a_guard_that_was_dropped_or_made_differently_is_named(book: Staff) -> None:
    assert guard_check.missing(connection) == []
    on = " ON office_payment" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER house_office_payment_no_update{on}")
        assert guard_check.missing(connection) == ["office_payment"]
        if connection.vendor == "sqlite":
            cursor.execute(
                "CREATE TRIGGER house_office_payment_no_update BEFORE UPDATE ON office_payment WHEN 0 BEGIN SELECT 1; END"
            )
            assert guard_check.missing(connection) == ["office_payment"]
        else:
            # a table can't be altered while foreign keys wait to be looked at
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("ALTER TABLE bench_reading DISABLE TRIGGER USER")
            assert guard_check.missing(connection) == ["bench_reading", "office_payment"]
            cursor.execute("ALTER TABLE bench_reading ENABLE TRIGGER USER")
    guards.put_up(connection)
    assert guard_check.missing(connection) == []


# --- migrations ---------------------------------------------------------------------------------------------


class Agreeing(MigrationQuestioner):
    """Whoever runs makemigrations, and says yes where it asks whether a column was renamed."""

    def ask_rename(self, *_: Any) -> bool:
        return True


@pytest.fixture
def written_on(settings: Any, tmp_path: Path) -> Iterator[Callable[..., None]]:
    """Have makemigrations write what a change of the models needs, and migrate; afterwards all is as it was."""
    home = tmp_path / "later"
    for room in ROOMS:
        (home / f"later_{room}").mkdir(parents=True)
        (home / f"later_{room}" / "__init__.py").touch()
        source = Path(import_module(f"shop.{room}.migrations").__path__[0])
        for path in source.glob("0*.py"):
            (home / f"later_{room}" / path.name).write_bytes(path.read_bytes())
    sys.path.insert(0, str(home))
    settings.MIGRATION_MODULES = {room: f"later_{room}" for room in ROOMS}
    invalidate_caches()

    def change(alter: Callable[[ProjectState], None], *, then: str = "") -> None:
        loader = MigrationLoader(connection)
        before, after = loader.project_state(), loader.project_state()
        alter(after)
        found = MigrationAutodetector(before, after, Agreeing()).changes(graph=loader.graph)
        assert found
        for room, made in found.items():
            for migration in made:
                text = MigrationWriter(migration).as_string()
                (home / f"later_{room}" / f"{migration.name}.py").write_text(text + then, encoding="utf-8")
        invalidate_caches()
        call_command("migrate", verbosity=0, interactive=False)

    yield change
    first = {room: min((home / f"later_{room}").glob("0001*")).stem for room in ROOMS}
    for path in home.rglob("*.py"):
        # what made a migration fail does not keep it from being taken back
        path.write_text(path.read_text(encoding="utf-8").partition(BREAKS)[0], encoding="utf-8")
        sys.modules.pop(f"{path.parent.name}.{path.stem}", None)
    for room in reversed(ROOMS):
        call_command("migrate", room, first[room], verbosity=0, interactive=False)
    sys.path.remove(str(home))
    for name in [name for name in sys.modules if name.startswith("later_")]:
        del sys.modules[name]


BREAKS = "\n# --- breaks"


def models_of(state: ProjectState) -> list[Any]:
    names = {model._meta.db_table: model._meta for model in apps.get_models()}
    return [state.models[names[table].app_label, names[table].model_name] for table in TABLES]


def with_a_column(state: ProjectState) -> None:
    for model in models_of(state):
        model.fields["probe"] = models.CharField(max_length=20, default="first", db_default="first")


def with_another_name(state: ProjectState) -> None:
    for model in models_of(state):
        model.fields["probed"] = model.fields.pop("probe")


def without_it(state: ProjectState) -> None:
    for model in models_of(state):
        del model.fields["probed"]


def as_in_the_book(table: str) -> Any:
    """A table as the migrations left it: what the code of that day would know of it."""
    return MigrationLoader(connection).project_state().apps.get_model(table)


def paid(book: Staff, minor: int) -> dict[str, frozenset[str]]:
    """Take a payment, and tell which columns of each table were sealed by it."""
    invoice = Invoice.objects.get()
    office.take_payment(customer=invoice.customer, amount_minor=minor, how="cash", invoice=invoice, by=book)
    entry = JournalEntry.objects.filter(verb="payment.taken").latest("sequence")
    return {one.table: frozenset(one.digests) for one in seals.unfold(entry.data["seals"])}


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgres
def test_a_column_is_added_renamed_and_dropped_and_every_guard_stands_and_every_seal_holds(
    book: Staff, written_on: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert list(differences()) == []
    before = paid(book, 100)["office.payment"]
    monkeypatch.setattr(seals, "model_of", as_in_the_book)
    for alter, column in ((with_a_column, "probe"), (with_another_name, "probed"), (without_it, "")):
        written_on(alter)
        assert guard_check.missing(connection) == []
        # seals of before the change, of after it, and of the change before
        assert list(differences()) == []
        assert paid(book, 100)["office.payment"] == before | ({column} if column else set())
        assert list(differences()) == []
        for table in NEVER_GO:
            with pytest.raises(DatabaseError, match=REFUSED):
                run(f"DELETE FROM {table}")  # noqa: S608
        for table in TABLES if column else ():
            change = f"UPDATE {table} SET {column} = 'second'"  # noqa: S608
            if table in FROZEN:
                with pytest.raises(DatabaseError, match=REFUSED):
                    run(change)
            else:
                run(change)
                assert one_row(table)[column] == "second"


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgres
def test_a_column_that_was_renamed_is_held_against_what_it_said_under_its_first_name(
    book: Staff, written_on: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(seals, "model_of", as_in_the_book)
    written_on(with_a_column)
    paid(book, 100)
    written_on(with_another_name)
    last = one_row("office_payment")["id"]
    with guards.lifted(connection):
        run("UPDATE office_payment SET probed = 'second' WHERE id = %s", last)
    assert [(one.table, one.row, one.columns) for one in differences()] == [
        ("office.payment", last, ("probe",))
    ]
    with guards.lifted(connection):
        run("UPDATE office_payment SET probed = 'first' WHERE id = %s", last)
    assert list(differences()) == []


@pytest.mark.django_db
@pytest.mark.postgres
def test_a_name_whose_migrations_were_squashed_away_is_told_beside_the_model(
    book: Staff, monkeypatch: pytest.MonkeyPatch
) -> None:
    payment, entry = Payment.objects.get(), JournalEntry.objects.get(verb="payment.taken")
    table, said, rows = next(one for one in entry.data["seals"] if one[0] == "office.payment")
    # as it would have been sealed when the column was called `means`
    now, then = (seals.digest(table, payment.pk, name, payment.how) for name in ("how", "means"))
    of_then = [
        table,
        said.replace(" how ", " means "),
        {row: kept.replace(now, then) for row, kept in rows.items()},
    ]
    others = [one for one in entry.data["seals"] if one[0] != table]
    with guards.lifted(connection):
        JournalEntry.objects.filter(pk=entry.pk).update(data={**entry.data, "seals": [*others, of_then]})
    assert [(one.table, one.row, one.columns) for one in differences()] == [(table, payment.pk, ("means",))]
    monkeypatch.setattr(Payment, "sealed", replace(Payment.sealed, was={"means": "how"}))
    assert list(differences()) == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgres
def test_a_migration_that_fails_half_way_leaves_every_guard(
    book: Staff, written_on: Callable[..., None]
) -> None:
    breaks = f"{BREAKS}\nMigration.operations.append(migrations.RunSQL('SELECT no_such_column FROM no_such_table'))\n"  # noqa: S608
    with pytest.raises((DatabaseError, CommandError), match="no_such_table"):
        written_on(with_a_column, then=breaks)
    assert guard_check.missing(connection) == []
    for table in NEVER_GO:
        with pytest.raises(DatabaseError, match=REFUSED):
            run(f"DELETE FROM {table}")  # noqa: S608
