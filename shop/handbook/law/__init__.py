"""Law profiles: which lines, notices, periods and letters a place asks of a repair shop, each with its paragraph.

An aid: every profile says that the shop must check its local rules, and what wasn't confirmed says so.

Sources
    Named in the modules ``california``, ``united_states``, ``europe``, ``united_kingdom``, ``general``, ``unclaimed``
    and ``days``.
"""

from __future__ import annotations

from datetime import date

from shop.handbook.law.california import CALIFORNIA, ESTIMATE_STATEMENT
from shop.handbook.law.days import REPAIR_FORM_DAYS, form_stands_until, months_later, warranty_until
from shop.handbook.law.europe import EUROPEAN_UNION
from shop.handbook.law.general import GENERAL
from shop.handbook.law.terms import (
    CHECK_LOCALLY,
    NOT_CONFIRMED,
    Condition,
    Counted,
    Duty,
    Fact,
    Lack,
    LawProfile,
    Paper,
    Requirement,
    Retention,
)
from shop.handbook.law.unclaimed import ROUTES, Left, Step, Timeline, publication_days, storage_charge
from shop.handbook.law.united_kingdom import UNITED_KINGDOM
from shop.handbook.law.united_states import UNITED_STATES

NONE = LawProfile("none", "None", date(2026, 11, 25))
"""A shop that wants no law's lines: nothing is required, and the shop still checks what holds where it is."""

PROFILES: dict[str, LawProfile] = {
    profile.key: profile
    for profile in (CALIFORNIA, UNITED_STATES, EUROPEAN_UNION, UNITED_KINGDOM, GENERAL, NONE)
}
"""Every profile that a shop can choose, in the order in which it is asked."""


class UnknownProfile(ValueError):
    """A law profile that isn't in the handbook."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(f"There is no law profile “{key[:24]}”.")


def profile_named(key: str) -> LawProfile:
    """The profile with this key, such as ``california``; raises UnknownProfile."""
    try:
        return PROFILES[key]
    except KeyError:
        raise UnknownProfile(key) from None


def names() -> list[tuple[str, str]]:
    """Key and name of every profile, for choosing among them."""
    return [(profile.key, profile.name) for profile in PROFILES.values()]


def usual_in(country: str) -> LawProfile:
    """The profile that a shop in this country (ISO 3166 two-letter code) most likely goes by; GENERAL where none is its own."""
    return next((profile for profile in PROFILES.values() if country in profile.countries), GENERAL)


def timelines(profile: LawProfile, left: Left) -> tuple[Timeline, ...]:
    """Every way that the profile's law offers for a unit left behind, with its days."""
    return tuple(ROUTES[key](left) for key in profile.unclaimed)


__all__ = [
    "CALIFORNIA",
    "CHECK_LOCALLY",
    "ESTIMATE_STATEMENT",
    "EUROPEAN_UNION",
    "GENERAL",
    "NONE",
    "NOT_CONFIRMED",
    "PROFILES",
    "REPAIR_FORM_DAYS",
    "ROUTES",
    "UNITED_KINGDOM",
    "UNITED_STATES",
    "Condition",
    "Counted",
    "Duty",
    "Fact",
    "Lack",
    "LawProfile",
    "Left",
    "Paper",
    "Requirement",
    "Retention",
    "Step",
    "Timeline",
    "UnknownProfile",
    "form_stands_until",
    "months_later",
    "names",
    "profile_named",
    "publication_days",
    "storage_charge",
    "timelines",
    "usual_in",
    "warranty_until",
]
