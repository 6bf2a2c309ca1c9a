"""Old lists come in row by row accounted for: matched, shown first, brought in once, and taken back."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from shop.bench.models import Conclusion, Finding
from shop.counter.models import Customer, Job, Unit, UnitModel
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, Role
from shop.frame.refusal import Refusal
from shop.handbook.jobnumber import JobNumber
from shop.records.bringing_in import batches, kept
from shop.records.bringing_in.columns import matched
from shop.records.bringing_in.reading import Unreadable, read
from shop.records.figures import Figures
from shop.records.models import Batch, SearchRow
from shop.records.remedies import advice_for
from shop.records.searching.answering import Asking, ask
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import words_on
from tests.working import do_all

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]

HEADER = [
    "Job No",
    "Date in",
    "Date out",
    "Client",
    "Phone",
    "Make",
    "Model",
    "Serial No",
    "Fault",
    "Cause",
    "Repair",
    "Result",
]
ROWS = [
    [
        "101",
        "3/14/2019",
        "3/20/2019",
        "Petra Vann",
        "555-0101",
        "Brackwater",
        "VX-318",
        "A1",
        "No left channel",
        "Relay",
        "Replaced",
        "fixed",
    ],
    [
        "102",
        "2019-04-02",
        "",
        "Petra Vann",
        "555-0101",
        "Brackwater",
        "vx 318",
        "A1",
        "Hum",
        "Caps",
        "Recapped",
        "Repaired",
    ],
    ["103", "4/31/2019", "", "Petra Vann", "", "Brackwater", "VX-318", "", "Hum", "", "", ""],
    ["104", "5/2/19", "5/1/19", "Dashiell Crewe", "", "Fenwick", "R-1", "", "Dead", "", "", ""],
    ["105", "5/2/2019", "", "Dashiell Crewe", "", "Fenwick", "R-1", "", "Dead, burnt smell", "", "", "scrap"],
    [
        "106",
        "6/2/2019",
        "",
        "Dashiell Crewe",
        "",
        "Fenwick",
        "R-1",
        "",
        "Dead",
        "",
        "",
        "swallowed by a whale",
    ],
    ["107", "1/1/2999", "", "Dashiell Crewe", "", "Fenwick", "R-1", "", "Dead", "", "", ""],
    ["", "", "", "", "", "", "", "", "", "", "", ""],
]


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopProfileFactory()


def as_csv(rows: list[list[str]] = ROWS, header: list[str] = HEADER) -> bytes:
    buffer = io.StringIO()
    csv.writer(buffer).writerows([header, *rows])
    return buffer.getvalue().encode()


def started(data: bytes, name: str = "old.csv") -> Batch:
    batch = kept.start_batch(name=name, file=io.BytesIO(data), by=StaffFactory())
    return batches.match_columns(batch=batch, columns=batch.columns, by=batch.by)


def brought(data: bytes, name: str = "old.csv", **more: Any) -> Batch:
    return batches.bring_all_in(batch=started(data, name), by=None, **more)


def account(batch: Batch) -> tuple[int, int, int]:
    told = batch.outcomes
    return (
        told.filter(job__isnull=False, again=False).count(),
        told.filter(again=True).count(),
        told.exclude(sentence="").count(),
    )


def test_headings_in_many_words_find_their_columns() -> None:
    assert matched(HEADER) == {
        "number": 0, "came": 1, "ended": 2, "customer": 3, "phone": 4, "maker": 5, "model": 6, "serial": 7,
        "complaint": 8, "failed": 9, "remedy": 10, "outcome": 11,
    }  # fmt: skip
    assert matched(["problem", "event_date", "brand"]) == {"complaint": 0, "came": 1, "maker": 2}
    assert matched(["Complaints", "Recieved", "xyz"]) == {"complaint": 0, "came": 1}


def test_every_row_becomes_a_job_or_a_sentence() -> None:
    batch = brought(as_csv())
    assert batch.rows == 7
    assert account(batch) == (4, 0, 3)
    assert {row.number: row.sentence for row in batch.outcomes.exclude(sentence="")} == {
        4: "The day it came, “4/31/2019”, is no date.",
        5: "It went home before it came.",
        8: f"The day it came, “1/1/2999”, lies in the future or before {clock.today().year - 99}.",
    }
    first, second, third, fourth = Job.objects.order_by("booked_in_at")
    assert (first.complaint, first.outcome, first.stage) == ("No left channel", "repaired", Stage.GONE_HOME)
    assert (first.booked_in_at.date(), first.ended_at.date()) == (dt.date(2019, 3, 14), dt.date(2019, 3, 20))
    assert first.unit == second.unit  # the same serial number of the same model, however it is typed
    assert UnitModel.objects.count() == 2
    assert Customer.objects.count() == 2
    assert third.outcome == "beyond"
    assert (fourth.outcome, "swallowed by a whale" in fourth.condition) == ("unknown", True)
    assert [JobNumber.parse(job.number).sequence for job in (first, second, third, fourth)] == [1, 2, 3, 4]
    assert Conclusion.objects.get(job=first).failed == "Relay"
    assert "101" in first.condition
    assert verify() == []


def test_what_was_brought_in_is_found_and_stands_at_its_own_day() -> None:
    brought(as_csv())
    assert [hit.job.complaint for hit in ask(Asking(text="vx318")).hits] == ["Hum", "No left channel"]
    assert SearchRow.objects.count() == 4
    assert Figures(2019).jobs


def test_the_same_list_twice_makes_nothing_twice_and_new_rows_are_added() -> None:
    brought(as_csv())
    again = brought(
        as_csv([*ROWS, ["108", "7/1/2019", "", "Petra Vann", "", "Fenwick", "R-1", "", "Hum", "", "", ""]])
    )
    assert account(again) == (1, 4, 3)
    assert Job.objects.count() == 5


def test_an_apostrophe_that_keeps_a_spreadsheet_from_reckoning_is_not_brought_in() -> None:
    brought(b"Date,Fault,Customer\n2019-03-14,'=hum,'@Vann\n2019-03-15,'tis dead,Ivo\n")
    assert sorted(Job.objects.values_list("complaint", "customer__name")) == [
        ("'tis dead", "Ivo"),
        ("=hum", "@Vann"),
    ]


def test_two_equal_rows_are_two_jobs() -> None:
    row = ["", "7/1/2019", "", "Petra Vann", "", "Fenwick", "R-1", "", "Hum", "", "", ""]
    assert account(brought(as_csv([row, row]))) == (2, 0, 0)
    assert account(brought(as_csv([row, row, row]))) == (1, 2, 0)


def test_a_batch_that_is_broken_off_goes_on_where_it_stopped() -> None:
    rows = [
        ["", f"7/{1 + at % 28}/2019", "", "", "", "Fenwick", "R-1", f"S{at}", f"Hum {at}", "", "", ""]
        for at in range(50)
    ]
    batch = started(as_csv(rows))
    batch = batches.go_on(batch=batch, by=None, at_once=20)
    assert (batch.done, batch.state, Job.objects.count()) == (20, Batch.State.RUNNING, 20)
    seen: list[tuple[int, int]] = []
    batch = batches.bring_all_in(batch=batch, by=None, say=lambda done, rows: seen.append((done, rows)))
    assert Job.objects.count() == 50
    assert seen[-1] == (50, 50)
    assert account(batch) == (50, 0, 0)


def test_a_list_taken_back_leaves_search_and_figures_and_comes_back_as_the_same_jobs() -> None:
    batch = brought(as_csv())
    numbers = set(Job.objects.values_list("number", flat=True))
    assert batches.take_back(batch=batch, by=StaffFactory()) == 4
    assert not SearchRow.objects.exists()
    assert not Figures(2019).jobs
    assert set(Job.objects.values_list("stage", flat=True)) == {Stage.CALLED_OFF}
    again = brought(as_csv())
    assert account(again) == (0, 4, 3)
    assert set(Job.objects.values_list("number", flat=True)) == numbers
    assert SearchRow.objects.count() == 4
    assert set(Job.objects.values_list("stage", flat=True)) == {Stage.GONE_HOME}
    assert verify() == []


def test_a_list_taken_back_comes_in_by_other_columns_and_every_row_is_accounted_for_anew() -> None:
    data = b"Date,Fault,Result,Note\n2019-03-14,Hum,fixed,scrap\n2019-03-15,Dead,eaten,scrap\n"
    batch = brought(data)
    assert account(batch) == (2, 0, 0)
    jobs = set(Job.objects.values_list("pk", "number"))
    batches.take_back(batch=batch, by=None)
    for columns in (
        {**batch.columns, "outcome": 3},
        batch.columns,
        {**batch.columns, "came": 1},
        batch.columns,
    ):
        batch.refresh_from_db()
        batch = batches.match_columns(batch=batch, columns=columns, by=None)
        batch = batches.bring_all_in(batch=batch, by=None)
        outcomes = list(Job.objects.order_by("pk").values_list("outcome", flat=True))
        if columns["came"] == 1:
            assert batch.outcomes.filter(taken_back_at__isnull=True, sentence="").count() == 0
        else:
            assert account(batch) == (2, 0, 0)
            assert outcomes == (["beyond"] * 2 if columns["outcome"] == 3 else ["repaired", "unknown"])
        assert set(Job.objects.values_list("pk", "number")) == jobs
        batches.take_back(batch=batch, by=None)
    assert SearchRow.objects.count() == 0
    assert verify() == []


def test_a_list_one_of_whose_jobs_has_changed_is_not_taken_back() -> None:
    batch = brought(as_csv())
    Job.objects.filter(complaint="Hum").update(stage=Stage.READY)
    with pytest.raises(Refusal, match="changed since"):
        batches.take_back(batch=batch, by=None)
    assert SearchRow.objects.count() == 4


GERMAN = """\
Werkstattbuch, Seite 1{0}{0}
{0}{0}
Datum{0}Fehlerbeschreibung{0}Preis
03.05.98{0}Kanal tot, kratzt, brummt{0}45,50
5.1.2005{0}Läuft nicht, auch kalt{0}38,00
"""


@pytest.mark.parametrize(
    "text, encoding",
    [
        (GERMAN.format(";"), "cp1252"),
        ("sep=;\r\n" + GERMAN.format(";").split("\n", 2)[2], "utf-8-sig"),
        (GERMAN.format("\t"), "utf-16"),  # what spreadsheets call Unicode text
    ],
)
def test_a_list_is_read_whatever_stands_above_it_and_however_it_was_saved(text: str, encoding: str) -> None:
    batch = kept.start_batch(name="list.csv", file=io.BytesIO(text.encode(encoding)), by=None)
    assert (batch.header, batch.rows) == (["Datum", "Fehlerbeschreibung", "Preis"], 2)
    told = [row.job for row in batches.preview(batch, batch.columns)]
    assert [(job.came.isoformat(), job.complaint) for job in told if job] == [
        ("1998-05-03", "Kanal tot, kratzt, brummt"),
        ("2005-01-05", "Läuft nicht, auch kalt"),
    ]


@pytest.mark.parametrize(
    "name, data, sentence",
    [
        ("x.xlsx", b"not a workbook", "no row below its header"),
        ("x.xlsx", b"PK\x05\x06" + b"\0" * 18, "no XLSX workbook"),
        ("x.csv", b"", "no row below its header"),
        ("x.csv", b"Date,Fault\n", "no row below its header"),
        ("x.csv", b"\0\0\0\0binary", "no CSV file"),
    ],
)
def test_what_is_no_list_is_refused_in_one_sentence(name: str, data: bytes, sentence: str) -> None:
    with pytest.raises(Refusal, match=sentence):
        kept.start_batch(name=name, file=io.BytesIO(data), by=None)
    assert not Batch.objects.exists()


@pytest.mark.parametrize(
    "typed, month_first, wanted",
    [
        ("2019-03-04", True, dt.date(2019, 3, 4)),
        ("2019-03-04T10:30:00", True, dt.date(2019, 3, 4)),
        ("3/4/2019", True, dt.date(2019, 3, 4)),
        ("3/4/2019", False, dt.date(2019, 4, 3)),
        ("04.03.2019", False, dt.date(2019, 3, 4)),
        ("25/12/2019", True, dt.date(2019, 12, 25)),
        ("3/4/79", True, dt.date(1979, 3, 4)),
        ("3.4.2019", True, dt.date(2019, 4, 3)),  # dots have the day first in every country of Unicode CLDR
        ("3. 4. 2019", False, dt.date(2019, 4, 3)),
        ("12-May-19", False, dt.date(2019, 5, 12)),
        ("1 June 2019", False, dt.date(2019, 6, 1)),
        ("June 1st, 2019", True, dt.date(2019, 6, 1)),
        ("3. März 2019", False, dt.date(2019, 3, 3)),
        ("03. Mrz 19", False, dt.date(2019, 3, 3)),
        ("7-Dez-98 14:30", False, dt.date(1998, 12, 7)),
    ],
)
def test_dates_are_read_as_the_shops_country_writes_them(
    typed: str, month_first: bool, wanted: dt.date
) -> None:
    cells, columns = [typed, "Hum"], {"came": 0, "complaint": 1}
    assert read(cells, columns, month_first=month_first, today=dt.date(2026, 11, 25)).came == wanted


@pytest.mark.parametrize(
    "typed",
    ["", "yesterday", "13/13/2019", "2019-02-30", "1/1/1850", "3/4", "0/0/0", "1/2/345", "5 marks 2019"],
)
def test_what_is_no_date_says_so(typed: str) -> None:
    with pytest.raises(Unreadable):
        read([typed, "Hum"], {"came": 0, "complaint": 1}, month_first=True, today=dt.date(2026, 11, 25))


def test_the_open_repair_standard_is_read_as_it_is() -> None:
    header = (
        "id,data_provider,country,partner_product_category,product_category,product_category_id,brand,year_of_manufacture,"
        "product_age,repair_status,repair_barrier_if_end_of_life,group_identifier,event_date,problem"
    )
    rows = (
        'x_1,Somebody,USA,Hi-Fi ~ Turntable,Hi-Fi separates,13,Fenwick,1978,41,Fixed,,A group,2019-03-14,"Belt gone, ""wow"""\n'
        "x_2,Somebody,USA,Lamp,Lamp,15,,,,End of life,Spare parts not available,A group,2019-03-15,\n"
        "x_3,Somebody,USA,Lamp,Lamp,15,,,,Unknown,,A group,2019-03-15,Flickers\n"
    )
    batch = brought(f"{header}\n{rows}".encode())
    assert account(batch) == (3, 0, 0)
    first, second, third = Job.objects.order_by("pk")
    assert (first.complaint, first.outcome, first.unit.model.maker.name) == (
        'Belt gone, "wow"',
        "repaired",
        "Fenwick",
    )
    assert first.unit.built_from == dt.date(1978, 1, 1)
    assert (second.complaint, second.outcome) == ("Lamp", "beyond")
    assert third.outcome == "unknown"


