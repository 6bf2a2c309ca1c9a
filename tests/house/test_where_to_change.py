"""What is told in one place is changed in one place: something new is declared, and the shop's pages go by it."""

from __future__ import annotations

import datetime as dt

import pytest

from shop.counter.papers import law_notices
from shop.frame.models import ShopProfile
from shop.handbook import law
from shop.handbook.law import LawProfile, Paper, Requirement
from shop.opening.country import customs_of
from shop.premises.forms.shop import ProfileForm
from tests.factories.premises import ShopProfileFactory

pytestmark = pytest.mark.django_db

FREEDONIA = LawProfile(
    "freedonia",
    "Freedonia",
    dt.date(2026, 11, 25),
    (Requirement("invented", Paper.CLAIM_CHECK, "Repairs Act § 7", "a notice", text="As § 7 asks."),),
    countries=frozenset({"FJ"}),
)
"""An invented law of an invented country, under a code that no other profile has."""


def test_a_new_law_is_offered_kept_and_printed_from_its_own_declaration(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(law.PROFILES, FREEDONIA.key, FREEDONIA)
    profile = ShopProfileFactory(law_profile=FREEDONIA.key)
    profile.full_clean()
    assert "Freedonia" in str(ProfileForm()["law_profile"])
    assert customs_of("FJ", dt.date(2026, 11, 25)).law_profile == "freedonia"
    assert ShopProfile.objects.get().law is FREEDONIA
    (notice,) = law_notices(Paper.CLAIM_CHECK, on=dt.date(2026, 11, 25))
    assert notice.text == "As § 7 asks."
