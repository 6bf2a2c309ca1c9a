"""Searching the history, keeping searches, and teaching the search the shop's own words."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.models import Customer, Maker, Unit
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.handbook.words import TRADE_ROWS
from shop.records import actions
from shop.records.forms import SaveSearchForm, SynonymForm
from shop.records.library.elsewhere import MOST_OTHERS, SHOWN, elsewhere
from shop.records.models import SavedSearch, Synonym
from shop.records.searching.address import Address, asking_from
from shop.records.searching.answering import ask
from shop.records.searching.by_reading import jobs_reading_so
from shop.records.searching.model_notes import notes_saying
from shop.records.searching.upkeep import is_stale

RESULTS = "search-results"


@require_safe
def search(request: StaffRequest) -> HttpResponse:
    """One box and its filters; while typing, the results alone."""
    typing = request.headers.get("HX-Target") == RESULTS
    return _page(request, typing=typing)


def _page(request: StaffRequest, *, typing: bool = False, form: SaveSearchForm | None = None) -> HttpResponse:
    address = Address(request.GET)
    answer = ask(asking_from(request.GET, typing=typing))
    context = {"answer": answer, "address": address, "find": request.GET.get("q", "")}
    if typing:
        return render(request, "records/search/results.html", context)
    context |= {
        "elsewhere": elsewhere(answer, shown=MOST_OTHERS if "others" in request.GET else SHOWN),
        "noted": notes_saying(answer.question),
        "read_so": jobs_reading_so(answer.asking.text),
        "saved": list(SavedSearch.objects.filter(staff=request.user).order_by("name")),
        "form": form or SaveSearchForm(initial={"query": address.query}),
        "stale": is_stale(),
        "narrowed": _narrowed(request),
    }
    return render(request, "records/search.html", context, status=422 if form else 200)


def _narrowed(request: StaffRequest) -> list[tuple[str, str]]:
    """Filters that no row of chips shows: whose jobs, which unit, which maker; as (name in the address, words)."""
    filters = asking_from(request.GET).filters
    said: list[tuple[str, str]] = []
    for name, pk, model in (
        ("customer", filters.customer, Customer),
        ("unit", filters.unit, Unit),
        ("maker", filters.maker, Maker),
    ):
        if pk and (one := model.objects.filter(pk=pk).first()):
            said.append((name, f"{name}: {one}"))
    said += [("evidence", "earlier work found")] if filters.evidence else []
    said += [("comeback", "comebacks")] if filters.comeback else []
    said += [("stage", "still here" if filters.stage == "open" else "ended")] if filters.stage else []
    return said


@require_POST
def save_search(request: StaffRequest) -> HttpResponseBase:
    """Keep the search that the page shows."""
    form = SaveSearchForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.save_search(
            name=form.cleaned_data["name"],
            query=form.cleaned_data["query"],
            by=request.user,
            once_key=key,
        ),
        then=f"{reverse('records:search')}?{request.POST.get('query', '')}",
        said="Kept.",
        again="Kept.",
        page=lambda: _page(request, form=form),
    )


@require_POST
def forget_search(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Let one of one's own kept searches go."""
    actions.forget_search(saved=get_object_or_404(SavedSearch, pk=pk, staff=request.user), by=request.user)
    return redirect("records:search")


@require_http_methods(["GET", "HEAD", "POST"])
def synonyms(request: StaffRequest) -> HttpResponseBase:
    """The shop's own words, and the handbook's table for reading."""
    form = SynonymForm(request.POST or None)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_synonym(words=form.cleaned_data["words"], by=request.user, once_key=key),
        then=reverse("records:synonyms"),
        page=lambda: _synonyms_page(request, form),
    )


def _synonyms_page(
    request: StaffRequest, form: SynonymForm, wrong: tuple[int, SynonymForm] | None = None
) -> HttpResponse:
    rows = [
        (row, wrong[1] if wrong and wrong[0] == row.pk else _row_form(row))
        for row in Synonym.objects.order_by("words")[:200]
    ]
    context = {"form": form, "rows": rows, "trade": [", ".join(row) for row in TRADE_ROWS]}
    bad = form.is_bound or wrong is not None
    return render(request, "records/synonyms.html", context, status=422 if bad else 200)


def _row_form(row: Synonym) -> SynonymForm:
    return SynonymForm(initial={"words": row.words}, auto_id=f"row{row.pk}-%s")


@require_POST
def change_synonym(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put one row right, or take it back."""
    row = get_object_or_404(Synonym, pk=pk)
    if "drop" in request.POST:
        actions.drop_synonym(row=row, by=request.user)
        return redirect("records:synonyms")
    form = SynonymForm(request.POST, auto_id=f"row{pk}-%s")
    if form.is_valid():
        actions.change_synonym(row=row, words=form.cleaned_data["words"], by=request.user)
        return redirect("records:synonyms")
    return _synonyms_page(request, SynonymForm(), wrong=(pk, form))