def test_the_owner_brings_a_list_in_by_forms_alone(client: Client) -> None:
    client.force_login(StaffFactory())
    upload = SimpleUploadedFile("old.csv", as_csv())
    answer = client.post(reverse("records:start_batch"), {"file": upload})
    batch = Batch.objects.get()
    assert answer["Location"] == reverse("records:batch", args=[batch.pk])
    page = client.get(answer["Location"]).content.decode()
    assert "No left channel" in page
    assert "is no date" in page
    wrong = client.post(reverse("records:match_batch", args=[batch.pk]), {"came": "1", "model": "1"})
    assert wrong.status_code == 422
    assert "Choose the column that holds it: complaint." in wrong.content.decode()
    assert "chosen for “day it came” already" in wrong.content.decode()
    assert not Job.objects.exists()
    client.post(
        reverse("records:match_batch", args=[batch.pk]), {key: str(at) for key, at in batch.columns.items()}
    )
    waiting = words_on(client.get(reverse("records:batch", args=[batch.pk])))
    assert "0 of 7 rows" in waiting
    assert "You need not wait here" in waiting
    assert do_all() == 1
    done = words_on(client.get(reverse("records:batch", args=[batch.pk])))
    assert "All 3 with the reason" in done
    errors = b"".join(client.get(reverse("records:batch_errors", args=[batch.pk]))).decode("utf-8-sig")
    told = list(csv.reader(io.StringIO(errors)))
    assert told[0][:3] == ["row", "why not", "Job No"]
    assert told[1][:3] == ["4", "The day it came, “4/31/2019”, is no date.", "103"]
    client.post(reverse("records:undo_batch", args=[batch.pk]))
    assert not SearchRow.objects.exists()
    assert client.post(reverse("records:start_batch"), {}).status_code == 422


