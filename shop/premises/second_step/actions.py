"""What is done about the second step. Each is journalled; no entry holds a key or a code."""

from __future__ import annotations

import datetime as dt
import secrets
import uuid

from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.frame import clock, profile
from shop.frame.journal import acting
from shop.frame.models import Role, ShopProfile, Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.premises import signing_in
from shop.premises.second_step import CODE_DIGITS, SPARE_CODES, SPARE_DIGITS
from shop.premises.second_step.queries import apps_of, is_required_of, is_set_up

APP, SPARE = "app", "spare codes"


@keyless("proved")
def set_up(*, staff: Staff, key: str, code: str, password: str, at: dt.datetime | None = None) -> list[str]:
    """Have a code asked of `staff` after the password from now on; returns the spare codes, which are told this once.

    `key` is the key in hex that was shown to the app, `code` what the app makes of it. The password is hashed anew, which
    signs other devices out: a session from before the second step does not outlive it.
    """
    signing_in.prove(staff, password)
    with acting(by=staff, at=at) as act:
        if is_set_up(staff):
            raise Refusal("It is set up already. If you did not see your spare codes, have new ones made.")
        app = TOTPDevice.objects.create(user=staff, name=APP, key=key, digits=CODE_DIGITS)
        if not app.verify_token(code):
            raise Refusal(
                "The app’s code differs from ours. Take the next one; is the phone’s clock right?",
                field="code",
            )
        staff.set_password(password)
        staff.save(update_fields=["password"])
        act.record("staff.second_step_set_up", subject=staff)
        return _fresh_spare_codes(staff)


@keyless("proved")
def make_spare_codes(*, staff: Staff, password: str, at: dt.datetime | None = None) -> list[str]:
    """Ten other spare codes for `staff`; those of before open nothing any more."""
    signing_in.prove(staff, password)
    with acting(by=staff, at=at) as act:
        if not is_set_up(staff):
            raise Refusal("The second step is not set up.")
        act.record("staff.spare_codes_made", subject=staff)
        return _fresh_spare_codes(staff)


@keyless("proved")
def give_code(*, staff: Staff, code: str, at: dt.datetime | None = None) -> bool:
    """Whether the code is right. One of the app's opens once, and not after a later one; a spare code is then gone."""
    with acting(by=staff, at=at) as act:
        if len(code) == CODE_DIGITS:
            return any(_fits(app, code) for app in apps_of(staff).select_for_update())
        spare = StaticDevice.objects.select_for_update().filter(user=staff, confirmed=True)
        fits = any(device.verify_token(code) for device in spare)
        if fits:
            act.record("staff.spare_code_used", subject=staff)
        return fits


@keyless("proved")
def drop(*, staff: Staff, password: str, at: dt.datetime | None = None) -> None:
    """Somebody goes back to the password alone. Refused to an owner where the shop requires it of owners."""
    signing_in.prove(staff, password)
    with acting(by=staff, at=at) as act:
        if is_required_of(staff):
            raise Refusal(
                "This shop requires the second step of you; an owner can end that on the staff page first."
            )
        if _forget_devices(staff):
            act.record("staff.second_step_dropped", subject=staff)


def reset(
    *, staff: Staff, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> bool:
    """The phone is lost and the spare codes too: the password alone opens again. Returns whether there was anything to reset."""
    with acting(by=by, at=at, once=once_key) as act:
        found = _forget_devices(staff)
        if found:
            act.record("staff.second_step_reset", subject=staff)
    return found


COLUMNS = {
    Role.OWNER: "owners_need_second_step",
    Role.COUNTER: "counter_needs_second_step",
    Role.BENCH: "bench_needs_second_step",
}


def require_of(
    role: Role,
    *,
    required: bool,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> None:
    """Require the second step of everybody with a role, or require it no longer. Who requires it goes first."""
    if required and not is_set_up(by):
        raise Refusal("Set the second step up for yourself first, on “Your account”.")
    column = COLUMNS[role]
    with acting(by=by, at=at, once=once_key) as act:
        shop = ShopProfile.objects.filter(**{column: not required})
        if shop.update(**{column: required, "updated_at": act.at}):
            verb = "shop.second_step_required" if required else "shop.second_step_left_open"
            act.record(verb, role=str(role))
    profile.forget()


def _fits(app: TOTPDevice, code: str) -> bool:
    """Whether the app makes that code now. That one was taken far ahead of now was the work of a clock that ran ahead: it must
    not keep somebody out until that day comes."""
    if app.last_t > clock.now().timestamp() // app.step + app.tolerance + 1:
        app.last_t = -1
    return bool(app.verify_token(code))


def _forget_devices(staff: Staff) -> bool:
    spare = StaticDevice.objects.filter(user=staff).delete()[0]
    apps = TOTPDevice.objects.filter(user=staff).delete()[0]
    return bool(spare or apps)


def _fresh_spare_codes(staff: Staff) -> list[str]:
    StaticDevice.objects.filter(user=staff).delete()
    device = StaticDevice.objects.create(user=staff, name=SPARE)
    codes = [f"{secrets.randbelow(10**SPARE_DIGITS):0{SPARE_DIGITS}}" for _ in range(SPARE_CODES)]
    StaticToken.objects.bulk_create([StaticToken(device=device, token=code) for code in codes])
    return codes
