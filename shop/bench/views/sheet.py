"""The sheet of readings: a cell from the tablet, all of it from a plain form, and the rows of a template."""

from __future__ import annotations

from collections.abc import Iterator

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from shop.bench import actions, sheet
from shop.bench.drawing import BLANK_LINES, context_of
from shop.bench.forms import ReadingForm
from shop.bench.models import Reading
from shop.bench.page import BenchPage
from shop.bench.views.writing import answered, at_the_bench, first_sentence
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.handbook.sheet import ColumnsError, RowOf


@require_POST
@at_the_bench
def cell(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take one cell, and answer with its verdict alone: the sheet stays as it is under the hand."""
    page = BenchPage.of(number, request.user)
    form = _form(page, request.POST)
    done = _taken(request, page, form)
    if done is None:
        response = render(request, "bench/parts/cell.html", {"wrong": first_sentence(form)}, status=422)
        return answered(request, response, form)
    reading = done.made or Reading.objects.select_related("by", "meter").get(pk=done.pk or 0)
    (line,) = page.understood([reading])
    context = {"one": line, "job": page.job, "page": page}
    return answered(request, render(request, "bench/parts/cell.html", context))


@require_POST
@at_the_bench
def whole(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take every cell of a plain form in which something was typed, each for itself: one that is refused waits alone."""
    page = BenchPage.of(number, request.user)
    refused: list[tuple[sheet.Sent, str]] = []
    noted = 0
    for sent, wrong in _sent(request.POST):
        form = _form(page, _as_posted(sent, request.POST))
        if wrong or _taken(request, page, form) is None:
            refused.append((sent, wrong or first_sentence(form)))
        else:
            noted += 1
    if refused:
        return _shown_again(request, page, refused, noted)
    messages.success(request, f"{noted} noted." if noted else "Nothing was typed.")
    return joint.see_other(request, f"{page.address}#sheet")


@require_safe
@at_the_bench
def rows(request: StaffRequest, number: str) -> HttpResponse:
    """The rows of a template, drawn empty, to be put on the sheet."""
    page = BenchPage.of(number, request.user)
    chosen = sheet.chosen_rows(page.job, request.GET.get("rows", ""))
    drawn = sheet.rows_of((), (), chosen)
    return render(request, "bench/parts/rows.html", {"rows": drawn, "none": not drawn})


def _form(page: BenchPage, data: object) -> ReadingForm:
    return ReadingForm(data, job=page.job, points=page.points, meters=page.meters, auto_id=False)


def _taken(request: StaffRequest, page: BenchPage, form: ReadingForm) -> joint.Taken[Reading] | None:
    return joint.taken(
        form,
        lambda key: actions.add_reading(**form.facts(), job=page.job, by=request.user, entry=key, at=form.at),
    )


def _sent(data: QueryDict) -> Iterator[tuple[sheet.Sent, str]]:
    """What was typed into cells and onto the blank lines; what can't be told apart is given with the sentence why."""
    sent = {name: str(value) for name, value in data.dict().items()}
    for one in sheet.cells_sent(sent):
        yield one, ""
    for at in range(BLANK_LINES):
        try:
            for one in sheet.new_cells(sent, at):
                yield one, ""
        except ColumnsError as error:
            line = {name: sent.get(f"new-{at}-{name}", "") for name in sheet.NEW}
            yield sheet.Sent(f"new-{at}", line["values"], {"where": line["place"], **_told(line)}), str(error)


def _told(line: dict[str, str]) -> dict[str, str]:
    return {
        "against": line["against"],
        "condition": line["state"],
        "quantity": line["quantity"],
        "expected": line["expected"],
        "adjuster": line["adjuster"],
    }


def _as_posted(sent: sheet.Sent, data: QueryDict) -> dict[str, str]:
    """A cell as the form of one reading takes it; meter and repair are told once for the whole sheet."""
    shared = {name: str(data[name]) for name in ("meter", "after_repair") if data.get(name)}
    return {**sent.facts, **shared, "typed": sent.typed}


def _shown_again(
    request: StaffRequest, page: BenchPage, refused: list[tuple[sheet.Sent, str]], noted: int
) -> HttpResponse:
    """The page with the refused cells as they were typed, each with its sentence; what was right is written."""
    page = page.anew()
    told = [_row_of(sent) for sent, _ in refused]
    context = context_of(page, more_rows=told)
    for sent, wrong in refused:
        _mark(context["sheet"], sent, wrong)
    context["sheet_said"] = f"{noted} noted, {len(refused)} not: look at the marked cells."
    return render(request, "bench/job.html", context, status=422)


def _row_of(sent: sheet.Sent) -> RowOf:
    facts = sent.facts
    return RowOf(
        place=facts.get("where", "") or "?",
        quantity=facts.get("quantity", "") if facts.get("quantity") in sheet.KINDS else "voltage_dc",
        columns=facts.get("channel", "").replace(" ", "_"),
        against=facts.get("against", ""),
        state=facts.get("condition", ""),
        expected=facts.get("expected", ""),
        adjuster=facts.get("adjuster", ""),
    )


def _mark(drawn: list[sheet.Row], sent: sheet.Sent, wrong: str) -> None:
    """Put what was typed back into its cell, with the sentence."""
    point, channel = sent.facts.get("test_point", ""), sent.facts.get("channel", "")
    wanted = _row_of(sent)
    for row in drawn:
        cell = row.cell(channel)
        same = cell is not None and (
            str(cell.test_point or "") == point
            if point
            else row.place == wanted.place and row.against == wanted.against
        )
        if cell is not None and same:
            cell.typed, cell.wrong = sent.typed, wrong
            return
