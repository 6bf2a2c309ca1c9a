"""The evening of 31 December in Los Angeles, and half an hour into the new year in Auckland: each shop has its own day.

Zones: the IANA time zone database, through the standard library: Los Angeles is eight hours behind UTC at the turn of the year,
Auckland thirteen ahead. In UTC the first is in the next year already, the second still in the old one.
"""

from __future__ import annotations

import ast
import datetime as dt
import importlib
import io
import itertools
import pkgutil
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
import time_machine
from django.apps import apps
from django.conf import settings
from django.core.management import BaseCommand, call_command
from django.db import models
from django.utils import timezone

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.models import Job
from shop.dispatch import actions as dispatch
from shop.frame import clock, spelling
from shop.frame.customs import locale
from shop.frame.journal import acting
from shop.frame.models import NumberSeries, Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper
from shop.management import commands
from shop.management.command import ShopCommand
from shop.office import actions as office
from shop.office.models import Invoice, Letter, LineKind, TaxRule
from shop.office.queries import account_of
from shop.office.queries.figures import Period, figures
from shop.premises.actions import add_terms, withdraw_terms
from shop.press.issuing import issue_paper
from shop.scenes import walkthrough
from shop.stockroom import actions as stockroom
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.dispatch import ready
from tests.factories.office import drafted, issued, item, rates, rules
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.stockroom import a_part, a_supplier, an_order
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db
NO_YEAR = 0  # of a series that counts through
A_DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Turn:
    """A moment near the turn of the year, the day it is in the shop, and the day it is in Greenwich."""

    zone: str
    moment: dt.datetime
    day: dt.date
    elsewhere: dt.date


TURNS = [
    Turn(
        "America/Los_Angeles",
        dt.datetime(2027, 1, 1, 2, 0, tzinfo=dt.UTC), dt.date(2026, 12, 31), dt.date(2027, 1, 1),
    ),
    Turn(
        "Pacific/Auckland",
        dt.datetime(2026, 12, 31, 11, 30, tzinfo=dt.UTC), dt.date(2027, 1, 1), dt.date(2026, 12, 31),
    ),
]  # fmt: skip


@pytest.fixture(params=TURNS, ids=["Los Angeles", "Auckland"])
def turn(request: pytest.FixtureRequest) -> Iterator[Turn]:
    """The clock stands at the moment, in the shop that it is about; no request sets a zone."""
    timezone.deactivate()
    with time_machine.travel(request.param.moment, tick=False):
        yield request.param


@pytest.fixture
def by(turn: Turn) -> Staff:
    ShopProfileFactory(time_zone=turn.zone)
    return StaffFactory(username="jo")


def strangers(turn: Turn) -> Iterator[str]:
    """Every date and year in the book that is that of Greenwich."""
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            found = model._default_manager.values_list(field.attname, flat=True)
            if isinstance(field, models.DateField) and not isinstance(field, models.DateTimeField):
                wrong = found.filter(**{field.attname: turn.elsewhere})
            elif field.name == "year":
                wrong = found.exclude(year__in=(turn.day.year, NO_YEAR))
            else:
                continue
            yield from (f"{model._meta.label}.{field.name} = {value}" for value in wrong)


def whole_job(turn: Turn, monkeypatch: pytest.MonkeyPatch) -> walkthrough.Walk:
    """Counter, bench, office, dispatch: some forty acts within a few minutes."""
    monkeypatch.setitem(walkthrough.PROFILE, "time_zone", turn.zone)
    seconds = itertools.count()
    monkeypatch.setattr(
        walkthrough.Walk, "at", lambda walk, **_: walk.started + dt.timedelta(seconds=next(seconds))
    )
    return walkthrough.walk_through(turn.moment)


def test_a_whole_job_is_written_by_the_shops_day(turn: Turn, monkeypatch: pytest.MonkeyPatch) -> None:
    walk = whole_job(turn, monkeypatch)
    assert list(strangers(turn)) == []
    assert walk.job.number.startswith(f"{turn.day:%y}-")
    assert walk.job.year == turn.day.year
    row = Invoice.objects.get()
    assert row.number.startswith(f"{turn.day.year}-")
    assert row.issue_date == turn.day
    assert {one.year for one in NumberSeries.objects.all()} == {turn.day.year}
    for paper in IssuedPaper.objects.all():
        printed = text_of(paper)
        assert any(one in printed for one in written(turn.day)), paper.title
        assert not any(one in printed for one in written(turn.elsewhere)), paper.title


def written(day: dt.date) -> tuple[str, str]:
    """A day as papers write it."""
    return spelling.day(day), spelling.short_day(day)


# --- every action that knows a day ------------------------------------------------------------------------------

ASKS_THE_DAY = {"today", "day_of", "local", "days_of"}


