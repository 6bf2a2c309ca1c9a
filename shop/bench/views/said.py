"""What was said: its cards while the words arrive, and the page on which they are taken or dropped."""

from __future__ import annotations

from django.db.models import Case, QuerySet, Value, When
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions
from shop.bench.models import Heard, Said
from shop.bench.page import BenchPage
from shop.bench.saying import TakeForm, cards_of, digest_of, proposal_of
from shop.bench.saying.cards import Numbered
from shop.bench.views.talks import talk_facts
from shop.bench.views.writing import at_the_bench, page_of_its_own, posted, take_form, taken_well
from shop.frame.doors import StaffRequest
from shop.handbook.spoken import LONGEST_LINE, Kind, read_line

IN_A_TALK = (*(kind for kind in Kind if kind != Kind.FINDING), Kind.FINDING)
"""In which order the kinds of a talk are shown."""
BY_KIND = Case(
    *(When(kind=kind, then=Value(at)) for at, kind in enumerate(IN_A_TALK)), default=Value(len(IN_A_TALK))
)
AT_ONCE = 40
"""Cards on the page of a talk; the next ones come when these are decided."""


@require_POST
@at_the_bench
def hear(request: StaffRequest, number: str) -> HttpResponse:
    """The cards of words that are still being said; nothing is written. Posted, because words may be long and are no address."""
    page = BenchPage.of(number, request.user)
    text = request.POST.get("text", "")[:LONGEST_LINE]
    proposals = read_line(text) if text.strip() else []
    cards = cards_of(page, [Numbered(at, one) for at, one in enumerate(proposals)])
    context = {"cards": cards, "seen": digest_of(proposals) if proposals else "", "said": bool(text.strip())}
    return render(request, "bench/parts/cards.html", context)


def waiting(words: Said) -> QuerySet[Heard]:
    """What still waits: a sentence in its order, a talk by kind, with what is mere talk at the end."""
    still = words.heard.filter(taking__isnull=True, dropped_at__isnull=True)
    return still.order_by(BY_KIND, "number") if words.timed else still.order_by("number")


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def said(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """What was said, whole, with the cards that still wait."""
    page = BenchPage.of(number, request.user)
    words = get_object_or_404(Said.objects.select_related("by"), pk=pk, job=page.job)
    still = waiting(words)
    heard = [
        Numbered(one.number, proposal_of(one), one.seconds, words.by_ear, words.timed)
        for one in still[:AT_ONCE]
    ]
    form = TakeForm(posted(request), job=page.job, page=page, heard=heard, auto_id="said-%s")
    if take_form(
        request,
        page,
        form,
        lambda form, stamp: actions.decide(
            said=words, decided=form.decided(), by=stamp["by"], entry=stamp["entry"], at=stamp["at"]
        ),
    ):
        return taken_well(request, page, said="Taken.", then=request.path if words.timed else "")
    if not words.timed:
        return page_of_its_own(request, "bench/said.html", page, form, words=words)
    facts = talk_facts(words) | {"left": still.count()}
    return page_of_its_own(request, "bench/talk.html", page, form, words=words, **facts)
