"""Tags of the bench: panels by name, verdicts as marks, striking out, and the moves of a job."""

from __future__ import annotations

from typing import Any

from django import template
from django.forms import Form
from django.urls import reverse

from shop.bench.forms import BenchForm, StrikeForm
from shop.bench.models import Written
from shop.counter.models import Job
from shop.handbook.money import UnitPrice
from shop.premises import spelling
from shop.premises.templatetags.house import verdict
from shop.stockroom.models import PartFitted

register = template.Library()

PANELS = {
    "reading": "Reading",
    "finding": "Finding",
    "part": "Part fitted",
    "want": "Part to order",
    "evidence": "Trace of earlier work",
    "photos": "Photographs",
    "conclusion": "Conclusion",
    "soak": "Soak test",
    "soak_check": "A look at the soak test",
    "soak_end": "End of the soak test",
    "ready": "Ready to go back",
}

# Verdicts that a column keeps under another word than their mark has.
MARKS = {"too_close": "close", "": "none"}

SAFETY = {"passed": ("within", "passed"), "failed": ("high", "failed"), "too_close": ("close", "too close")}


@register.filter
def panel_title(name: str) -> str:
    """The heading of a panel."""
    return PANELS.get(name, name)


@register.filter
def panel_address(name: str, job: Job) -> str:
    """Where a panel's form is sent."""
    return reverse(f"bench:{name}", args=[job.number])


@register.filter
def panel_template(name: str) -> str:
    """The template of a panel's fields."""
    return f"bench/panels/{name}.html"


@register.filter
def mark(kept: str) -> str:
    """A reading's verdict as the mark of the look."""
    return MARKS.get(kept, kept)


@register.filter
def unit_price(ten_thousandths: int, currency: str) -> str:
    """A price each, with its currency's sign."""
    return spelling.money(UnitPrice(ten_thousandths, currency))


@register.inclusion_tag("parts/verdict.html")
def safety_verdict(outcome: str) -> dict[str, str]:
    """Mark a test of the safety check: passed, failed, too close, not done."""
    return verdict(*SAFETY.get(outcome, ("none", "not done")))


@register.inclusion_tag("bench/parts/strike.html", takes_context=True)
def strike(context: template.Context, kind: str, line: Written | PartFitted) -> dict[str, Any]:
    """The form that strikes one line out, with its errors when this very one was refused."""
    name = f"strike-{kind}-{line.pk}"
    wrong: Form | None = context["forms"].get(name)
    form = wrong if wrong is not None else StrikeForm(auto_id=f"{name}-%s")
    return {
        "job": context["job"],
        "kind": kind,
        "line": line,
        "form": form,
        "csrf_token": context["csrf_token"],
    }


@register.inclusion_tag("bench/parts/move.html", takes_context=True)
def move(context: template.Context, name: str, words: str) -> dict[str, Any]:
    """A button that moves the job."""
    job = context["job"]
    return {
        "address": reverse(f"bench:{name}", args=[job.number]),
        "words": words,
        "form": BenchForm(job=job, auto_id=f"{name}-%s"),
        "csrf_token": context["csrf_token"],
    }
