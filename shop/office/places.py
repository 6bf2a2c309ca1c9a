"""What the office hangs up in rooms below."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string

from shop.bench.models import Finding
from shop.counter.models import Customer, Job
from shop.frame import clock
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.office import queries
from shop.office.distance import contract_of, distance_law
from shop.office.models import Authorisation
from shop.office.queries.used_up import standing_of, used_up
from shop.stockroom.models import PartFitted


def account_of_customer(request: HttpRequest, *, customer: Customer, **_: object) -> str:
    """On a customer's page: what is open, and the way to the account."""
    user: Any = request.user
    if customer.is_shop or not user.has_role(Role.COUNTER):
        return ""
    unpaid = list(queries.open_invoices().filter(customer=customer).order_by("due_date", "id")[:20])
    context = {
        "customer": customer,
        "unpaid": unpaid,
        "lying": queries.lying_with(customer, the_profile().currency),
    }
    return render_to_string("office/places/account.html", context, request=request)


def asked_at_dispatch(request: HttpRequest, *, job: Job, **_: object) -> str:
    """Where a unit leaves: what the customer asked with the yes, such as to keep the old parts for them."""
    if job.customer.is_shop:
        return ""
    (standing,) = used_up([job])
    return render_to_string(
        "office/places/conditions.html", {"job": job, "standing": standing}, request=request
    )


def used_up_at_the_bench(request: HttpRequest, *, job: Job, **_: object) -> str:
    """Beside the bench page, once it has come: what is agreed is nearly gone."""
    if job.customer.is_shop:
        return ""
    (standing,) = used_up([job])
    return render_to_string("office/places/used_up.html", {"job": job, "standing": standing}, request=request)


def agreed_at_the_bench(request: HttpRequest, *, job: Job, findings: Iterable[Finding] = ()) -> str:
    """On the bench page of a job: what is agreed and under which conditions, and what was found beyond it."""
    if job.customer.is_shop:
        return ""
    given = Authorisation.objects.filter(job=job).select_related("estimate").order_by("at", "id")
    standing = standing_of(job, list(given), findings)
    said_no = standing.answers[-1] if queries.is_last_no(job, standing.answers) else None
    context = {
        "job": job,
        "agreed": queries.agreed_on(job, standing.answers),
        "standing": standing,
        "said_no": said_no,
        # nothing is asked where nobody said no
        "fitted_all_the_same": _fitted_since(said_no) if said_no else [],
        "law": the_profile().law,
        **_waiting(job),
    }
    return render_to_string("office/places/agreed.html", context, request=request)


def _fitted_since(said_no: Authorisation) -> list[PartFitted]:
    """What was taken for the job after the customer's no: nobody has agreed to it."""
    return list(
        PartFitted.objects.filter(
            job=said_no.job_id, at__gt=said_no.at, struck_at=None, under_warranty=False
        ).order_by("id")[:4]
    )


def _waiting(job: Job) -> dict[str, object]:
    """The contract that work has to wait for, where it was concluded at a distance and nobody asked to begin."""
    if (law := distance_law(job)) is None:
        return {}
    contract = contract_of(job, law=law)
    return {"waits_for": contract if contract and contract.must_wait(clock.today()) else None}
