"""The shop has one calendar, its own: only its clock turns a moment into a date."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

CLOCK = {Path("shop/frame/clock.py"), Path("shop/frame/moments.py")}
ALLOWED = {
    # the zone in force while a page or a paper is written, for Django's own fields and filters
    Path("shop/frame/customs.py"): {"timezone.override"},
    # a cell of a spreadsheet holds a date as a moment without a zone
    Path("shop/records/bringing_in/workbook.py"): {".date()"},
    # names of backups sort by the time they were made, the hour too that the clocks show twice
    Path("shop/keeping/backup.py"): {"{now:%Y%m%d-%H%M%S}"},
    # a letter's mark among machines, which no person reads
    Path("shop/keeping/outbox.py"): {"{message.written_at:%Y%m%d%H%M%S}"},
    # the drill says that it is UTC: the book whose zone it would be was restored for the drill alone
    Path("shop/management/commands/restore_drill.py"): {"{manifest.made_at:%Y-%m-%d %H:%M}"},
    # so does the way back: the book whose zone it would be may be the damaged one
    Path("shop/management/commands/restore.py"): {"{manifest.made_at:%Y-%m-%d %H:%M}"},
    # moments are exchanged and hashed in UTC, whole
    Path("shop/frame/journal.py"): {".astimezone()"},
    Path("shop/frame/seals.py"): {".astimezone()"},
    Path("shop/records/taking_out/rows.py"): {".astimezone()"},
    # what was typed without a zone is a moment of the shop's day; a page's zone is the shop's
    Path("shop/bench/forms/time.py"): {"timezone.make_aware"},
}
CALLS = {"localdate", "localtime", "make_naive", "make_aware", "override", "activate", "get_current_timezone"}
METHODS = {"astimezone", "date", "strftime", "isocalendar", "utcfromtimestamp", "utcnow"}
PARTS = {"year", "month", "day", "hour", "weekday", "isoweekday", "toordinal"}
MOMENT = re.compile(r"(^|_)(at|now|moment|since|noted)$")
LOOKUP = re.compile(
    r"^(?P<column>\w*(at|since))__(date|year|month|day|week|week_day|quarter|hour)(__(lt|lte|gt|gte|range|in))?$"
)
SHOWN = re.compile(r"%[YymdHMSjAaBbUWGV]")
TRUNCATING = re.compile(r"^(Trunc|Extract)(Year|Month|Day|Week|Date|Quarter|Hour|WeekDay|$)")


def ways(tree: ast.AST) -> Iterator[str]:
    """Each way in which a module turns moments into dates by itself, as short text."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield from _calls(node)
        elif isinstance(node, ast.Attribute) and node.attr in PARTS and _is_moment(node.value):
            yield f".{node.attr}"
        elif isinstance(node, ast.FormattedValue) and isinstance(node.format_spec, ast.JoinedStr):
            spec = "".join(
                str(part.value) for part in node.format_spec.values if isinstance(part, ast.Constant)
            )
            if SHOWN.search(spec) and not _of_the_clock(node.value):
                yield f"{{{ast.unparse(node.value)}:{spec}}}"
        elif isinstance(node, ast.keyword) and node.arg and LOOKUP.match(node.arg):
            yield node.arg


def _calls(node: ast.Call) -> Iterator[str]:
    called = node.func
    name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
    owner = ast.unparse(called.value) if isinstance(called, ast.Attribute) else ""
    if owner == "timezone" and name in {*CALLS, "now"}:
        yield f"timezone.{name}"
    elif owner in {"dt.date", "date", "dt.datetime", "datetime"} and name in {"today", "now"}:
        # an aware moment in UTC is one, however it is asked for
        if not any(ast.unparse(one) == "dt.UTC" for one in node.args):
            yield f"{owner}.{name}"
    elif isinstance(called, ast.Attribute) and name in METHODS and (name != "date" or not node.args):
        yield f".{name}()"
    elif TRUNCATING.match(name) and not _told_what_zone(node) and not _of_a_date(node):
        yield name


def _told_what_zone(node: ast.Call) -> bool:
    return any(one.arg == "tzinfo" and ast.unparse(one.value) == "clock.zone()" for one in node.keywords)


def _of_a_date(node: ast.Call) -> bool:
    return bool(node.args) and ast.unparse(node.args[0]).strip("'\"").endswith(("_date", "_on"))


def _is_moment(node: ast.expr) -> bool:
    if isinstance(node, ast.Call):
        return ast.unparse(node.func).endswith((".now", "timezone.now")) or ast.unparse(node.func) == "now"
    name = node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")
    return bool(MOMENT.search(name))


def _of_the_clock(node: ast.expr) -> bool:
    """A date, by its name, or what the shop's clock made of a moment."""
    if isinstance(node, ast.Call):
        return ast.unparse(node.func) in {
            "clock.local",
            "clock.day_of",
            "local",
            "day_of",
            "clock.today",
            "_local",
        }
    name = node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")
    return name in {"day", "first", "last", "on"}


def modules() -> list[Path]:
    home = Path(settings.BASE_DIR)
    found = (path.relative_to(home) for path in sorted((home / "shop").rglob("*.py")))
    return [path for path in found if "migrations" not in path.parts and path not in CLOCK]


def test_only_the_shops_clock_turns_a_moment_into_a_date() -> None:
    wrong = []
    for path in modules():
        tree = ast.parse((Path(settings.BASE_DIR) / path).read_text(encoding="utf-8"))
        wrong += [f"{path}: {way}" for way in ways(tree) if way not in ALLOWED.get(path, set())]
    assert wrong == []


def test_every_exception_is_still_needed() -> None:
    for path, allowed in ALLOWED.items():
        tree = ast.parse((Path(settings.BASE_DIR) / path).read_text(encoding="utf-8"))
        assert allowed <= set(ways(tree)), path


@pytest.mark.parametrize(
    "line",
    [
        "year = act.at.year", "day = job.booked_in_at.date()", "day = dt.date.today()", "day = dt.datetime.now()",
        "day = timezone.localdate()", "day = timezone.localtime(moment)", "now = timezone.now()",
        "rows.filter(at__date__lt=day)", "rows.filter(issued_at__year=2026)", "name = f'{act.at:%Y-%m-%d}'",
        "rows.annotate(month=TruncMonth('at'))", "day = moment.strftime('%d')", "turn = night.at.toordinal()",
        "year = clock.now().year",
    ],
)  # fmt: skip
def test_each_other_way_is_seen(line: str) -> None:
    assert list(ways(ast.parse(line)))


@pytest.mark.parametrize(
    "line",
    [
        "year = act.day.year", "day = clock.day_of(job.booked_in_at)", "name = f'{clock.local(at):%H:%M}'",
        "rows.filter(clock.within('at', first, last))", "rows.annotate(month=TruncMonth('issue_date'))",
        "now = dt.datetime.now(dt.UTC)", "rows.filter(year=2026)",
    ],
)  # fmt: skip
def test_the_one_way_is_let_through(line: str) -> None:
    assert list(ways(ast.parse(line))) == []


def test_no_template_writes_a_moment_by_the_zone_in_force() -> None:
    for path in sorted((Path(settings.BASE_DIR) / "templates").rglob("*")):
        if path.is_file():
            for what, how in re.findall(
                r"\{\{\s*([\w.]+)\|date:\"([^\"]*)\"", path.read_text(encoding="utf-8")
            ):
                # "c" is the whole moment with its offset, for machines
                assert how == "c" or not MOMENT.search(what.rpartition(".")[2]), f"{path}: {what}"
