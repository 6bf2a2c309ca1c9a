"""Tags of the house: icons, stamps, verdict marks, the room tabs and doors that may not be hung yet."""

from __future__ import annotations

import uuid
from functools import lru_cache

from django import template
from django.conf import settings
from django.forms.utils import flatatt
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.frame import joint, places, spelling
from shop.frame.profile import the_profile
from shop.frame.rooms import open_door, rooms_for
from shop.frame.sorting import Order
from shop.frame.themes import THEME_COOKIE, THEMES
from shop.frame.whose_move import WhoseMove

register = template.Library()

# How values are written for a person: {{ seconds|hours }}, {{ minor|money:"USD" }}, {{ reading.value|engineering:"V" }}.
for writing in (
    spelling.money,
    spelling.amount,
    spelling.hours,
    spelling.quantity,
    spelling.percent,
    spelling.engineering,
    spelling.day,
    spelling.short_day,
    spelling.days_spelled,
    spelling.weekday,
    spelling.month,
    spelling.year,
    spelling.moment,
    spelling.since,
    spelling.ago,
    spelling.file_size,
    spelling.sentence,
):
    register.filter(writing.__name__, writing)

FIRST_SCREEN = "records:first_screen"

# Verdict of a reading: icon and word.
VERDICTS = {
    "within": ("check", "within"),
    "low": ("arrow-down", "low"),
    "high": ("arrow-up", "high"),
    "open": ("unlink", "open"),
    "short": ("zap", "short"),
    "close": ("circle-alert", "too close"),
    "none": ("minus", "no limits"),
}


@register.simple_tag
def icon(name: str, label: str = "", size: str = "") -> SafeString:
    """Return one picture of `static/icons/sprite.svg`; without a `label` it is decoration and hidden from readers.

    `size` "large" makes it 1.75 times the text's height.
    """
    return _drawn(name, label, "icon icon-large" if size == "large" else "icon", static("icons/sprite.svg"))


@lru_cache(maxsize=512)
def _drawn(name: str, label: str, css: str, address: str) -> SafeString:
    if label:
        return format_html(
            '<svg class="{}" role="img" aria-label="{}"><use href="{}#{}"/></svg>', css, label, address, name
        )
    return format_html('<svg class="{}" aria-hidden="true"><use href="{}#{}"/></svg>', css, address, name)


@register.inclusion_tag("parts/stage_stamp.html")
def stage_stamp(stage: str, move: str, *, large: bool = False, note: str = "") -> dict[str, object]:
    """Stamp a job with its stage (as a person reads it) in the ink of whose move it is.

    `move` is bench, customer, supplier, carrier or nobody. `large` is the one at the head of a job; its second
    line is `note` or whose move it is.
    """
    return {"stage": stage, "move": WhoseMove(move or WhoseMove.NOBODY), "large": large, "note": note}


@register.simple_tag
def attributes(attrs: dict[str, object]) -> SafeString:
    """The attributes of a control. Django's own template walks them one by one, a hundred controls to a bench page."""
    return flatatt(attrs)


@register.simple_tag
def once() -> SafeString:
    """The hidden key of a form that is a button and no more: each has its own, so that no two acts are taken for one."""
    return format_html('<input type="hidden" name="once" value="{}">', uuid.uuid4())


@register.simple_tag
def verdict(mark: str, words: str = "") -> SafeString:
    """Mark a reading: within, low, high, open, short, close or none; `words` replaces the usual word."""
    shown = mark if mark in VERDICTS else "none"
    picture, usual = VERDICTS[shown]
    # drawn here and not by a template: a bench page has dozens, and each costs a tenth of a millisecond less
    return format_html('<span class="verdict verdict-{}">{}{}</span>', shown, icon(picture), words or usual)


@register.simple_tag
def sort_head(order: Order[object], column: str, words: str, css: str = "") -> SafeString:
    """The head of a column that sorts the list by it; a second touch turns the order round."""
    stands = order.stands(column)
    arrow = icon("arrow-down" if stands == "descending" else "arrow-up") if stands else ""
    return format_html(
        '<th scope="col"{}{}><a href="{}">{}{}</a></th>',
        format_html(' class="{}"', css) if css else "",
        format_html(' aria-sort="{}"', stands) if stands else "",
        order.address(column),
        words,
        arrow,
    )


@register.simple_tag
def door(name: str, *args: object) -> str:
    """Return the address a URL name leads to, or nothing when that page does not exist."""
    return open_door(name, *args)


@register.inclusion_tag("parts/rooms.html", takes_context=True)
def rooms(context: template.Context) -> dict[str, object]:
    """Draw the room tabs of whoever is signed in, the present room marked."""
    request = context["request"]
    match = request.resolver_match
    # The first screen belongs to no room: it shows the whole shop.
    here = "" if match is None or match.view_name == FIRST_SCREEN else match.namespace
    return {"rooms": rooms_for(request.user), "here": here}


@register.simple_tag(takes_context=True)
def way_back(context: template.Context) -> SafeString:
    """Carry in a form where its person came from, so that it leads back there: `{% way_back %}`."""
    back = joint.came_from(context["request"])
    return (
        format_html('<input type="hidden" name="{}" value="{}">', joint.BACK, back)
        if back
        else SafeString("")
    )


@register.simple_tag(takes_context=True)
def place(context: template.Context, name: str, **facts: object) -> SafeString:
    """Leave a place in this page for the rooms above to fill: `{% place "unit-known" unit=unit %}`."""
    return places.filled(name, context["request"], **facts)


@register.simple_tag
def shop_name() -> str:
    """Return the shop's name as its profile has it; the program's name before there is one."""
    return the_profile().name


@register.simple_tag
def demo() -> bool:
    """Return True in the demo shop, which says so on every page."""
    return bool(settings.DEMO)


def _theme(context: template.Context) -> str:
    request = context.get("request")
    chosen = request.COOKIES.get(THEME_COOKIE, "") if request is not None else ""
    return chosen if chosen in THEMES else "auto"


@register.simple_tag(takes_context=True)
def theme_attribute(context: template.Context) -> SafeString:
    """Return ` data-theme="…"` for the html element where day or night has been chosen, else nothing."""
    chosen = _theme(context)
    return SafeString("") if chosen == "auto" else format_html(' data-theme="{}"', chosen)


@register.simple_tag(takes_context=True)
def theme_is(context: template.Context, theme: str) -> str:
    """Return "true" when `theme` is the chosen one, else "false": the value of `aria-pressed`."""
    return "true" if _theme(context) == theme else "false"
