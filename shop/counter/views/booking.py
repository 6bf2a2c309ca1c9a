"""Booking in: first the customer, then the units, in one form that keeps everything until it is right."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter import actions, queries
from shop.counter.actions import Intake
from shop.counter.forms import MOST_UNITS, AnnouncementForm, ArrivalForm, ComingForm, IntakeForm
from shop.counter.models import Customer, Kind, UnitModel
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import whole_number
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal

at_the_counter = for_roles(Role.COUNTER)


@require_safe
@at_the_counter
def book_in(request: StaffRequest) -> HttpResponse:
    """The first step: whose unit is it? Typing a name, a phone number or part of either finds the customer."""
    who = request.GET.get("who", "").strip()
    context = {"who": who, "found": queries.find_customers(who), "expected": "expected" in request.GET}
    picking = request.headers.get("HX-Target") == "who-list"
    return render(request, "counter/parts/who_list.html" if picking else "counter/book_in.html", context)


@require_POST
@at_the_counter
def book_in_own(request: StaffRequest) -> HttpResponseBase:
    """The shop's own unit, or a donor: the shop itself is the customer."""
    return redirect("counter:book_in_for", actions.the_shop_itself(by=request.user).pk)


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_counter
def book_in_for(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The second step: one or several units of that customer, booked in in one go."""
    sheet = IntakeSheet(request, pk, arrival=ArrivalForm)
    return joint.answer(
        request,
        sheet,
        lambda key: actions.book_in(
            customer=sheet.customer,
            intakes=sheet.intakes(),
            how_it_came=sheet.arrival.cleaned_data["how_it_came"],
            address=sheet.arrival.address_typed(),
            by=request.user,
            once_key=key,
        )[-1],
        then=_booked,
        page=lambda: sheet.render("counter/book_in_for.html"),
    )


def _booked(pk: int) -> str:
    """The page of what came together with that job."""
    numbers = [("job", job.number) for job in queries.jobs_that_came_with(pk)]
    return f"{reverse('counter:booked')}?{urlencode(numbers)}"


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_counter
def announce_for(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The second step for units that come by parcel: announced now, booked in when the box is opened."""
    sheet = IntakeSheet(request, pk, arrival=AnnouncementForm)
    return joint.answer(
        request,
        sheet,
        lambda key: actions.announce(
            customer=sheet.customer,
            intakes=sheet.intakes(),
            carrier=sheet.arrival.cleaned_data["carrier"],
            tracking=sheet.arrival.cleaned_data["tracking"],
            address=sheet.arrival.address_typed(),
            by=request.user,
            once_key=key,
        ),
        then=reverse("counter:expected"),
        page=lambda: sheet.render("counter/announce_for.html"),
    )


@require_POST
@at_the_counter
def another_unit(request: StaffRequest, pk: int, way: str) -> HttpResponse:
    """Draw the same form with one unit more; nothing is saved."""
    arrival: type[ComingForm] = AnnouncementForm if way == "announce" else ArrivalForm
    sheet = IntakeSheet(request, pk, arrival=arrival, more=1)
    return sheet.render(
        "counter/announce_for.html" if way == "announce" else "counter/book_in_for.html", status=200
    )


@require_safe
@at_the_counter
def recognise(request: StaffRequest, pk: int) -> HttpResponse:
    """Whether the unit being chosen or typed was here before: asked while the form is filled in."""
    at = request.GET.get("unit", "")
    customer = get_object_or_404(Customer, pk=pk)
    known = whole_number(request.GET.get(f"u{at}-known", ""))
    chosen = queries.units_of(customer).filter(pk=known).first() if known is not None else None
    typed = {name: request.GET.get(f"u{at}-{name}", "") for name in ("maker", "model", "serial")}
    model = chosen.model if chosen else queries.model_like(typed["maker"], typed["model"])
    kind = request.GET.get(f"u{at}-kind", "")
    never_met = model is None and typed["model"].strip() != "" and kind in Kind.values
    context = {
        "customer": customer,
        "chosen": chosen,
        "units": [] if chosen else queries.units_like(**typed),
        "model": model,
        "met_first": UnitModel(kind=kind) if never_met else None,
        "complaint": request.GET.get(f"u{at}-complaint", ""),
    }
    return render(request, "counter/parts/recognised.html", context)


@require_safe
@at_the_counter
def model_names(request: StaffRequest) -> HttpResponse:
    """The model numbers that begin as typed, as options of the form's list."""
    at = request.GET.get("unit", "")
    maker, typed = request.GET.get(f"u{at}-maker", ""), request.GET.get(f"u{at}-model", "")
    return render(
        request,
        "counter/parts/model_names.html",
        {"models": queries.find_models(typed, maker=maker, limit=20)},
    )


@require_safe
@at_the_counter
def booked(request: StaffRequest) -> HttpResponse:
    """What was just booked in: claim check and tags to print, and the next step."""
    numbers = request.GET.getlist("job")[:MOST_UNITS]
    jobs = list(queries.whole_jobs().filter(number__in=numbers).order_by("id"))
    return render(request, "counter/booked.html", {"jobs": jobs})


class IntakeSheet:
    """The form of the second step: how they came, and a form for each unit under the prefix u0, u1, ..."""

    def __init__(self, request: StaffRequest, pk: int, *, arrival: type[ComingForm], more: int = 0) -> None:
        self.request = request
        self.customer = get_object_or_404(queries.known_customers(), pk=pk)
        posted = request.method == "POST"
        data, files = (request.POST, request.FILES) if posted else (None, None)
        count = min(_count(request) + more, MOST_UNITS) if posted else 1
        self.arrival = arrival(data, customer=self.customer)
        self.units: list[IntakeForm] = []
        for at in range(count):
            blank = more and at >= count - more
            self.units.append(
                IntakeForm(
                    None if blank else data, None if blank else files, prefix=f"u{at}", customer=self.customer
                )
            )

    def is_valid(self) -> bool:
        """Every part is looked at, so that all that is wrong is said at once."""
        return all([self.arrival.is_valid(), *(unit.is_valid() for unit in self.units)])

    @property
    def is_bound(self) -> bool:
        """Whether it was sent."""
        return self.arrival.is_bound

    @property
    def once_key(self) -> joint.Key:
        """The key of the sheet as a whole."""
        return self.arrival.once_key

    @property
    def key_sent(self) -> str:
        """The key as it was sent."""
        return self.arrival.key_sent

    def refuse(self, refusal: Refusal) -> None:
        """Show a refusal at the unit where there is but one, else above all."""
        (self.units[0] if len(self.units) == 1 else self.arrival).refuse(refusal)

    def intakes(self) -> list[Intake]:
        """What is written down of each unit."""
        return [unit.intake() for unit in self.units]

    def render(self, template: str, *, status: int | None = None) -> HttpResponse:
        """The page, with 422 when something is wrong."""
        wrong = self.arrival.is_bound and status is None
        context = {
            "customer": self.customer,
            "arrival": self.arrival,
            "units": self.units,
            "makers": queries.maker_names(),
            "currency": the_profile().currency,
            "full": len(self.units) >= MOST_UNITS,
        }
        return render(self.request, template, context, status=status or (422 if wrong else 200))


def _count(request: StaffRequest) -> int:
    typed = request.POST.get("count", "1")
    return max(1, min(whole_number(typed) or 1, MOST_UNITS))
