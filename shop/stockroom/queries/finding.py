"""Finding a part: by its value however it is written, by a number of anybody's, or by words."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from shop.handbook.words import fold
from shop.stockroom.marking import Asked, asked_values, key_of, typed_words, watts_in
from shop.stockroom.models import Part

LONGEST_NUMBER = 40

PAGE = 50
NEARLY = 1e-9
"""Two values closer than this share of each other are one: the sort column is a binary float."""


@dataclass(frozen=True, slots=True)
class PartsPage:
    """Some parts by number, and the numbers to go on from in either direction (empty where there is nothing more)."""

    parts: list[Part]
    before: str = ""
    after: str = ""


def whole_parts() -> QuerySet[Part]:
    """Parts with everything a line shows of one."""
    return Part.objects.select_related("level", "preferred_supplier")


def find_parts(typed: str, *, drawer: str = "", retired: bool = False) -> QuerySet[Part]:
    """Parts that what was typed may mean: a value, alone or among words, or words and numbers.

    A rating that is typed is the least that will do: `4k7 0.25W` finds one of 0.5 W too, and one whose rating nobody wrote
    down, but none of 0.1 W. A tolerance typed is the widest that will do.
    """
    parts = whole_parts().filter(retired_at__isnull=not retired)
    if drawer:
        parts = parts.filter(drawer=drawer)
    words = typed_words(typed)
    if not words:
        return parts
    asked = list(asked_values(typed))
    met = Q() if any(one.is_sure for one in asked) else _by_words(words)
    for one in asked:
        met |= _by_value(one)
    return parts.filter(met)


def part_numbered(number: str) -> Part | None:
    """The part with exactly that number, as a scanner reads it off a drawer's label."""
    number = number.strip()
    # SQLite compares no pattern of more than 50,000 signs, and no number is that long
    return whole_parts().filter(number__iexact=number).first() if 0 < len(number) <= LONGEST_NUMBER else None


def parts_page(
    typed: str = "",
    *,
    drawer: str = "",
    retired: bool = False,
    after: str = "",
    before: str = "",
    most: int = 0,
) -> PartsPage:
    """One page of the parts that are meant, by number, from just behind `after` or just before `before`.

    `most`: so many on one page, to be put into another order.
    """
    found = find_parts(typed, drawer=drawer, retired=retired)
    if most:
        return PartsPage(list(found.order_by("number")[:most]))
    if before:
        rows = list(found.filter(number__lt=before).order_by("-number")[: PAGE + 1])
        shown = rows[:PAGE][::-1]
        return PartsPage(
            shown, before=shown[0].number if len(rows) > PAGE else "", after=shown[-1].number if shown else ""
        )
    rows = list((found.filter(number__gt=after) if after else found).order_by("number")[: PAGE + 1])
    shown = rows[:PAGE]
    more = shown[-1].number if len(rows) > PAGE else ""
    return PartsPage(shown, before=shown[0].number if after and shown else "", after=more)


def drawers() -> list[str]:
    """The drawers that parts lie in, in order; at most 500."""
    known = Part.objects.filter(retired_at=None).exclude(drawer="").order_by("drawer")
    return list(known.values_list("drawer", flat=True).distinct()[:500])


def parts_in(drawer: str, *, limit: int = 200) -> list[Part]:
    """What lies in a drawer, by number."""
    return list(whole_parts().filter(retired_at=None, drawer=drawer).order_by("number")[:limit])


def _by_words(words: list[str] | tuple[str, ...]) -> Q:
    """Every word stands somewhere on the part, with or without its punctuation; watts are the least that will do."""
    met = Q()
    for word in words:
        folded, key = fold(word).strip(",;:()"), key_of(word)
        one = Q(words__contains=folded) if folded else Q()
        if key and key != folded:
            one |= Q(words__contains=key)
        if watts := watts_in(word):
            one |= Q(rated_watts__gte=watts * (1 - NEARLY))
        met &= one
    return met


def _by_value(asked: Asked) -> Q:
    marking, size = asked.marking, float(asked.marking.value)
    within = abs(size) * NEARLY
    met = Q(quantity_kind=marking.kind, value_sort__range=(size - within, size + within))
    for unit, column in (("V", "rated_volts"), ("W", "rated_watts"), ("A", "rated_amperes")):
        if (least := marking.rated(unit)) is not None:
            met &= Q(**{f"{column}__isnull": True}) | Q(**{f"{column}__gte": least * (1 - NEARLY)})
    if (widest := marking.tolerance_percent) is not None:
        met &= Q(tolerance_percent__isnull=True) | Q(tolerance_percent__lte=widest * (1 + NEARLY))
    return met & _by_words(asked.words)
