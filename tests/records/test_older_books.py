"""A book of the first format is carried over whole; its tables themselves are not changed, and who opens them is told so.

`books/format-1.zip` was written by the program of 25 November 2026 (its own walkthrough, a logo, and a paper at the end of its
retention), so that nothing in it is of this program's making.
"""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

from shop.counter.models import Job
from shop.frame import wording
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, ShopProfile
from shop.frame.refusal import Refusal
from shop.frame.seal_check import differences
from shop.front_door import serving
from shop.keeping.models import IssuedPaper
from shop.keeping.nightly import watch_over
from shop.keeping.shelf import WRITTEN_DOWN
from shop.office import queries
from shop.office.models import Authorisation, Invoice
from shop.press.models import Letterhead
from shop.records.searching.answering import Asking, ask
from shop.records.taking_out.book import take_out
from shop.records.taking_out.bringing_back import bring_back

FIRST = Path(__file__).parent / "books" / "format-1.zip"

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any) -> Path:
    """A folder of its own for what is kept."""
    folder = settings.MEDIA_ROOT = tmp_path / "kept"
    monkeypatch.setattr(default_storage, "_wrapped", FileSystemStorage(location=folder))
    return folder


def lines(table: str) -> list[dict[str, Any]]:
    with zipfile.ZipFile(FIRST) as book:
        return [json.loads(line) for line in book.read(f"tables/{table}.jsonl").splitlines()]


def altered(tmp_path: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    """The book of the first format with something changed in it."""
    with zipfile.ZipFile(FIRST) as book:
        inside = {name: book.read(name) for name in book.namelist()}
    change(inside)
    path = tmp_path / "altered.zip"
    with zipfile.ZipFile(path, "w") as book:
        for name, content in inside.items():
            book.writestr(name, content)
    return path


def test_a_book_of_the_first_format_is_carried_over_row_by_row() -> None:
    counts = bring_back(FIRST)
    manifest = json.loads(zipfile.ZipFile(FIRST).read("manifest.json"))
    assert sum(counts.values()) == sum(manifest["tables"].values()) == 211
    assert (counts["frame.staff"], counts["keeping.issuedpaper"]) == (1, 7)
    job, of_then = Job.objects.get(), lines("counter.job")[0]
    assert (job.number, job.stage, job.complaint) == tuple(
        of_then[key] for key in ("number", "stage", "complaint")
    )
    invoice = Invoice.objects.get()
    assert invoice.facts == lines("office.invoice")[0]["facts"]
    assert (invoice.number, invoice.total_minor) == ("2026-0088", lines("office.invoice")[0]["total_minor"])
    for paper in IssuedPaper.objects.filter(deleted_at=None):
        assert paper.file.size == paper.size
    assert [hit.job for hit in ask(Asking(text=job.number)).hits] == [job]


def test_what_moved_or_came_since_stands_where_it_belongs() -> None:
    bring_back(FIRST)
    logo = lines("premises.shopprofile")[0]["logo_id"]
    assert logo is not None
    assert Letterhead.objects.get().logo_id == logo
    assert ShopProfile.objects.get().name == lines("premises.shopprofile")[0]["name"]
    answer = Authorisation.objects.get()
    assert answer.sum_minor == answer.authorised_minor == lines("office.authorisation")[0]["authorised_minor"]
    assert len(answer.seal_salt) == 32
    assert queries.balance_of(Job.objects.get()).minor == 0


def test_its_journal_holds_word_for_word_and_its_rows_are_sealed_from_here_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # what other tests backed up is no witness here
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path))
    (Path(settings.SHOP_DATA) / WRITTEN_DOWN).unlink(missing_ok=True)
    bring_back(FIRST)
    of_then = [(line["sequence"], line["digest"]) for line in lines("premises.journalentry")]
    mine = list(JournalEntry.objects.order_by("sequence").values_list("sequence", "digest"))
    assert mine[: len(of_then)] == of_then
    later = JournalEntry.objects.filter(sequence__gt=len(of_then))
    assert set(later.values_list("verb", flat=True)) == {"book.sealed"}
    assert verify() == list(differences()) == []
    assert watch_over().faults == []
    issued = JournalEntry.objects.filter(verb="paper.issued").earliest("sequence")
    assert issued.subject_type == "premises.issuedpaper"
    told = next(iter(wording.told([issued])))
    assert told.subject is not None
    assert told.subject.text == IssuedPaper.objects.get(pk=issued.subject_id or 0).title


