"""What a new shop still has to write down before its papers say what they should, and what each missing thing stops."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import Exists
from django.urls import reverse

from shop.frame import news
from shop.frame.joint import BACK
from shop.frame.models import ShopProfile, Staff
from shop.frame.profile import the_profile
from shop.keeping import mail
from shop.keeping.models import MailServer
from shop.office.models import LabourRate, TaxRule
from shop.premises.models import Terms

DONE_WITHOUT = "set-up:"
"""So begins the key under which an owner notes that the shop does without something."""


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is not written down yet, what happens without it, and the page where it is.

    `may_do_without` is the key by which an owner takes it off the card; empty where papers need it.
    """

    what: str
    without: str
    address: str
    may_do_without: str = ""


def still_missing(staff: Staff) -> list[Missing]:
    """What the owner has to see to, until everything is there or they do without it. Two queries."""
    if not staff.is_owner:
        return []
    there = (
        Staff.objects.filter(pk=staff.pk)
        .annotate(
            rates=Exists(LabourRate.objects.all()),
            taxes=Exists(TaxRule.objects.all()),
            terms=Exists(Terms.objects.all()),
            mail=Exists(MailServer.objects.all()),
        )
        .values("rates", "taxes", "terms", "mail")
        .get()
    )
    shop, home = the_profile(), reverse("records:first_screen")
    asks_number = bool(shop.law.cited("16 CCR 2725"))
    wanted = (
        (there["rates"], "Hourly rates", "Until then hours cost nothing.", "office:rates", ""),
        (
            there["taxes"],
            "Taxes",
            "Until then nothing is taxed, and invoices say so.",
            "office:taxes",
            "",
        ),
        (
            _letterhead(shop),
            "Letterhead",
            "Until then nobody can ring or write to the shop from its papers.",
            "premises:profile",
            "letterhead",
        ),
        (
            shop.registration_number or not asks_number,
            "Registration number",
            "Until then claim checks and invoices lack it (16 CCR 2725).",
            "premises:profile",
            "",
        ),
        (there["terms"], "Terms", "Until then papers carry none.", "premises:terms", "terms"),
        (
            shop.web_address,
            "Web address",
            "Until then a camera opens nothing from a tag.",
            "premises:profile",
            "web",
        ),
        (
            there["mail"] or not mail.hangs_on_the_page(),
            "Mail settings",
            "Until then letters wait in the outbox.",
            "premises:mail",
            "mail",
        ),
    )
    missing = [
        Missing(
            what,
            without,
            f"{reverse(door)}?{urlencode({BACK: home})}",
            f"{DONE_WITHOUT}{spared}" if spared else "",
        )
        for done, what, without, door, spared in wanted
        if not done
    ]
    return [one for one in missing if one.may_do_without not in news.seen_by(staff)]


def _letterhead(shop: ShopProfile) -> bool:
    return bool(shop.phone and shop.email)
