"""What goes back to a supplier, and donor units as a store of parts."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.models import Job, Unit
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.rooms import open_door
from shop.stockroom import actions, queries
from shop.stockroom.forms.returns import CreditForm, InsideForm, SendBackForm
from shop.stockroom.models import Part, PartFitted, PartSentBack, StillInside
from shop.stockroom.views.pages import asked, asked_id, in_the_stockroom, page

ORDERS, DONORS = "stockroom:orders", "stockroom:donors"


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_stockroom
def send_back(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A wrong, fake or dead part goes back: from its drawer, or from the job that it was fitted or kept for."""
    part = get_object_or_404(Part.objects.select_related("level"), pk=pk)
    fitted = PartFitted.objects.filter(pk=asked_id(request, "fitted") or 0, part=part, struck_at=None).first()
    job = fitted.job if fitted else Job.objects.filter(number=asked(request, "job")).first()
    form = SendBackForm(request.POST or None, part=part, fitted=fitted, job=job)
    back = open_door("bench:job", job.number) if job is not None else ""
    return joint.answer(
        request,
        form,
        lambda key: actions.send_back(
            part=part, fitted=fitted, job=job, **form.facts(), by=request.user, once_key=key
        ),
        then=back or reverse("stockroom:returns"),
        said=lambda sent: f"{sent} goes back to {sent.supplier}. A credit is owed.",
        page=lambda: page(
            request,
            "stockroom/send_back.html",
            {"part": part, "fitted": fitted, "job": job, "form": form, "back": back},
            tab=ORDERS,
            refused=form.is_bound,
        ),
    )


@require_safe
@in_the_stockroom
def returns(request: StaffRequest) -> HttpResponse:
    """What went back, and the credits that are owed."""
    return _returns_page(request)


@require_POST
@in_the_stockroom
def settle_credit(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The credit has come, or was refused."""
    sent = get_object_or_404(PartSentBack.objects.select_related("part"), pk=pk)
    form = CreditForm(request.POST, auto_id=f"credit-{pk}-%s")
    return joint.answer(
        request,
        form,
        lambda key: actions.settle_credit(
            sent=sent,
            credited_minor=form.cleaned_data["credited"],
            reference=form.cleaned_data["reference"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("stockroom:returns"),
        said="The credit is written down.",
        page=lambda: _returns_page(request, wrong=(pk, form)),
    )


def _returns_page(request: StaffRequest, *, wrong: tuple[int, CreditForm] | None = None) -> HttpResponse:
    def form_of(sent: PartSentBack) -> CreditForm:
        if wrong is not None and wrong[0] == sent.pk:
            return wrong[1]
        return CreditForm(auto_id=f"credit-{sent.pk}-%s", initial={"credited": sent.expected})

    context = {
        "owed": [(sent, form_of(sent)) for sent in queries.credits_owed()],
        "settled": queries.credits_settled(),
    }
    return page(request, "stockroom/returns.html", context, tab=ORDERS, refused=wrong is not None)


@require_safe
@in_the_stockroom
def donors(request: StaffRequest) -> HttpResponse:
    """Donor units: what was taken out of each, and what can still be had."""
    return _donors_page(request)


@require_POST
@in_the_stockroom
def note_inside(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Write down what can still be had from a donor unit."""
    donor, form = (
        get_object_or_404(queries.donor_units(), pk=pk),
        InsideForm(request.POST, auto_id=f"d{pk}-%s"),
    )
    return joint.answer(
        request,
        form,
        lambda key: actions.note_inside(
            donor=donor,
            description=form.cleaned_data["description"],
            quantity_thousandths=form.cleaned_data["quantity"],
            by=request.user,
            once_key=key,
        ),
        then=reverse(DONORS),
        said="Noted.",
        page=lambda: _donors_page(request, wrong=(pk, form)),
    )


@require_POST
@in_the_stockroom
def discard_inside(request: StaffRequest, pk: int) -> HttpResponseBase:
    """It can't be had from that unit any more."""
    inside, form = (
        get_object_or_404(StillInside.objects.select_related("donor"), pk=pk),
        PlainForm(request.POST),
    )
    return joint.answer(
        request,
        form,
        lambda key: actions.discard_inside(inside=inside, by=request.user, once_key=key),
        then=reverse(DONORS),
        said="Off the list.",
        page=lambda: joint.sent_back(request, form, reverse(DONORS)),
    )


def _donors_page(request: StaffRequest, *, wrong: tuple[int, InsideForm] | None = None) -> HttpResponse:
    def form_of(donor: Unit) -> InsideForm:
        if wrong is not None and wrong[0] == donor.pk:
            return wrong[1]
        return InsideForm(auto_id=f"d{donor.pk}-%s")

    rows = [(store, form_of(store.donor)) for store in queries.donor_stores()]
    return page(request, "stockroom/donors.html", {"rows": rows}, tab=DONORS, refused=wrong is not None)
