"""In and out: old lists brought in, step by step; lists, the open standard and the whole book taken out. For the owner."""

from __future__ import annotations

from collections.abc import Iterator

from django.contrib import messages
from django.http import FileResponse, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import clock, joint
from shop.frame.customs import customs_of
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.keeping.tasks.queries import latest
from shop.records import long_work
from shop.records.bringing_in import batches, kept
from shop.records.bringing_in.columns import unmatched
from shop.records.forms import BatchForm, HeaderForm, LibraryForm, MatchForm
from shop.records.job_list import all_found
from shop.records.models import Batch, Library
from shop.records.searching.address import asking_from, filters_from
from shop.records.searching.answering import ask
from shop.records.taking_out.open_repair import open_repair_lines
from shop.records.taking_out.sheets import SHEETS, delimiter, job_cells, lines

owner_only = for_roles(Role.OWNER)
PROGRESS = "batch-progress"
OTHER_WORDS = "Another column holds the outcome now. Say what its words mean, then import the list."


@require_safe
@owner_only
def books(request: StaffRequest) -> HttpResponse:
    """What can be brought in and taken out, and the batches so far."""
    return books_page(request)


def books_page(
    request: StaffRequest, form: BatchForm | None = None, library_form: LibraryForm | None = None
) -> HttpResponse:
    """The page, with what was typed into one of its forms."""
    context = {
        "form": form or BatchForm(),
        "library_form": library_form or LibraryForm(auto_id="library-%s"),
        "libraries": list(Library.objects.order_by("provider", "-pk")[:30]),
        "batches": list(Batch.objects.select_related("by").order_by("-pk")[:30]),
        "sheets": SHEETS.values(),
        "out_form": PlainForm(),
    }
    return render(request, "records/books.html", context, status=422 if form or library_form else 200)


@require_POST
@owner_only
def start(request: StaffRequest) -> HttpResponseBase:
    """Take a list in and match its columns."""
    form = BatchForm(request.POST, request.FILES)

    def started(key: joint.Key) -> Batch:
        upload = form.cleaned_data["file"]
        return kept.start_batch(name=upload.name, file=upload.file, by=request.user, once_key=key)

    return joint.answer(
        request,
        form,
        started,
        then=lambda made: reverse("records:batch", args=[made]),
        page=lambda: books_page(request, form),
    )


@require_safe
@owner_only
def batch(request: StaffRequest, pk: int) -> HttpResponse:
    """One batch: its columns and a preview, how far it is, or what became of its rows."""
    return _batch(request, get_object_or_404(Batch, pk=pk))


def _progress(one: Batch) -> dict[str, object]:
    return {
        "batch": one,
        "step_form": PlainForm(),
        "task": latest(batches.same_of(one)) if one.state == Batch.State.RUNNING else None,
    }


def _batch(
    request: StaffRequest, one: Batch, form: MatchForm | None = None, header_form: HeaderForm | None = None
) -> HttpResponse:
    if request.headers.get("HX-Target") == PROGRESS:
        if one.state != Batch.State.RUNNING:
            return HttpResponse(headers={"HX-Refresh": "true"})
        return render(request, "records/batch/progress.html", _progress(one))
    told = one.outcomes.all()
    wrong = form is not None or header_form is not None
    context = {
        **_progress(one),
        "made": told.filter(job__isnull=False, again=False, taken_back_at__isnull=True).count(),
        "again": told.filter(again=True).count(),
        "wrong_count": told.exclude(sentence="").count(),
        "wrong": list(told.exclude(sentence="").order_by("number")[:20]),
    }
    try:
        if one.state in {Batch.State.MATCHING, Batch.State.UNDONE}:
            context |= {
                "form": form or MatchForm(batch=one, words=batches.outcome_words(one)),
                "header_form": header_form or HeaderForm(batch=one, first=kept.first_rows(one)),
                "preview": batches.preview(one),
                "unmatched": unmatched(one.header, one.columns),
            }
    except kept.Unkept as unkept:
        context["unkept"] = unkept.sentence
    return render(request, "records/batch.html", context, status=422 if wrong else 200)


