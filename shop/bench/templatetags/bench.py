"""Tags of the bench: panels by name, verdicts as marks, striking out, and the moves of a job."""

from __future__ import annotations

import re
from typing import Any

from django import template
from django.urls import reverse
from django.utils.safestring import SafeString

from shop.bench.forms import BenchForm
from shop.counter.models import Job
from shop.frame import spelling
from shop.frame.models import Staff
from shop.frame.templatetags.house import verdict
from shop.handbook.money import UnitPrice

register = template.Library()

PANELS = {
    "reading": "Reading",
    "finding": "Finding",
    "part": "Part fitted",
    "want": "Part to order",
    "evidence": "Trace of earlier work",
    "photos": "Take photographs",
    "conclusion": "Conclusion",
    "soak": "Soak test",
    "soak_check": "A look at the soak test",
    "soak_end": "End of the soak test",
    "ready": "Ready to go back",
}

# Verdicts that a column keeps under another word than their mark has.
MARKS = {"too_close": "close", "": "none"}

JUDGED = {
    "original": "can be original",
    "later": "fitted later",
    "older_stock": "older stock",
    "open": "open",
    "matched": "matches",
    "not_matched": "does not match",
}

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
def section_template(name: str) -> str:
    """The template of a section of what is written on a job."""
    return f"bench/record/{name}.html"


@register.filter
def mark(kept: str) -> str:
    """A reading's verdict as the mark of the look."""
    return MARKS.get(kept, kept)


@register.filter
def unit_price(ten_thousandths: int, currency: str) -> str:
    """A price each, with its currency's sign."""
    return spelling.money(UnitPrice(ten_thousandths, currency))


@register.simple_tag
def safety_verdict(outcome: str) -> SafeString:
    """Mark a test of the safety check: passed, failed, too close, not done."""
    return verdict(*SAFETY.get(outcome, ("none", "not done")))


@register.filter
def person(staff: Staff) -> str:
    """How a line names who wrote it."""
    return staff.get_full_name() or staff.username


@register.filter
def judged(judgement: str) -> str:
    """What a trace was judged to be, in words."""
    return JUDGED.get(judgement, judgement.replace("_", " "))


@register.filter
def set_word(outcome: str) -> str:
    """How a check of a matched set ended."""
    return {"pass": "matches", "fail": "does not match"}.get(outcome, "not known")


@register.filter
def page_anchor(page: str) -> str:
    """Where a PDF opens: `#page=12` for the first number in a page note, else nothing."""
    number = re.search(r"[0-9]{1,5}", page)
    return f"#page={number[0]}" if number else ""


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
