"""One person's data handed out or forgotten, and two things that are one merged. For the owner."""

from __future__ import annotations

from typing import Any, cast

from django.contrib import messages
from django.db.models import Model
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.counter.keys import serial_key
from shop.counter.models import Customer, Unit
from shop.counter.queries import find_customers, find_models
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm, whole_number
from shop.frame.models import Role
from shop.frame.refusal import Refusal
from shop.records import forgetting, merging, personal
from shop.records.forms import ForgetForm
from shop.records.models import Merge

owner_only = for_roles(Role.OWNER)
SHOWN = 20


@require_POST
@owner_only
def data(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Everything held on a customer, as one file."""
    customer = get_object_or_404(Customer, pk=pk)
    file = personal.data_file(customer=customer, by=request.user)
    return FileResponse(
        file,
        as_attachment=True,
        filename=f"customer-{pk}.zip",
        content_type="application/zip",
        headers={"Cache-Control": "private, no-store"},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
def forget(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say what goes and what stays, and forget a customer once their name is typed."""
    customer = get_object_or_404(Customer, pk=pk)
    held_back = forgetting.holds_back(customer)
    places = [] if held_back else forgetting.named_in_other_texts(customer)
    form = ForgetForm(request.POST or None, name=customer.name, places=places)

    def page() -> HttpResponse:
        context = {"customer": customer, "form": form, "held_back": held_back, "places": places}
        return render(request, "records/forget.html", context, status=422 if form.is_bound else 200)

    return joint.answer(
        request,
        form,
        lambda key: forgetting.forget(
            customer=customer,
            by=request.user,
            elsewhere=form.cleaned_data.get("elsewhere", ()),
            once_key=key,
        ),
        then=reverse("counter:customers"),
        said="Forgotten.",
        page=page,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
def merge(request: StaffRequest, kind: str, pk: int) -> HttpResponseBase:
    """Find the other one, and say which of the two stays."""
    if kind not in merging.KINDS:
        raise Http404
    model = merging.KINDS[kind].model
    this = cast("merging.Thing", get_object_or_404(model, pk=pk))
    if request.method == "POST":
        typed = request.POST.get("other", "")
        other = cast("merging.Thing", get_object_or_404(model, pk=whole_number(typed)))
        keep_other = request.POST.get("keep") == "other"
        gone, kept = (this, other) if keep_other else (other, this)
        form = PlainForm(request.POST)
        return joint.answer(
            request,
            form,
            lambda key: merging.merge(kind=kind, gone=gone, kept=kept, by=request.user, once_key=key),
            then=reverse("records:merge", args=[kind, kept.pk]),
            said=f"{gone} is now part of {kept}.",
            page=lambda: _merge_page(request, kind, this, form, status=422),
        )
    return _merge_page(request, kind, this, PlainForm())


def _merge_page(
    request: StaffRequest, kind: str, this: Model, form: PlainForm, *, status: int = 200
) -> HttpResponse:
    typed = request.GET.get("other", "").strip()[:80]
    done = Merge.objects.filter(kind=kind, kept_id=this.pk, undone_at__isnull=True).select_related("by")
    gone = merging.KINDS[kind].named().in_bulk([one.gone_id for one in done])
    context = {
        "kind": kind,
        "label": Merge.Kind(kind).label.lower(),
        "this": this,
        "back": _page_of(kind, this),
        "moves": merging.KINDS[kind].says,
        "typed": typed,
        "found": [one for one in _others(kind, typed, this) if one.pk != this.pk],
        "done": [(one, gone.get(one.gone_id)) for one in done],
        "form": form,
    }
    return render(request, "records/merge.html", context, status=status)


def _page_of(kind: str, this: Model) -> str:
    """Where one comes from: the customer's page, the model file, the jobs of a unit."""
    if kind == Merge.Kind.CUSTOMER:
        return reverse("counter:customer", args=[this.pk])
    if kind == Merge.Kind.MODEL:
        return reverse("records:model", args=[this.pk])
    return f"{reverse('records:search')}?unit={this.pk}"


def _others(kind: str, typed: str, this: Any) -> list[Any]:
    if kind == Merge.Kind.CUSTOMER:
        return find_customers(typed or this.name, limit=SHOWN)
    if kind == Merge.Kind.MODEL:
        return find_models(typed or this.name[:4], limit=SHOWN)
    units = Unit.objects.filter(model=this.model_id, merged_into__isnull=True).select_related(
        "model__maker", "owner"
    )
    if typed:
        units = units.filter(serial_folded__contains=serial_key(typed))
    return list(units.order_by("serial_folded", "pk")[:SHOWN])


@require_POST
@owner_only
def undo(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a merging back."""
    done = get_object_or_404(Merge, pk=pk)
    try:
        merging.undo_merge(done=done, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "They are two again.")
    return redirect(reverse("records:merge", args=[done.kind, done.kept_id]))
