"""Forty ways to make the book say something else than was written: each refused by the database, or found and named at night.

Who tampers here has the database's file or its superuser, knows its tables, and in the end has this program, too: they make the
journal's chain anew and reckon every digest right. SQLite's ways to displace a row are those of its documentation (“The ON
CONFLICT Clause”, “UPSERT”, “PRAGMA writable_schema”); PostgreSQL's those of its own (“ALTER TABLE”, DISABLE TRIGGER, and
“session_replication_role”).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection, transaction
from pypdf import PdfReader

from shop.counter.models import Job
from shop.frame import clock, seals
from shop.frame.guards import columns_of, lifted
from shop.frame.journal import _digest_of, acting, verify
from shop.frame.models import JournalEntry, JournalHead, Staff
from shop.frame.refusal import Refusal
from shop.keeping.backup import make_backup
from shop.keeping.models import IssuedPaper, NightlyReport
from shop.keeping.nightly import watch_over
from shop.keeping.witness import Witness, backup_witness, paper_witness
from shop.office import actions as office
from shop.office.models import Authorisation, Invoice, Payment
from tests.factories.counter import CustomerFactory

# ruff: noqa: S608  (the statements are the test's own)

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]

ON_SQLITE, ON_POSTGRESQL = "sqlite", "postgresql"


class Undone(Exception):
    """Raised to have what was tried taken back."""


@dataclass(frozen=True)
class Kind:
    """One way to tamper: what is done, and what is said of it: REFUSED, or what the night's report must match."""

    name: str
    does: Callable[[], None]
    says: str
    only: str = ""


REFUSED = "refused"


def run(*statements: str) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        for one in statements:
            cursor.execute(one)


def sql(*statements: str) -> Callable[[], None]:
    """What anybody may try who can open the book."""
    return lambda: run(*statements)


def past_guards(*statements: str) -> Callable[[], None]:
    """With every guard taken away before, and put back afterwards as if nothing had been."""

    def does() -> None:
        with lifted(connection):
            run(*statements)

    return does


def found(kinds: list[Kind]) -> dict[str, str]:
    """What came of each kind that isn't what should have; everything is taken back after each."""
    wrong: dict[str, str] = {}
    if connection.vendor == ON_POSTGRESQL:
        # guards can't be taken away while foreign keys wait to be looked at
        run("SET CONSTRAINTS ALL IMMEDIATE")
    assert watch_over().faults == []
    for kind in kinds:
        if kind.only in {"", connection.vendor}:
            with taken_back():
                said = what_is_said_of(kind)
                if not re.search(kind.says, said):
                    wrong[kind.name] = said
    assert watch_over().faults == []
    return wrong


def what_is_said_of(kind: Kind) -> str:
    try:
        with transaction.atomic():
            kind.does()
    except DatabaseError as error:
        return f"{REFUSED}: {error}"
    return " | ".join(watch_over().faults)


@contextmanager
def taken_back() -> Iterator[None]:
    kept = {path: path.read_bytes() for path in Path(default_storage.path("")).rglob("*") if path.is_file()}
    try:
        with transaction.atomic():
            yield
            raise Undone  # noqa: TRY301  (that is what it is for)
    except Undone:
        for path, content in kept.items():
            path.write_bytes(content)


def copied(table: str, *, how: str = "INSERT INTO", then: str = "", **changed: str) -> str:
    """A statement that writes the newest row of a table once more, some columns changed."""
    columns = columns_of(connection, table)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT MAX(id) FROM {table}")
        newest = cursor.fetchone()[0]
    changed = {"id": str(newest + 1), **changed}
    values = ", ".join(changed.get(name, f'"{name}"') for name in columns)
    names = ", ".join(f'"{name}"' for name in columns)
    return f"{how} {table} ({names}) SELECT {values} FROM {table} WHERE id = {newest} {then}"


def again(table: str, **more: str) -> Callable[[], None]:
    return lambda: run(copied(table, **more))


# --- rows ---------------------------------------------------------------------------------------------------