@pytest.mark.parametrize(
    "days, first",
    [
        (["4/6/2019", "13/6/2019"], dt.date(2019, 6, 4)),
        (["4/6/2019", "6/13/2019"], dt.date(2019, 4, 6)),
        (["4/6/2019", "5/6/2019"], dt.date(2019, 4, 6)),  # none tells: as the shop's country writes
        (["4/6/2019", "6/13/2019", "13/6/2019"], dt.date(2019, 4, 6)),  # they disagree
    ],
)
def test_one_date_that_can_be_read_in_one_way_only_tells_how_all_of_a_list_are_meant(
    days: list[str], first: dt.date
) -> None:
    ShopProfileFactory(country="US", language="en-US")
    rows = "Date,Fault\n" + "".join(f"{day},Hum\n" for day in days)
    batch = kept.start_batch(name="list.csv", file=io.BytesIO(rows.encode()), by=None)
    job = batches.preview(batch, batch.columns)[0].job
    assert job is not None
    assert job.came == first


def test_what_an_old_list_does_not_say_is_in_no_figure() -> None:
    """No day of going home is no turnaround of nothing, no wait for the bench, and no way of failing."""
    brought(
        b"Date in,Date out,Fault,Repair\n2019-03-01,,Hum,Cleaned\n2019-03-02,,Dead,Fuse\n2019-03-03,2019-03-13,Hiss,Relay\n"
    )
    figures = Figures(2019)
    assert figures.turnaround is not None
    assert (figures.turnaround.jobs, figures.turnaround.median) == (1, 10)
    assert (figures.waits, figures.failures) == ([], [])
    assert (figures.repaired.hits, figures.repaired.tries) == (3, 3)


