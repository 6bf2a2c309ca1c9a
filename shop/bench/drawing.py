"""Drawing the bench page of a job: the forms of its panels and buttons, and all that its templates ask for."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from typing import Any, TypeVar

from django.conf import settings

from shop.bench import queries, sheet
from shop.bench.forms import BenchForm
from shop.bench.page import BenchPage
from shop.bench.panels import BUTTONS, MOVES, PANELS, SECTIONS, Button, Panel
from shop.counter.stages import Stage
from shop.frame.formwork import PlainForm
from shop.handbook.sheet import COLUMN_SETS, RowOf

F = TypeVar("F", bound=BenchForm)
Wrong = tuple[Button[Any] | None, PlainForm]
"""A form that was refused, and what it was sent by, if that stands on the bench page."""


def form_of(page: BenchPage, button: Button[F], *bound: object) -> F:
    """The form of a panel or button, bound to posted data and files where they are given."""
    return button.form(*bound, job=page.job, auto_id=f"{button.name}-%s", **button.given(page))


def panels_of(page: BenchPage) -> list[Panel[Any]]:
    """The panels that this job's stage has a use for."""
    return [panel for panel in PANELS if panel.when(page)] if page.is_here else []


def context_of(
    page: BenchPage,
    *,
    wrong: Wrong | None = None,
    open_panel: str = "",
    only_open: bool = False,
    more_rows: Iterable[RowOf] = (),
) -> dict[str, Any]:
    """Everything the template asks for; `wrong` is a form that was refused, shown with its errors.

    `only_open`: no panel but the open one is drawn, nor what it does not write, for an answer that carries only what changed.
    `more_rows` are put on the sheet of readings below those that the job has of its own.
    """
    panels = panels_of(page)
    refused, form = wrong if wrong is not None else (None, None)
    drawn = [panel for panel in panels if not only_open or panel.name == open_panel]
    return {
        "page": page,
        "job": page.job,
        "record": page.record,
        "forms": {} if only_open else {one.name: form_of(page, one) for one in BUTTONS},
        "soaks": [] if only_open else page.soaks,
        "dock": [panel for panel in panels if panel.icon],
        "further": [panel for panel in panels if not panel.icon or panel.name == "temporary"],
        "moves": [] if only_open else [(one, form_of(page, one)) for one in MOVES if one.when(page)],
        "panels": [(panel, _dressed(page, panel, form if panel is refused else None)) for panel in drawn],
        "wrong": form if refused not in panels else None,
        "record_sections": _sections(page, open_panel if only_open else None),
        "open": refused.name if refused is not None else open_panel,
        **({} if only_open or not page.is_here else _sheet(page, more_rows)),
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
    }


def _sheet(page: BenchPage, more: Iterable[RowOf]) -> dict[str, object]:
    """The sheet of readings, and what may be chosen for its next row with one touch."""
    rows = sheet.rows_of(page.points, page.record.readings, more)
    return {
        "sheet": rows,
        "sheet_offers": sheet.offered_for(page.job.unit.model.kind, page.patterns),
        "sheet_columns": COLUMN_SETS,
        "sheet_quantities": sheet.quantities(),
        "sheet_against": list(dict.fromkeys([*(row.against for row in rows if row.against), *sheet.AGAINST])),
        "sheet_states": list(dict.fromkeys([*(row.state for row in rows if row.state), *sheet.STATES])),
        "sheet_after": queries.conclusion_stands(page.record),
        "sheet_lines": [{"at": at, "once": uuid.uuid4()} for at in range(BLANK_LINES)],
    }


BLANK_LINES = 3
"""New rows that the plain form has room for at once; with script there is no end to them."""


def _dressed(page: BenchPage, panel: Panel[F], wrong: F | None) -> F:
    form = form_of(page, panel) if wrong is None else wrong
    panel.dress(page, form)
    return form


def _sections(page: BenchPage, written_by: str | None) -> tuple[str, ...]:
    """The sections of what is written: those that an open panel changes, or all of them, once there can be any."""
    if written_by is not None:
        return next((one.sections for one in PANELS if one.name == written_by and one.stays), ())
    return () if page.job.stage == Stage.EXPECTED else SECTIONS