def test_rows_that_were_written_are_displaced_changed_invented_and_taken_away(sealed_book: Staff) -> None:
    same = {"id": "id"}
    upsert = "ON CONFLICT (id) DO UPDATE SET amount_minor = 1"
    if connection.vendor == ON_SQLITE:
        upsert = f"AND 1 {upsert}"
    draft = "(SELECT MIN(id) FROM office_invoice WHERE issued_at IS NULL)"
    CustomerFactory()
    Invoice.objects.create(customer=Invoice.objects.latest("pk").customer, currency="EUR", by=sealed_book)
    kinds = [
        Kind(
            "REPLACE",
            again("office_payment", how="REPLACE INTO", amount_minor="1", **same),
            REFUSED,
            ON_SQLITE,
        ),
        Kind(
            "INSERT OR REPLACE",
            again("office_allocation", how="INSERT OR REPLACE INTO", **same),
            REFUSED,
            ON_SQLITE,
        ),
        Kind(
            "UPDATE OR REPLACE",
            sql(
                f"UPDATE OR REPLACE office_invoice SET id = (SELECT MIN(id) FROM office_invoice) WHERE id = {draft}"
            ),
            REFUSED,
            ON_SQLITE,
        ),
        Kind("upsert", again("office_payment", then=upsert, **same), REFUSED),
        Kind("update", sql("UPDATE office_payment SET amount_minor = 1"), REFUSED),
        Kind("delete", sql("DELETE FROM office_payment"), REFUSED),
        Kind("truncate", sql("TRUNCATE office_allocation"), REFUSED, ON_POSTGRESQL),
        Kind("by the shell", lambda: only(Payment.objects.update(amount_minor=1)), REFUSED),
        Kind("unissued", sql("UPDATE office_invoice SET issued_at = NULL, number = ''"), REFUSED),
        Kind(
            "unissued past the guards",
            past_guards(unissue()),
            "invoice 1?[0-9]+: .*issued_at.* not what entry",
        ),
        Kind(
            "sum",
            past_guards("UPDATE office_payment SET amount_minor = amount_minor * 2"),
            r"payment \d+: amount_m",
        ),
        Kind(
            "price of an estimate",
            past_guards("UPDATE office_estimateline SET net_minor = 1"),
            "net_minor is not what",
        ),
        Kind(
            "sum agreed",
            past_guards("UPDATE office_authorisation SET authorised_minor = 1"),
            "authorised_minor is not what",
        ),
        Kind(
            "stock",
            past_guards("UPDATE stockroom_ledgerentry SET quantity_thousandths = 1"),
            "quantity_thousandths is not",
        ),
        Kind(
            "whose invoice",
            past_guards(f"UPDATE office_invoice SET customer_id = {other_customer()}"),
            "customer is not",
        ),
        Kind(
            "what the paper said",
            past_guards("UPDATE office_invoice SET facts = '{\"shop\": 1}'"),
            "facts is not what",
        ),
        Kind(
            "another salt",
            past_guards("UPDATE office_invoice SET seal_salt = 'mine'"),
            "facts, note are not what",
        ),
        Kind(
            "a payment gone",
            past_guards("DELETE FROM office_allocation", "DELETE FROM office_payment"),
            r"payment \d+ is gone",
        ),
        Kind(
            "a line gone",
            past_guards("DELETE FROM office_charge", "DELETE FROM office_invoiceline"),
            r"invoiceline \d+ is gone",
        ),
        Kind(
            "a payment invented",
            again("office_payment"),
            r"payment \d+ stands in the book, but no entry sealed it",
        ),
        Kind(
            "a deposit invented",
            again("office_allocation", amount_minor="900"),
            r"allocation \d+ stands in the book",
        ),
        Kind("an answer invented", again("office_authorisation"), r"authorisation \d+ stands in the book"),
        Kind("parts invented", again("stockroom_ledgerentry"), r"ledgerentry \d+ stands in the book"),
        Kind("a line invented", add_line, r"invoiceline \d+ stands in the book"),
        Kind("a name emptied", empty_names, "given_by.* were emptied, and the journal knows nothing"),
    ]
    assert found(kinds) == {}


def only(_changed: int) -> None:
    """For a lambda that returns nothing."""


def unissue() -> str:
    return (
        "UPDATE office_invoice SET issued_at = NULL, number = '' "
        "WHERE id = (SELECT MAX(id) FROM office_invoice WHERE issued_at IS NOT NULL)"
    )


def other_customer() -> str:
    return "(SELECT MAX(id) FROM counter_customer WHERE id NOT IN (SELECT customer_id FROM office_payment))"


def add_line() -> None:
    with lifted(connection):
        run(copied("office_invoiceline"))


def empty_names() -> None:
    """The guard lets that through: it is how names are erased at the end of their retention."""
    empty = {one.name: seals.empty_value(one) for one in seals.erasable(Authorisation)}
    Authorisation.objects.filter(how="phone").update(**empty)


# --- guards -------------------------------------------------------------------------------------------------