def test_a_list_from_which_nothing_came_in_is_thrown_away_and_one_that_brought_jobs_is_not(
    client: Client, django_capture_on_commit_callbacks: Any
) -> None:
    client.force_login(StaffFactory())
    client.post(reverse("records:start_batch"), {"file": SimpleUploadedFile("wrong.csv", as_csv())})
    wrong = Batch.objects.get()
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("records:throw_batch_away", args=[wrong.pk]))
    assert not Batch.objects.exists()
    assert not wrong.file.storage.exists(wrong.file.name)
    kept = brought(as_csv())
    answer = client.post(reverse("records:throw_batch_away", args=[kept.pk]), follow=True)
    assert "Jobs came from this list" in words_on(answer)
    assert Batch.objects.get() == kept


def test_only_the_owner_comes_in_here(client: Client) -> None:
    client.force_login(StaffFactory(roles=[Role.COUNTER, Role.BENCH]))
    for name, args in (("books", []), ("sheet", ["customers"]), ("open_repair", [])):
        assert client.get(reverse(f"records:{name}", args=args)).status_code == 403
    assert client.post(reverse("records:whole_book")).status_code == 403
    client.force_login(StaffFactory())
    assert client.get(reverse("records:books")).status_code == 200
    assert b"".join(client.get(reverse("records:sheet", args=["customers"])))
    assert client.post(reverse("records:whole_book")).status_code == 303
    do_all()
    told = words_on(client.get(reverse("premises:tasks")))
    address = re.search(r'href="(/in-and-out/book/[0-9]+.zip)"', told)
    assert b"".join(client.get(address[1])).startswith(b"PK")