def asks_the_day(node: ast.AST) -> bool:
    """`act.day`, or the shop's clock."""
    if not isinstance(node, ast.Attribute) or not isinstance(node.value, ast.Name):
        return False
    return (node.value.id, node.attr) == ("act", "day") or (
        node.value.id == "clock" and node.attr in ASKS_THE_DAY
    )


def actions_that_know_a_day() -> set[tuple[str, str]]:
    """Module and name of every function among the rooms' actions that asks what day it is."""
    found = set()
    rooms = Path(settings.BASE_DIR) / "shop"
    for path in sorted([*rooms.glob("*/actions.py"), *rooms.glob("*/actions/**/*.py")]):
        module = ".".join(("shop", *path.relative_to(rooms).with_suffix("").parts))
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(function, ast.FunctionDef) and any(map(asks_the_day, ast.walk(function))):
                found.add((module, function.name))
    return found


PLAYED_ELSEWHERE = {("shop.office.actions.distance", "withdraw_contract")}
"""A contract at a distance is for a shop of the EU or the UK: `tests/window/test_distance.py` plays its last day there."""


@contextmanager
def played() -> Iterator[set[tuple[str, str]]]:
    """Module and name of every function that is called meanwhile."""
    found: set[tuple[str, str]] = set()

    def note(frame: FrameType, event: str, _argument: object) -> None:
        if event == "call":
            found.add((frame.f_globals.get("__name__", ""), frame.f_code.co_name))

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        yield found
    finally:
        sys.setprofile(before)