def without(trigger: str, table: str, then: str, *, again_as: str = "") -> Callable[[], None]:
    """A trigger dropped, something done, and perhaps a trigger of that name made once more."""
    on = f" ON {table}" if connection.vendor == ON_POSTGRESQL else ""
    return sql(f"DROP TRIGGER {trigger}{on}", then, *([again_as] if again_as else []))


def weaker(trigger: str, table: str) -> str:
    if connection.vendor == ON_SQLITE:
        return f"CREATE TRIGGER {trigger} BEFORE UPDATE ON {table} WHEN 0 BEGIN SELECT 1; END"
    refuse = f"house_refuse('{table}: what is written stays as it was written')"
    return f"CREATE TRIGGER {trigger} BEFORE UPDATE ON {table} FOR EACH ROW WHEN (false) EXECUTE FUNCTION {refuse}"


def a_strangers() -> list[str]:
    if connection.vendor == ON_SQLITE:
        return [
            "CREATE TRIGGER helpful AFTER INSERT ON office_payment BEGIN DELETE FROM records_savedsearch; END"
        ]
    return [
        "CREATE FUNCTION helps() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN NEW.amount_minor := 1; RETURN NEW; END $$",
        "CREATE TRIGGER helpful BEFORE INSERT ON office_payment FOR EACH ROW EXECUTE FUNCTION helps()",
    ]


def toothless(function: str) -> str:
    return f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$"


def test_guards_are_dropped_weakened_switched_off_and_joined_by_others(sealed_book: Staff) -> None:
    update, change = (
        "house_office_payment_no_update",
        "UPDATE office_payment SET amount_minor = amount_minor + 1",
    )
    named = "The guard of office_payment is gone or was changed"
    nothing = "SELECT 1"
    kinds = [
        Kind("dropped", without(update, "office_payment", nothing), named),
        Kind(
            "dropped for a change",
            without(update, "office_payment", change),
            f"{named}.*amount_minor is not what",
        ),
        Kind(
            "made weaker",
            without(update, "office_payment", nothing, again_as=weaker(update, "office_payment")),
            named,
        ),
        Kind(
            "lifted and put back",
            past_guards(change),
            r"payment \d+: amount_minor is not what entry \d+ sealed",
        ),
        Kind(
            "a trigger that nobody declared",
            sql(*a_strangers()),
            "none of the shop’s stands on office_payment: helpful",
        ),
        Kind(
            "a table under another name", sql(*swapped_tables()), "The guard of office_releaseunpaid is gone"
        ),
        Kind("switched off", sql("ALTER TABLE office_payment DISABLE TRIGGER USER"), named, ON_POSTGRESQL),
        Kind(
            "switched off for a change",
            sql(
                "ALTER TABLE office_payment DISABLE TRIGGER USER",
                change,
                "ALTER TABLE office_payment ENABLE TRIGGER USER",
            ),
            "amount_minor is not what",
            ON_POSTGRESQL,
        ),
        Kind(
            "for replication only",
            sql("ALTER TABLE office_payment ENABLE REPLICA TRIGGER house_office_payment_no_update"),
            named,
            ON_POSTGRESQL,
        ),
        Kind(
            "in the role of a replica",
            sql(
                "SET LOCAL session_replication_role = replica",
                change,
                "SET LOCAL session_replication_role = origin",
            ),
            "amount_minor is not what",
            ON_POSTGRESQL,
        ),
        Kind("a toothless function", sql(toothless("house_refuse")), named, ON_POSTGRESQL),
        Kind(
            "a toothless function of lines",
            sql(toothless("house_office_invoiceline_stands")),
            "The guard of office_invoiceline is gone",
            ON_POSTGRESQL,
        ),
        Kind("written into the schema", rewrite_schema, named, ON_SQLITE),
    ]
    assert found(kinds) == {}


def swapped_tables() -> list[str]:
    """A table put aside, triggers and all, and a copy without any put in its place."""
    return [
        "ALTER TABLE office_releaseunpaid RENAME TO office_aside",
        "CREATE TABLE office_releaseunpaid AS SELECT * FROM office_aside",
    ]