def test_the_command_accounts_for_every_row(tmp_path: Any) -> None:
    path, out = tmp_path / "old.csv", io.StringIO()
    path.write_bytes(as_csv())
    call_command("import_jobs", str(path), stdout=out, stderr=io.StringIO())
    assert "7 rows: 4 became jobs, 0 were here already, 3 not taken." in out.getvalue()
    call_command("import_jobs", str(path), stdout=out, stderr=io.StringIO())
    assert "7 rows: 0 became jobs, 4 were here already, 3 not taken." in out.getvalue()
    assert Finding.objects.count() == 0
    assert Unit.objects.count() == 3
    assert JournalEntry.objects.filter(verb="jobs.brought_in").count() == 2


def test_a_list_without_models_makes_no_model_of_a_makers_radio_and_its_turntable() -> None:
    heads = ["Date in", "Make", "Kind of unit", "Fault", "Repair", "Result"]
    rows = [
        ["2019-03-14", "Brackwater", "Turntable", "Platter doesn't turn at all", "New belt", "fixed"],
        ["2019-03-15", "Brackwater", "Radio", "Speaker is dead, no sound", "Joint soldered", "fixed"],
    ]
    brought(as_csv(rows, heads))
    models = UnitModel.objects.order_by("name")
    assert [(one.name, one.kind, one.is_known) for one in models] == [
        ("unknown radio", "radio", False),
        ("unknown turntable", "turntable", False),
    ]
    advice = advice_for(models[1], "The platter won't turn any more")
    assert [one.remedy for one in advice.remedies] == ["New belt"]
    assert advice.remedies[0].counts[0].circle.name == "this kind of unit"
