"""Tags of the bench: sections by name, verdicts as marks, and the words of judgements."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

from django import template
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from shop.frame import spelling
from shop.frame.models import Staff
from shop.frame.templatetags.house import verdict
from shop.handbook.isolation import Role
from shop.handbook.money import UnitPrice
from shop.handbook.spoken import moment

register = template.Library()

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
def section_template(name: str) -> str:
    """The template of a section of what is written on a job."""
    return f"bench/record/{name}.html"


@register.filter
def as_moment(seconds: Decimal) -> str:
    """A moment of a recording, such as 1:05."""
    return moment(seconds)


@register.filter
def mark(kept: str) -> str:
    """A reading's verdict as the mark of the look."""
    return MARKS.get(kept, kept)


@register.simple_tag
def other_roles(reading: int, role: Role) -> SafeString:
    """The buttons that say what else the place of a reading is.

    Made once for each role and not by a template: on a long record they were half of what the bench page costs.
    """
    return SafeString(_other_roles(role).format(int(reading)))


@cache
def _other_roles(role: Role) -> SafeString:
    """The buttons, with a gap for the reading."""
    button = (
        '<button class="button button-quiet" type="submit" form="role" name="as" value="{}:{}">{}</button>'
    )
    return format_html_join(
        "", button, (("{0}", other.value, other.label) for other in Role if other != role)
    )


@register.filter
def unit_price(ten_thousandths: int | None, currency: str) -> str:
    """A price each, with its currency's sign; where nobody has said one yet, that."""
    if ten_thousandths is None:
        return "not priced"
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