def test_it_goes_on_from_there_in_the_format_of_today(tmp_path: Path) -> None:
    bring_back(FIRST)
    with transaction.atomic():
        manifest = take_out(tmp_path / "today.zip", by=None)
    assert manifest["version"] == 3
    assert manifest["tables"]["frame.staff"] == 1


def test_a_book_of_the_first_format_that_holds_a_stranger_or_lacks_a_column_is_refused(
    tmp_path: Path,
) -> None:
    def with_a_stranger(inside: dict[str, bytes]) -> None:
        manifest = json.loads(inside["manifest.json"])
        manifest["tables"]["premises.weather"] = 0
        inside["manifest.json"] = json.dumps(manifest).encode()

    def without_a_column(inside: dict[str, bytes]) -> None:
        name = "tables/office.payment.jsonl"
        inside[name] = inside[name].replace(b'"amount_minor"', b'"amount"')

    def of_tomorrow(inside: dict[str, bytes]) -> None:
        inside["manifest.json"] = inside["manifest.json"].replace(b'"version": 1', b'"version": 4')

    for change, sentence in (
        (with_a_stranger, "other tables than this program: premises.weather"),
        (without_a_column, "damaged: 'amount_minor'"),
        (of_tomorrow, "has format 4; this program reads 1, 2, 3"),
    ):
        with pytest.raises(Refusal, match=sentence):
            bring_back(altered(tmp_path, change))
        assert not Job.objects.exists()
        shutil.rmtree(default_storage.path(""), ignore_errors=True)


# --- the book itself ----------------------------------------------------------------------------------------


@pytest.fixture
def of_before(db: None) -> Any:
    """A book whose migrations are those of the program of before: shared facts in the premises, no frame."""
    recorder = MigrationRecorder(connection)
    known = list(recorder.migration_qs.values_list("app", "name"))
    recorder.migration_qs.filter(app="frame").delete()
    recorder.record_applied("premises", "0002_guards")
    yield
    recorder.migration_qs.all().delete()
    for room, name in known:
        recorder.record_applied(room, name)


@pytest.mark.usefixtures("of_before")
@pytest.mark.parametrize("tried", [lambda: call_command("migrate", verbosity=0), serving.migrate])
def test_the_book_of_an_earlier_program_is_left_alone_and_the_way_over_is_told(
    tried: Callable[[], None],
) -> None:
    with connection.cursor() as cursor:
        before = connection.introspection.table_names(cursor)
    with pytest.raises(CommandError) as told:
        tried()
    sentence = str(told.value)
    assert "made by an earlier program" in sentence
    assert "export_book book.zip --with-passwords" in sentence
    assert "take_out" in sentence
    assert "import_book book.zip" in sentence
    with connection.cursor() as cursor:
        assert connection.introspection.table_names(cursor) == before


def test_a_book_that_was_made_up_or_broken_is_refused_in_a_sentence(tmp_path: Path) -> None:
    sound = FIRST.read_bytes()
    begin = sound.rindex(b"PK\x01\x02")
    packed_by_99 = sound[: begin + 10] + b"\x63\x00" + sound[begin + 12 :]
    locked = sound[: begin + 8] + bytes([sound[begin + 8] | 1]) + sound[begin + 9 :]
    made_up = tmp_path / "made-up.zip"
    for content in (packed_by_99, locked, sound[:-40], b""):
        made_up.write_bytes(content)
        with pytest.raises(Refusal):
            bring_back(made_up)
    for listed in (b"[" * 200_000, b"[]", b'{"format":[]}'):
        path = altered(tmp_path, partial(dict.update, **{"manifest.json": listed}))
        with pytest.raises(Refusal):
            bring_back(path)
    assert not Job.objects.exists()
