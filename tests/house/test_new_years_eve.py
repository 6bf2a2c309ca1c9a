"""The evening of 31 December in Los Angeles, and half an hour into the new year in Auckland: each shop has its own day.

Zones: the IANA time zone database, through the standard library: Los Angeles is eight hours behind UTC at the turn of the year,
Auckland thirteen ahead. In UTC the first is in the next year already, the second still in the old one.
"""

from __future__ import annotations

import datetime as dt
import importlib
import io
import itertools
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.apps import apps
from django.core.management import BaseCommand, call_command
from django.db import models
from django.utils import timezone

from shop.counter import actions as counter
from shop.frame import clock, spelling
from shop.frame.customs import locale
from shop.frame.journal import acting
from shop.frame.models import NumberSeries, Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper
from shop.management import commands
from shop.management.command import ShopCommand
from shop.office import actions as office
from shop.office.models import Invoice, Letter, LineKind
from shop.office.queries import account_of
from shop.office.queries.figures import Period, figures
from shop.premises.actions import add_terms, withdraw_terms
from shop.press.issuing import issue_paper
from shop.scenes import walkthrough
from shop.stockroom import actions as stockroom
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.office import issued, item, rates, rules
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


def test_a_whole_job_is_written_by_the_shops_day(turn: Turn, monkeypatch: pytest.MonkeyPatch) -> None:
    """Counter, bench, office, dispatch: some forty acts within a few minutes."""
    monkeypatch.setitem(walkthrough.PROFILE, "time_zone", turn.zone)
    seconds = itertools.count()
    monkeypatch.setattr(
        walkthrough.Walk, "at", lambda walk, **_: walk.started + dt.timedelta(seconds=next(seconds))
    )
    walk = walkthrough.walk_through(turn.moment)
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
    "bring_back": "the days stand in the file",
    "restore": "the days stand in the backup",
    "restore_drill": "it restores into a folder that it throws away",
    "measure": "it writes a book of its own and throws it away",
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
    """`open` and `demo` hand over to pages, which do; `migrate` is Django's own and writes no day."""
    assert {n for n, kind in all_commands().items() if not issubclass(kind, ShopCommand)} == {
        "open", "demo", "migrate",
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
    call_command("bring_in", path, stdout=said, stderr=io.StringIO())
    assert said.getvalue().startswith(
        "1 rows: 1 became jobs" if turn.day == later else "1 rows: 0 became jobs"
    )


@pytest.mark.parametrize(
    "command",
    [["backup"], ["build_search", "--anew"], ["take_out", "book.zip"], ["send_outbox"]],
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
