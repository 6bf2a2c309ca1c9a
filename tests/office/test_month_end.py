"""A month's end: drafts issued, reminders and statements made in rounds, and handed out in one file.

Numbers: Directive 2006/112/EC Article 226(2), a sequential number that uniquely identifies each invoice.
"""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import io
import uuid
import zipfile
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from shop.counter.models import Job
from shop.frame.models import Staff
from shop.keeping.models import Task
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries, rounds
from shop.office.long_work import ask_to_go_round
from shop.office.models import Invoice, Letter
from tests.factories.office import another_job, drafted, issued, item
from tests.office.reading import text_of
from tests.pages import words_on
from tests.working import do_all

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _few_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three papers make a round of two acts, as twelve do in the shop."""
    monkeypatch.setattr(rounds, "IN_ONE_ACT", 2)


@pytest.fixture
def desk(owner: Staff) -> Client:
    client = Client()
    client.force_login(owner)
    return client


def drafts(job: Job, by: Staff, count: int) -> list[Invoice]:
    """So many drafts, each over a job of its own."""
    return [
        drafted(another_job(job.customer, by=by), [item(price=f"{10 + n}.00")], by=by) for n in range(count)
    ]


def press(desk: Client, key: str, data: dict[str, Any] | None = None) -> Any:
    return desk.post(f"/office/month-end/{key}/", data or {"once": str(uuid.uuid4())})


def test_the_ticked_drafts_are_issued_a_handful_at_a_time_and_the_page_says_how_far_it_is(
    desk: Client, job: Job, owner: Staff
) -> None:
    waiting = drafts(job, owner, rounds.IN_ONE_ACT + 2)
    ticked = [draft.pk for draft in waiting[1:]]
    assert press(desk, "drafts", {"key": ticked, "once": str(uuid.uuid4())}).status_code == 303
    assert "Tasks</a> stop it" in words_on(desk.get("/office/month-end/"))
    assert do_all() == 1
    numbered = Invoice.objects.filter(issued_at__isnull=False).order_by("sequence")
    assert [one.sequence for one in numbered] == list(range(1, len(ticked) + 1))
    assert {one.pk for one in numbered} == set(ticked)
    for one in numbered:
        assert one.number in text_of(one.paper)
    task = Task.objects.get()
    assert (task.state, task.done, task.total) == ("done", len(ticked), len(ticked))
    assert task.result["sentence"] == f"{len(ticked)} made."


def test_a_round_that_breaks_off_goes_on_with_what_is_left_and_numbers_nothing_twice(
    job: Job, owner: Staff, monkeypatch: pytest.MonkeyPatch
) -> None:
    waiting = drafts(job, owner, rounds.IN_ONE_ACT + 1)
    keys, period = [draft.pk for draft in waiting], rounds.last_month(dt.date(2026, 11, 1))
    ask_to_go_round(going=rounds.DRAFTS, keys=keys, period=period, by=owner)
    turn = rounds.turn
    turns = iter([turn])

    def breaks(*args: Any, **how: Any) -> Any:
        for one in turns:
            return one(*args, **how)
        raise OSError("The disk is full.")

    with monkeypatch.context() as broken:
        broken.setattr(rounds, "turn", breaks)
        do_all()
    assert Invoice.objects.exclude(number="").count() == rounds.IN_ONE_ACT
    Task.objects.update(due_at=timezone.now())
    do_all()
    numbered = list(Invoice.objects.order_by("sequence").values_list("sequence", flat=True))
    assert numbered == list(range(1, len(waiting) + 1))


def test_a_round_that_is_sent_twice_is_gone_once(desk: Client, job: Job, owner: Staff) -> None:
    waiting = drafts(job, owner, 2)
    sent = {"key": [draft.pk for draft in waiting], "once": str(uuid.uuid4())}
    press(desk, "drafts", sent)
    press(desk, "drafts", sent)
    press(desk, "drafts", {**sent, "once": str(uuid.uuid4())})
    assert do_all() == 1
    assert Invoice.objects.filter(issued_at__isnull=False).count() == 2


def test_a_draft_above_what_was_authorised_stays_a_draft_and_takes_no_number(job: Job, owner: Staff) -> None:
    good, other = drafts(job, owner, 2)
    late = another_job(job.customer, by=owner)
    refused = actions.draft_invoice(customer=job.customer, jobs=[late], items=[item()], by=owner)
    made = actions.issue_invoices(invoices=[good, refused, other], by=owner)
    assert [row.pk for row, _ in made.refused] == [refused.pk]
    assert "authorized" in made.refused[0][1]
    assert [one.sequence for one in Invoice.objects.exclude(number="").order_by("sequence")] == [1, 2]
    refused.refresh_from_db()
    assert (refused.number, refused.issued_at) == ("", None)


def test_two_drafts_of_one_job_share_its_deposit_once(job: Job, owner: Staff) -> None:
    first = drafted(job, [item(price="30.00")], by=owner)
    second = drafted(job, [item(price="40.00")], by=owner)
    actions.take_payment(customer=job.customer, job=job, amount_minor=50_00, how="cash", by=owner)
    keys = [first.pk, second.pk]
    while keys:
        keys = rounds.turn(rounds.DRAFTS, keys, by=owner, period=rounds.last_month(dt.date(2026, 11, 1))).rest
    taken = list(Invoice.objects.order_by("id").values_list("prepaid_minor", flat=True))
    assert taken == [30_00, 20_00]


def late(job: Job, by: Staff, count: int) -> list[Invoice]:
    """So many invoices long past due."""
    long_ago = timezone.now() - dt.timedelta(days=90)
    return [
        issued(another_job(job.customer, by=by), [item(price=f"{20 + n}.00")], by=by, at=long_ago)
        for n in range(count)
    ]


def test_one_reminder_is_made_for_each_invoice_that_is_due_for_one_and_none_at_once_again(
    desk: Client, job: Job, owner: Staff
) -> None:
    waiting = late(job, owner, 2)
    assert press(desk, "reminders").status_code == 303
    do_all()
    letters = Letter.objects.filter(kind=Letter.Kind.REMINDER).order_by("id")
    assert [one.invoice for one in letters] == waiting
    assert [one.level for one in letters] == [1, 1]
    press(desk, "reminders")
    do_all()
    actions.remind_many(invoices=waiting, by=owner)
    assert letters.count() == 2


def test_whoever_has_something_open_gets_a_statement_of_the_time(
    desk: Client, job: Job, owner: Staff
) -> None:
    open_one, paid = late(job, owner, 2)
    actions.take_payment(
        customer=paid.customer, invoice=paid, amount_minor=paid.total_minor, how="cash", by=owner
    )
    sent = {"once": str(uuid.uuid4()), "starts": "2026-01-01", "ends": "2025-12-31"}
    assert press(desk, "statements", sent).status_code == 422
    assert press(desk, "statements", {**sent, "starts": "2025-01-01"}).status_code == 303
    do_all()
    letter = Letter.objects.get(kind=Letter.Kind.STATEMENT)
    assert letter.customer == open_one.customer
    assert open_one.number in text_of(letter.paper)


def test_the_papers_of_a_time_come_in_one_file_as_they_were_issued(
    desk: Client, job: Job, owner: Staff
) -> None:
    row = issued(job, [item()], by=owner)
    other = late(job, owner, 1)[0]
    day = timezone.localdate(row.issued_at).isoformat()
    answer = desk.get("/office/month-end/papers.zip", {"kind": "invoices", "starts": day, "ends": day})
    with zipfile.ZipFile(io.BytesIO(answer.getvalue())) as bundle:
        assert row.paper is not None
        pdf = bundle.read(f"Invoice {row.number}.pdf")
        assert hashlib.sha256(pdf).hexdigest() == row.paper.sha256
        assert pdf == stored_bytes(row.paper)
        listed = list(csv.DictReader(io.StringIO(bundle.read("invoices.csv").decode())))
        assert len(bundle.namelist()) == 2, f"{other.number} is of another day"
    assert [(line["number"], line["total"], line["currency"]) for line in listed] == [
        (row.number, "85.00", "USD")
    ]


def test_the_command_draws_with_two_printers_and_says_how_far_it_is(
    job: Job, owner: Staff, capsys: pytest.CaptureFixture[str]
) -> None:
    drafts(job, owner, 3)
    call_command("month_end", "drafts", by=owner.username)
    said = capsys.readouterr().out
    assert "3 of 3" in said
    assert "3 made, 0 left alone." in said
    made = Invoice.objects.order_by("sequence")
    assert [one.sequence for one in made] == [1, 2, 3]
    for one in made:
        printed = text_of(one.paper)
        assert one.number in printed
        assert queries.jobs_of(one)[0].number in printed
    with pytest.raises(CommandError, match="Nobody signs in"):
        call_command("month_end", "drafts", by="nobody")