@require_POST
@owner_only
def match(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say which column holds what, and begin."""
    one = get_object_or_404(Batch, pk=pk)
    try:
        form = MatchForm(request.POST, batch=one, words=batches.outcome_words(one))
    except kept.Unkept:
        return redirect("records:batch", one.pk)
    known, begins = one.columns.get("outcome"), "look" not in request.POST

    def matched(key: joint.Key) -> Batch:
        # another column has other words, which are asked about before anything comes in
        other = form.columns.get("outcome") != known
        return batches.match_columns(
            batch=one,
            columns=form.columns,
            words=None if other else form.words,
            by=request.user,
            begin=begins and not other,
            once_key=key,
        )

    return joint.answer(
        request,
        form,
        matched,
        then=reverse("records:batch", args=[one.pk]),
        said=lambda made: OTHER_WORDS if begins and made.columns.get("outcome") != known else "",
        page=lambda: _batch(request, one, form),
    )


@require_POST
@owner_only
def header(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take another row of the sheet for the headings."""
    one = get_object_or_404(Batch, pk=pk)
    try:
        form = HeaderForm(request.POST, batch=one, first=kept.first_rows(one))
    except kept.Unkept:
        return redirect("records:batch", one.pk)
    return joint.answer(
        request,
        form,
        lambda key: kept.choose_header(
            batch=one, row=form.cleaned_data["row"], by=request.user, once_key=key
        ),
        then=reverse("records:batch", args=[one.pk]),
        page=lambda: _batch(request, one, header_form=form),
    )


@require_POST
@owner_only
def go_on(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Have a list that was stopped, or broke, go on."""
    one, form = get_object_or_404(Batch, pk=pk), PlainForm(request.POST)
    back = reverse("records:batch", args=[one.pk])
    return joint.answer(
        request,
        form,
        lambda key: batches.ask_to_bring_in(batch=one, by=request.user, once_key=key),
        then=back,
        page=lambda: joint.sent_back(request, form, back),
    )


@require_POST
@owner_only
def undo(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a batch back."""
    one = get_object_or_404(Batch, pk=pk)
    try:
        count = batches.take_back(batch=one, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, f"{count:,} jobs were taken back.")
    return redirect("records:batch", one.pk)


@require_POST
@owner_only
def throw_away(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Delete a list that was read, and from which nothing came in."""
    one = get_object_or_404(Batch, pk=pk)
    try:
        kept.throw_away(batch=one, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("records:batch", one.pk)
    messages.success(request, "The list was discarded.")
    return redirect("records:books")


@require_safe
@owner_only
def errors(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The rows that were not taken, with the sentence why, to be put right and brought in again."""
    one = get_object_or_404(Batch, pk=pk)
    wrong = dict(one.outcomes.exclude(sentence="").values_list("number", "sentence"))
    rows = ((number, wrong[number], *cells) for number, cells in kept.readable_rows(one) if number in wrong)
    told = lines(("row", "why not", *one.header), rows, delimiter=delimiter())
    return _csv(told, f"not-taken-{one.pk}")


@require_safe
@owner_only
def sheet(request: StaffRequest, name: str) -> HttpResponseBase:
    """A list as CSV; of jobs, the ones that the filters in the address leave."""
    one = SHEETS.get(name)
    if one is None:
        return redirect("records:books")
    told = lines(one.header, one.rows(filters_from(request.GET)), delimiter=delimiter())
    return _csv(told, f"{name}-{clock.today().isoformat()}")


@require_safe
@owner_only
def found(request: StaffRequest) -> HttpResponseBase:
    """All that a search finds, newest first, as CSV."""
    question = ask(asking_from(request.GET)).question
    told = lines(SHEETS["jobs"].header, job_cells(all_found(question.asked)), delimiter=delimiter())
    return _csv(told, f"found-{clock.today().isoformat()}")


@require_safe
@owner_only
def open_repair(request: StaffRequest) -> HttpResponseBase:
    """The history in the Open Repair Data Standard, personal data removed."""
    try:
        return _csv(open_repair_lines(), f"open-repair-{clock.today().isoformat()}")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("records:books")


@require_POST
@owner_only
def whole_book(request: StaffRequest) -> HttpResponseBase:
    """Have everything written into one zip file."""
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: long_work.ask_to_take_out(by=request.user, once_key=key),
        then=reverse("premises:tasks"),
        said="The book is being written into a file; it stands here when it is done.",
        page=lambda: joint.sent_back(request, form, reverse("records:books")),
    )


@require_safe
@owner_only
def fetch_book(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The file that a task wrote."""
    task = get_object_or_404(Task, pk=pk, kind=long_work.TAKE_OUT, state=Task.State.DONE)
    path = long_work.taken_out(task)
    if not path.exists():
        messages.error(request, "That file was cleared away. Export the book again.")
        return redirect("records:books")
    name = f"book-{clock.day_of(task.asked_at).isoformat()}.zip"
    return FileResponse(path.open("rb"), as_attachment=True, filename=name, content_type="application/zip")


def _csv(content: Iterator[str], name: str) -> HttpResponseBase:
    return StreamingHttpResponse(
        _by_the_shops_customs(content),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )


def _by_the_shops_customs(pieces: Iterator[str]) -> Iterator[str]:
    """The same pieces, each made by the shop's clock and ways of writing: they are sent when the request is over."""
    shop = the_profile()
    while True:
        with customs_of(shop):
            piece = next(pieces, None)
        if piece is None:
            return
        yield piece
