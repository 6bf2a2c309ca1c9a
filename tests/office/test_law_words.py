"""Whose law is told to whom: California's to Californians, and instructions to the shop to nobody's customer.

Sources: California Civil Code 3052b(a), charges of at most $150 (california.public.law); Torts (Interference with Goods)
Act 1977, Schedule 1.
"""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.models import ShopProfile, Staff
from shop.handbook import law
from shop.keeping.papers import stored_bytes
from shop.office import actions
from shop.office.models import Letter
from tests.factories.office import issued, item
from tests.office.reading import words

pytestmark = pytest.mark.django_db


STAFF_WORDS = (
    "first-class",
    "registered letter",
    "not confirmed",
    "as the notice",
    "name and address of the shop",
)


@pytest.mark.parametrize("profile", [law.CALIFORNIA, law.UNITED_KINGDOM, law.GENERAL])
@pytest.mark.parametrize("sum_owed", ["90.00", "150.00", "150.01"])
@pytest.mark.parametrize("kind", [Letter.Kind.COLLECT, Letter.Kind.SALE])
def test_a_customers_letter_prints_no_instructions_to_the_shop_and_no_law_above_its_sum(
    job: Job, owner: Staff, client: Client, profile: law.LawProfile, sum_owed: str, kind: str
) -> None:
    ShopProfile.objects.update(law_profile=profile.key)
    issued(job, [item(price=sum_owed)], by=owner)
    Job.objects.filter(pk=job.pk).update(stage=Stage.READY, outcome="repaired", ready_at=clock.now())
    job.refresh_from_db()
    sale_day = clock.today() + dt.timedelta(days=120)
    actions.note_left_here(job=job, sale_day=sale_day, sale_place="10 am, at the shop", by=owner)
    letter = actions.make_left_notice(job=job, kind=kind, by=owner)
    said = words(stored_bytes(letter.paper))
    assert not [one for one in STAFF_WORDS if one in said]
    small = profile is law.CALIFORNIA and kind == Letter.Kind.COLLECT and sum_owed != "150.01"
    assert ("3052b" in said) is small
    assert ("Civ. Code" in said) is (small or (profile is law.CALIFORNIA and kind == Letter.Kind.SALE))
    assert ("Torts" in said) is (profile is law.UNITED_KINGDOM)
    client.force_login(owner)
    page = client.get(reverse("office:left_here", args=[job.number])).content.decode()
    assert ("by registered letter" in page) is (profile is law.CALIFORNIA)


@pytest.mark.parametrize("profile", [one for one in law.PROFILES if one != "california"])
def test_californias_words_are_for_californians_alone(
    job: Job, owner: Staff, client: Client, profile: str
) -> None:
    """16 CCR 2721 to 2725, 18 CCR 1546, B&P 9844: the law of California."""
    ShopProfile.objects.update(law_profile=profile)
    client.force_login(owner)
    pages = ("office:office", "office:rules", "office:taxes", "office:law", "office:rates")
    addresses = [*(reverse(name) for name in pages), reverse("office:job", args=[job.number])]
    for address in addresses:
        page = client.get(address).content.decode()
        for word in ("California", "16 CCR", "18 CCR", "B&amp;P", "Civ. Code", "9844"):
            assert word not in page, (address, word)
    facts = {"from_date": str(clock.today()), "rounding": "tenths", "estimate_days": 30, "reminder_days": 7}
    assert client.post(reverse("office:rules"), facts).status_code == 303