def test_every_action_that_knows_a_day_is_played_at_the_turn_of_the_year(
    turn: Turn, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new one fails here until it is played below, with what it writes looked at."""
    with played() as called:
        by = whole_job(turn, monkeypatch).owner
        later = max(turn.day, turn.elsewhere)
        plan_ahead(later, by)
        change_a_draft(turn, by)
        assert list(strangers(turn)) == []
        write_letters(turn, by)
        call_command("nightly", stdout=io.StringIO())
        office.end_tax_rules(rules=list(TaxRule.objects.all()), to_date=turn.day, by=by)
    assert actions_that_know_a_day() - called == PLAYED_ELSEWHERE


def plan_ahead(later: dt.date, by: Staff) -> None:
    """What holds from a day on, and is taken back before it does: that can still be in Los Angeles, no more in Auckland."""
    carrier = dispatch.add_carrier(name="Tern Post", by=by)
    weighed: dict[str, Any] = {"divisor": Decimal(139), "units": "in_lb", "rounding": "up"}
    plans = [
        (
            dispatch.withdraw_carrier_rule,
            dispatch.add_carrier_rule(carrier=carrier, from_date=later, by=by, **weighed),
        ),
        (
            stockroom.withdraw_price_rule,
            stockroom.add_price_rule(from_date=later, bands=[[None, 40]], rounding="none", by=by),
        ),
    ]
    for take_back, rule in plans:
        if clock.today() < later:
            take_back(rule=rule, by=by)
        else:
            with pytest.raises(Refusal):
                take_back(rule=rule, by=by)
    terms = add_terms(from_date=later + A_DAY, text="Pay in cash.", by=by)
    withdraw_terms(terms=terms, by=by)
    an_order(a_part(by), a_supplier(by), by)


def change_a_draft(turn: Turn, by: Staff) -> None:
    """Lines set anew, what came since taken in, and the rest left out."""
    rates()
    job = booked_in(by=by)
    draft = drafted(job, None, by=by)
    minute = dt.timedelta(minutes=1)
    worked(job, turn.moment - 90 * minute, by)
    changed = office.set_invoice_lines(invoice=draft, items=[item(LineKind.LABOUR, "50.00")], by=by)
    taken = office.take_in(invoice=changed, by=by)
    worked(job, turn.moment - 60 * minute, by)
    office.leave_out(invoice=taken, by=by)
    assert office.issue_invoice(invoice=draft, by=by).issue_date == turn.day
    other = booked_in(by=by)
    back: dict[str, Any] = {"customer": other.customer, "amount_minor": 20_00, "how": "cash", "job": other}
    office.take_payment(by=by, **back)
    office.refund(by=by, **back)


def worked(job: Job, start: dt.datetime, by: Staff) -> None:
    """Twenty minutes at the bench."""
    stint = bench.start_stint(job=job, by=by, at=start)
    bench.stop_stint(stint=stint, by=by, at=start + dt.timedelta(minutes=20))


def write_letters(turn: Turn, by: Staff) -> None:
    """Reminders of what is long due, and a notice about a unit that nobody fetches; none can go tomorrow."""
    with time_machine.travel(turn.moment - dt.timedelta(days=200), tick=False):
        due = [issued(booked_in(by=by), [item(LineKind.LABOUR, "90.00")], by=by) for _ in range(2)]
        left = ready(by)
        office.note_left_here(job=left, by=by)
    letters = [
        office.remind(invoice=due[0], by=by),
        *office.remind_many(invoices=due[1:], by=by).letters,
        office.make_left_notice(job=left, kind=Letter.Kind.COLLECT, by=by),
    ]
    for letter in letters:
        assert letter.paper.number.startswith(f"L{turn.day.year}-")
    office.note_sent(letter=letters[-1], sent_on=turn.day, sent_how=Letter.Sent.FIRST_CLASS, by=by)
    with pytest.raises(Refusal):
        office.note_sent(
            letter=letters[-1], sent_on=turn.day + A_DAY, sent_how=Letter.Sent.FIRST_CLASS, by=by
        )
    form = office.give_repair_form(
        job=booked_in(by=by), defect="Hums", repair_kind="Capacitors", price_minor=9750, days_needed=10,
        handover_place="At the counter", by=by,
    )  # fmt: skip
    assert any(one in text_of(form.paper) for one in written(turn.day))


def test_an_act_knows_its_day(turn: Turn, by: Staff) -> None:
    with acting(by=by) as act:
        assert act.day == clock.today() == turn.day


def test_an_order_and_its_paper_are_of_the_shops_year(turn: Turn, by: Staff) -> None:
    order = an_order(a_part(by), a_supplier(by), by)
    assert order.number == f"PO-{turn.day:%y}-0001"
    assert order.paper is not None
    assert spelling.day(turn.day) in text_of(order.paper)
    assert list(strangers(turn)) == []


def test_units_that_are_announced_get_the_shops_year(turn: Turn, by: Staff) -> None:
    intake = counter.Intake(unit=counter.UnitDescribed(maker="Tarnbeck", model="Lumen 6"), complaint="Dead")
    (job,) = counter.announce(customer=CustomerFactory(), intakes=[intake], by=by)
    assert job.number.startswith(f"{turn.day:%y}-0001")


def test_rules_hold_by_the_shops_day(turn: Turn, by: Staff) -> None:
    later = max(turn.day, turn.elsewhere)
    terms = add_terms(from_date=later, text="Pay in cash.", by=by)
    prices = stockroom.add_price_rule(from_date=later, bands=[[None, 40]], rounding="none", by=by)
    if turn.day < later:
        withdraw_terms(terms=terms, by=by)
        stockroom.withdraw_price_rule(rule=prices, by=by)
        return
    with pytest.raises(Refusal, match="hold already"):
        withdraw_terms(terms=terms, by=by)
    with pytest.raises(Refusal, match="Prices were made"):
        stockroom.withdraw_price_rule(rule=prices, by=by)


def paid_now(by: Staff) -> Invoice:
    """An invoice of this moment, paid at once."""
    rules()
    rates()
    row = issued(booked_in(by=by), [item(LineKind.LABOUR, "100.00")], by=by)
    office.take_payment(customer=row.customer, amount_minor=row.total_minor, how="cash", invoice=row, by=by)
    return row


def test_an_account_and_the_figures_put_a_payment_on_the_shops_day(turn: Turn, by: Staff) -> None:
    row = paid_now(by)
    account = account_of(row.customer, starts=turn.day, ends=turn.day, currency="USD")
    assert [entry.day for entry in account.entries] == [turn.day, turn.day]
    assert account.balance.minor == account.brought_forward.minor == 0
    other = account_of(row.customer, starts=turn.elsewhere, ends=turn.elsewhere, currency="USD")
    assert list(other.entries) == []
    month = figures(Period(turn.day.replace(day=1), turn.day), currency="USD", today=turn.day)
    assert month.came_in.minor == row.total_minor
    assert [one.came_in.minor for one in month.months] == [row.total_minor]


def test_the_papers_of_a_day_are_those_of_the_shops_day(turn: Turn, by: Staff) -> None:
    row = paid_now(by)
    assert row.paper is not None
    for day, wanted in ((turn.day, 1), (turn.elsewhere, 0)):
        found = IssuedPaper.objects.filter(clock.within("issued_at", day, day), pk=row.paper.pk)
        assert found.count() == wanted


def test_a_statement_is_numbered_and_dated_by_the_shops_day(turn: Turn, by: Staff) -> None:
    row = paid_now(by)
    letter = office.make_statement(customer=row.customer, starts=turn.day, ends=turn.day, by=by)
    assert letter.paper.number.startswith(f"L{turn.day.year}-")
    assert spelling.short_day(turn.day) in text_of(letter.paper)


# --- commands -----------------------------------------------------------------------------------------------------


def all_commands() -> dict[str, type[BaseCommand]]:
    names = [one.name for one in pkgutil.iter_modules(commands.__path__)]
    return {name: importlib.import_module(f"{commands.__name__}.{name}").Command for name in names}


WRITES_NO_DAY = {
    "open": "it hands over to pages",
    "demo": "it hands over to pages",
    "load_demo": "its stories are acts at moments of their own, tried by the whole job above",
    "migrate": "it is Django's own",
    "makemigrations": "it is Django's own, and writes code",
    "move": "the days stand in the book",
    "import_book": "the days stand in the file",
    "restore": "the days stand in the backup",
    "restore_drill": "it restores into a folder that it throws away",
    "measure": "it writes a book of its own and throws it away",
    "doctor": "it looks, and what it does leaves no day",
    "install_service": "it writes what starts the shop",
    "reset_second_step": "it takes a key away",
    "work": "it hands over to the chores of other commands, in a process of its own",
}
"""Commands that are not tried here at the turn of the year, and why."""


def test_no_command_is_forgotten_at_the_turn_of_the_year() -> None:
    here = Path(__file__).read_text(encoding="utf-8")
    tried = {name for name in all_commands() if re.search(rf'call_command\("{name}"|\["{name}"', here)}
    tried.add("walkthrough")  # by its own function, in the whole job
    assert tried | WRITES_NO_DAY.keys() == all_commands().keys()
    assert not tried & WRITES_NO_DAY.keys()


def test_every_command_keeps_to_the_shops_ways() -> None:
    """`open` and `demo` hand over to pages, which do; the other two are Django's own and write no day."""
    assert {n for n, kind in all_commands().items() if not issubclass(kind, ShopCommand)} == {
        "open", "demo", "makemigrations", "migrate",
    }  # fmt: skip


def test_a_command_runs_by_the_profiles_zone_and_writing(turn: Turn) -> None:
    ShopProfileFactory(time_zone=turn.zone, language="de-DE")
    told: list[Any] = []

    class Asking(ShopCommand):
        def handle(self, *_args: Any, **_options: Any) -> None:
            told.extend([clock.today(), timezone.localdate(), str(locale()), spelling.day(turn.moment)])

    call_command(Asking())
    assert told[:3] == [turn.day, turn.day, "de_DE"]
    assert told[3] == {12: "31. Dezember 2026", 1: "1. Januar 2027"}[turn.day.month]


def test_the_night_ends_retention_on_the_shops_day(turn: Turn, by: Staff) -> None:
    kept = issue_paper(
        kind="test", number="1", title="Kept", template="papers/base.html", context={}, by=by,
        keep_until=min(turn.day, turn.elsewhere),
    )  # fmt: skip
    call_command("nightly", stdout=io.StringIO())
    kept.refresh_from_db()
    assert (kept.deleted_at is None) == (turn.day == kept.keep_until)


def test_a_list_brought_in_knows_which_day_is_still_to_come(turn: Turn, by: Staff, tmp_path: Path) -> None:
    later = max(turn.day, turn.elsewhere)
    path = tmp_path / "old.csv"
    path.write_text(f"number,came,complaint,maker,model\n17,{later},Hum,Tarnbeck,Lumen\n", encoding="utf-8")
    said = io.StringIO()
    call_command("import_jobs", path, stdout=said, stderr=io.StringIO())
    assert said.getvalue().startswith(
        "1 rows: 1 became jobs" if turn.day == later else "1 rows: 0 became jobs"
    )


@pytest.mark.parametrize(
    "command",
    [["backup"], ["build_search", "--again"], ["export_book", "book.zip"], ["send_outbox"]],
    ids=lambda command: command[0],
)
def test_what_looks_after_the_book_goes_on_at_the_turn_of_the_year(
    turn: Turn, by: Staff, command: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "backups"))
    booked_in(by=by)
    call_command(*command, stdout=io.StringIO(), stderr=io.StringIO())
    assert list(strangers(turn)) == []


def test_statements_of_the_command_are_for_the_month_before_in_the_shop(by: Staff, turn: Turn) -> None:
    """The evening payment of the month's last day stands in its statement: it was missing by the day of Greenwich."""
    rules()
    rates()
    last = turn.day.replace(day=1) - A_DAY
    with time_machine.travel(clock.moment_of(last, 23, 30) - dt.timedelta(hours=5), tick=False):
        row = issued(booked_in(by=by), [item(LineKind.LABOUR, "100.00")], by=by)
        office.take_payment(customer=row.customer, amount_minor=1_000, how="cash", invoice=row, by=by)
    call_command("month_end", "statements", by="jo", printers=1, stdout=io.StringIO(), stderr=io.StringIO())
    letter = Letter.objects.get(kind=Letter.Kind.STATEMENT)
    printed = text_of(letter.paper)
    assert spelling.short_day(last) in printed
    assert "10.00" in printed
    assert letter.paper.number.startswith(f"L{turn.day.year}-")
