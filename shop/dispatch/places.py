"""What dispatch hangs up in rooms below."""

from __future__ import annotations

import datetime as dt

from django.http import HttpRequest
from django.template.loader import render_to_string

from shop.counter.models import Job
from shop.dispatch import queries
from shop.frame import clock


def claim_deadline(request: HttpRequest, *, job: Job) -> str:
    """Where a box is opened and on the job at the counter: until when the carrier takes a claim."""
    inbound = job.inbound
    if inbound is None:
        return ""
    carrier = queries.carrier_of(inbound)
    days = carrier.claim_days if carrier is not None else None
    # a box that nobody noted as arrived arrives as it is opened
    by = queries.claim_by(inbound) or (clock.today() + dt.timedelta(days=days) if days else None)
    context = {"job": job, "inbound": inbound, "by": by, "days": days}
    return render_to_string("dispatch/places/claim.html", context, request)