def rewrite_schema() -> None:
    run(
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_master SET sql = replace(sql, 'BEFORE UPDATE ON office_payment', "
        "'BEFORE UPDATE OF note ON office_payment') WHERE name = 'house_office_payment_no_update'",
        "PRAGMA writable_schema = OFF",
    )


# --- papers -------------------------------------------------------------------------------------------------


def another_pdf(*, with_hash: bool) -> None:
    paper = IssuedPaper.objects.filter(kind="invoice").latest("pk")
    Path(paper.file.path).write_bytes(b"%PDF another")
    if with_hash:
        digest = hashlib.sha256(b"%PDF another").hexdigest()
        with lifted(connection):
            IssuedPaper.objects.filter(pk=paper.pk).update(sha256=digest, size=12)


def test_papers_are_exchanged_lost_and_called_deleted(sealed_book: Staff) -> None:
    newest = "WHERE id = (SELECT MAX(id) FROM keeping_issuedpaper WHERE kind = 'invoice')"
    last_receipt = "(SELECT id FROM keeping_issuedpaper WHERE kind = 'receipt' ORDER BY id DESC LIMIT 1)"
    kinds = [
        Kind("its file", lambda: another_pdf(with_hash=False), "The paper “.*” is not what was stored"),
        Kind(
            "its file with its hash",
            lambda: another_pdf(with_hash=True),
            "issuedpaper [0-9]+: sha256, size are not what",
        ),
        Kind("its hash", sql(f"UPDATE keeping_issuedpaper SET sha256 = 'x' {newest}"), REFUSED),
        Kind("file lost", lose_file, "is missing from the shop’s data"),
        Kind(
            "called deleted",
            sql(f"UPDATE keeping_issuedpaper SET file = '', deleted_at = issued_at {newest}"),
            "was deleted, and the journal knows nothing of it",
        ),
        Kind(
            "kept a shorter time",
            sql(f"UPDATE keeping_issuedpaper SET keep_until = '2001-01-01' {newest}"),
            REFUSED,
        ),
        Kind(
            "kept a shorter time past the guards",
            past_guards(f"UPDATE keeping_issuedpaper SET keep_until = NULL {newest}"),
            "keep_until is not what",
        ),
        Kind(
            "its row",
            past_guards(
                f"DELETE FROM counter_jobpaper WHERE paper_id = {last_receipt}",
                f"DELETE FROM keeping_issuedpaper WHERE id = {last_receipt}",
            ),
            r"issuedpaper \d+ is gone; entry \d+ sealed it",
        ),
        Kind(
            "its number",
            past_guards(f"UPDATE keeping_issuedpaper SET number = '2020-0001' {newest}"),
            "number is not what",
        ),
    ]
    assert found(kinds) == {}


def lose_file() -> None:
    Path(IssuedPaper.objects.latest("pk").file.path).unlink()


# --- the journal --------------------------------------------------------------------------------------------


def rebuilt(first: int, *, reports_too: bool = False) -> Callable[[], None]:
    """A later payment halved, its seal made anew, and the chain reckoned from entry `first` to its head: it holds in itself."""

    def does() -> None:
        with lifted(connection):
            payment = Payment.objects.latest("pk")
            Payment.objects.filter(pk=payment.pk).update(amount_minor=payment.amount_minor // 2)
            previous = JournalEntry.objects.get(sequence=first - 1).digest
            for entry in JournalEntry.objects.filter(sequence__gte=first).order_by("sequence"):
                rows = [(one.table, one.row) for one in seals.unfold(entry.data.get("seals", []))]
                if rows:
                    entry.data["seals"] = seals.write(rows)
                entry.previous = previous
                entry.data["rebuilt"] = 1
                entry.digest = previous = _digest_of(entry)
                entry.save()
            JournalHead.objects.update(digest=previous)
            if reports_too:
                for report in NightlyReport.objects.all():
                    report.digest = JournalEntry.objects.get(sequence=report.entries).digest
                    report.save()
        assert verify() == []

    return does


def longer_than_700(owner: Staff) -> None:
    with acting(by=owner) as act:
        for _ in range(700 - JournalEntry.objects.count()):
            act.record("test.written")
    job = Job.objects.select_related("customer").latest("pk")
    office.take_payment(customer=job.customer, amount_minor=5000, how="cash", job=job, by=owner)


def test_the_journal_is_changed_cut_and_made_anew(sealed_book: Staff) -> None:
    longer_than_700(sealed_book)
    newest = "(SELECT MAX(sequence) FROM frame_journalentry)"
    stranger = (
        "INSERT INTO frame_journalentry (sequence, at, act, verb, subject_type, data, previous, digest) "
        f"SELECT sequence + 1, at, act, verb, '', '{{}}', digest, 'x' FROM frame_journalentry WHERE sequence = {newest}"
    )
    kinds = [
        Kind("an entry changed", sql("UPDATE frame_journalentry SET verb = 'other'"), REFUSED),
        Kind(
            "an entry changed past the guards",
            past_guards("UPDATE frame_journalentry SET verb = 'other' WHERE sequence = 7"),
            "Entry 7 was changed",
        ),
        Kind(
            "an entry gone",
            past_guards(
                "DELETE FROM frame_journaltouch WHERE entry_id = 7",
                "DELETE FROM frame_journalentry WHERE sequence = 7",
            ),
            "Entry 7 is missing",
        ),
        Kind(
            "a seal taken out",
            past_guards("UPDATE frame_journalentry SET data = '{}' WHERE sequence < 700"),
            r"was changed.*allocation \d+ stands in",
        ),
        Kind("its end cut off", cut_off, "of the journal is not what it was by the report of the night"),
        Kind("a stranger's entry", sql(stranger), "stands beyond the journal’s end"),
        Kind(
            "the chain made anew from entry 700",
            rebuilt(700),
            "is not what it was by the report of the night .* the chain was made again",
        ),
    ]
    assert found(kinds) == {}


def cut_off() -> None:
    """The last entry taken away and the head set before it, so that the chain ends well."""
    with lifted(connection):
        last = JournalEntry.objects.latest("sequence")
        last.touches.all().delete()
        JournalEntry.objects.filter(pk=last.pk).delete()
        JournalHead.objects.update(sequence=last.sequence - 1, digest=last.previous)
    assert verify() == []


@pytest.mark.django_db(transaction=True)
def test_a_chain_made_anew_with_the_reports_is_found_by_a_backup(
    sealed_book: Staff, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    longer_than_700(sealed_book)
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "here"))
    assert watch_over().faults == []
    head = JournalHead.objects.get()
    elsewhere = Witness("the backup in another house", head.sequence, head.digest)
    if connection.vendor == ON_SQLITE:
        made = make_backup(into=tmp_path / "another-house")
        assert backup_witness(made.path) == Witness(
            f"the backup {made.path.name}", head.sequence, head.digest
        )
        elsewhere = backup_witness(made.path)
        # in another house it is out of this machine's sight
        made.path.rename(tmp_path / "gone")
    with taken_back():
        rebuilt(700, reports_too=True)()
        # who has the book, the program and the reports has everything that is in the book
        assert watch_over().faults == []
        assert [one.partition(":")[0] for one in watch_over(witnesses=[elsewhere]).faults] == [
            f"Entry {head.sequence} of the journal is not what it was by {elsewhere.name}"
        ]
    if connection.vendor == ON_SQLITE:
        make_backup()
        with taken_back():
            rebuilt(700, reports_too=True)()
            assert "by the backup mendwright-" in watch_over().faults[0]


def test_a_chain_made_anew_from_before_a_statement_is_found_by_the_statement(sealed_book: Staff) -> None:
    job = Job.objects.select_related("customer").latest("pk")
    longer_than_700(sealed_book)
    at_its_making = JournalHead.objects.get()
    today = clock.today()
    letter = office.make_statement(customer=job.customer, starts=today, ends=today, by=sealed_book)
    with letter.paper.file.open("rb") as file:
        printed = "".join(page.extract_text() for page in PdfReader(file).pages)
    foot = f"Journal entry {at_its_making.sequence}: {at_its_making.digest[:32]}"
    assert foot in " ".join(printed.split())
    of_paper = paper_witness(foot.removeprefix("Journal entry "))
    assert watch_over(witnesses=[of_paper]).faults == []
    named = f"Entry {at_its_making.sequence} of the journal is not what it was by the paper"
    with taken_back():
        rebuilt(700, reports_too=True)()
        (told,) = watch_over().faults
        assert told == (
            f"{named} “{letter.paper.title}”: the chain was made again. "
            f"Keep the paper “{letter.paper.title}” safe and find out who had access."
        )
        # who changes what the book knows of the paper, too, is found by the customer's copy
        with lifted(connection):
            IssuedPaper.objects.update(journal_entry=0, journal_digest="")
        rebuilt(700, reports_too=True)()
        assert watch_over().faults == []
        assert f"{named} in hand" in watch_over(witnesses=[of_paper]).faults[0]


def test_what_stands_on_no_paper_is_no_witness() -> None:
    for typed in ("", "12", "12:xyz", "12:0123", ":0123456789abcdef"):
        with pytest.raises(Refusal, match="the paper’s foot"):
            paper_witness(typed)


def test_a_file_that_is_no_backup_is_no_witness(tmp_path: Path) -> None:
    nothing = tmp_path / "mendwright-1.tar"
    nothing.write_bytes(b"nothing")
    with pytest.raises(Refusal, match="can’t be read"):
        backup_witness(nothing)
