"""What is asked of the second step."""

from __future__ import annotations

import base64
from urllib.parse import quote, urlencode

from django.db.models import Exists, OuterRef, QuerySet
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.frame.models import Role, Staff
from shop.frame.profile import the_profile
from shop.premises.second_step import CODE_DIGITS


def apps_of(staff: Staff) -> QuerySet[TOTPDevice]:
    """The apps that make codes for somebody; one, or none."""
    devices: QuerySet[TOTPDevice] = TOTPDevice.objects.filter(user=staff, confirmed=True)
    return devices


def is_set_up(staff: Staff) -> bool:
    """Whether somebody is asked for a code after the password."""
    return apps_of(staff).exists()


def is_required_of(staff: Staff) -> bool:
    """Whether the shop requires the second step of somebody, by any of their roles."""
    needed = the_profile().roles_with_second_step
    return bool(needed) and ((Role.OWNER in needed and staff.is_owner) or not needed.isdisjoint(staff.roles))


def spare_codes_left(staff: Staff) -> int:
    """How many spare codes somebody has not used yet."""
    return int(StaticToken.objects.filter(device__user=staff).count())


def with_second_step(people: QuerySet[Staff]) -> QuerySet[Staff]:
    """The same people, each with `second_step`: whether a code is asked of them."""
    theirs = TOTPDevice.objects.filter(user=OuterRef("pk"), confirmed=True)
    return people.annotate(second_step=Exists(theirs))


def key_in_letters(key: str) -> str:
    """A key, given in hex, as one types it into an app: base32 in groups of four."""
    letters = base64.b32encode(bytes.fromhex(key)).decode("ascii").rstrip("=")
    return " ".join(letters[at : at + 4] for at in range(0, len(letters), 4))


def key_address(staff: Staff, key: str) -> str:
    """What the QR code says to an app: the key with the shop's and the person's name (the otpauth URI that such apps read)."""
    issuer = the_profile().name.replace(":", " ")
    facts = {"secret": key_in_letters(key).replace(" ", ""), "issuer": issuer, "digits": CODE_DIGITS}
    label = quote(f"{issuer}:{staff.username}", safe="")
    return f"otpauth://totp/{label}?{urlencode(facts, quote_via=quote)}"
