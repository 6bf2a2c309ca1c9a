"""What is done to the shop itself: its profile, its terms, its numbers, and the people who work in it."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection, Sequence
from typing import Any, TypedDict, Unpack

from django.contrib.auth.models import Group
from django.core.files.base import File
from django.db.models import Q

from shop.frame import numbers, profile
from shop.frame.journal import Act, acting
from shop.frame.models import NumberSeries, Role, ShopProfile, Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.keeping.pictures import take_picture
from shop.premises import sessions, signing_in
from shop.premises.changing import held_to_currency
from shop.premises.models import BenchWeek, DaysOff, PromiseRules, Terms
from shop.press.models import Letterhead


class ProfileFacts(TypedDict, total=False):
    """What the profile says of the shop; only what is named is changed."""

    name: str
    owner_name: str
    address: str
    country: str
    phone: str
    email: str
    web_address: str
    registration_label: str
    registration_number: str
    tax_number: str
    currency: str
    language: str
    time_zone: str
    paper_size: str
    measures: str
    line_voltage: int
    line_frequency: int
    law_profile: str
    warranty_days: int
    payment_days: int
    bench_fee_ten_thousandths: int | None
    asks_year: bool
    asks_address: bool
    asks_first_word: bool


# --- the shop -----------------------------------------------------------------------------------------------


def change_profile(
    *,
    by: Staff | None,
    at: dt.datetime | None = None,
    once_key: uuid.UUID | None = None,
    **facts: Unpack[ProfileFacts],
) -> ShopProfile:
    """Change what the profile says of the shop; the first time it makes the profile. The journal names the fields.

    Another currency is refused while sums in the old one are open.
    """
    with acting(by=by, at=at, once=once_key) as act:
        shop = ShopProfile.objects.select_for_update().first() or ShopProfile()
        _refuse_mixed_money(shop, facts.get("currency", shop.currency))
        changed = sorted(name for name, value in facts.items() if getattr(shop, name) != value)
        for name in changed:
            setattr(shop, name, facts[name])  # type: ignore[literal-required]
        shop.updated_at = act.at
        shop.save()
        if changed:
            act.record("profile.changed", subject=shop, fields=changed)
    profile.forget()
    return shop


def _refuse_mixed_money(shop: ShopProfile, currency: str) -> None:
    if shop._state.adding or currency == shop.currency:
        return
    if held := held_to_currency(shop.currency, currency):
        raise Refusal(" ".join(held), field="currency")


def change_logo(
    *,
    upload: File[bytes] | None,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Letterhead:
    """Put another logo on papers, or none. Papers issued before keep the one they were issued with."""
    with acting(by=by, at=at, once=once_key) as act:
        shop = ShopProfile.objects.select_for_update().first()
        if shop is None:
            raise Refusal("Save the profile first: a logo stands at the head of its papers.", field="logo")
        logo = None if upload is None else take_picture(upload, by=by, field="logo")
        letterhead, _ = Letterhead.objects.update_or_create(pk=1, defaults={"logo": logo})
        act.record("profile.logo_changed", subject=shop, picture=letterhead.logo_id)
    return letterhead


def add_terms(
    *,
    from_date: dt.date,
    text: str,
    by: Staff | None,
    at: dt.datetime | None = None,
    once_key: uuid.UUID | None = None,
) -> Terms:
    """Have new terms hold from a day on. Those of earlier days stay, so that it can be told what a paper said."""
    with acting(by=by, at=at, once=once_key) as act:
        if Terms.objects.filter(from_date=from_date).exists():
            raise Refusal("There are terms from that day on already; choose another day.", field="from_date")
        terms = Terms.objects.create(from_date=from_date, text=text, by=by)
        act.record("terms.added", subject=terms, from_date=from_date)
    return terms


def withdraw_terms(
    *, terms: Terms, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Take back terms that do not hold yet. Those that hold or held stay."""
    with acting(by=by, at=at, once=once_key) as act:
        if terms.from_date <= act.day:
            raise Refusal("These terms hold already; papers may carry them. Add new ones instead.")
        act.record("terms.withdrawn", subject=terms, from_date=terms.from_date)
        terms.delete()


def set_hours(
    *,
    from_date: dt.date,
    minutes: Sequence[int],
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> BenchWeek:
    """Write down the bench's minutes on each weekday, Monday first, from a day on; of one day, the last that was written."""
    with acting(by=by, at=at, once=once_key) as act:
        week, _ = BenchWeek.objects.update_or_create(
            from_date=from_date, defaults={"minutes": list(minutes), "by": by}
        )
        act.record("shop.hours_set", subject=week, from_date=from_date)
    return week


def add_days_off(
    *,
    first: dt.date,
    last: dt.date,
    why: str,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> DaysOff:
    """Write down days on which nothing is done."""
    with acting(by=by, at=at, once=once_key) as act:
        off = DaysOff.objects.create(first=first, last=last, why=why.strip(), by=by)
        act.record("shop.days_off_added", subject=off, first=first, last=last)
    return off


def take_back_days_off(
    *, off: DaysOff, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Days that were to be off are worked after all."""
    with acting(by=by, at=at, once=once_key) as act:
        act.record("shop.days_off_taken_back", subject=off, first=off.first, last=off.last)
        off.delete()


def set_promise_rules(
    *,
    retell_days: int,
    on_papers: bool,
    quiet_hour: int,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PromiseRules:
    """Change how promised dates are dealt with."""
    with acting(by=by, at=at, once=once_key) as act:
        rules, _ = PromiseRules.objects.update_or_create(
            pk=1, defaults={"retell_days": retell_days, "on_papers": on_papers, "quiet_hour": quiet_hour}
        )
        act.record("shop.promise_rules_set", subject=rules)
    return rules


def set_next_number(
    *,
    series: str,
    year: int,
    value: int,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> NumberSeries:
    """Let a series go on from `value`. Never below a number that was taken: there are no repeats."""
    with acting(by=by, at=at, once=once_key) as act:
        row = NumberSeries.objects.filter(name=series, year=year).first()
        if row is not None and value < row.next_value:
            raise Refusal(
                f"Number {row.next_value - 1} is taken already; the next can’t be lower than {row.next_value}.",
                field="value",
            )
        numbers.set_next(series, year, value)
        act.record("shop.numbers_set", series=series, year=year, next_value=value)
        return NumberSeries.objects.get(name=series, year=year)


# --- the people ---------------------------------------------------------------------------------------------


def add_staff(
    *,
    username: str,
    password: str,
    roles: Collection[str],
    first_name: str = "",
    last_name: str = "",
    email: str = "",
    employee_number: str = "",
    by: Staff | None,
    at: dt.datetime | None = None,
    once_key: uuid.UUID | None = None,
) -> Staff:
    """Give somebody an account with roles. The password is theirs to change."""
    with acting(by=by, at=at, once=once_key) as act:
        if Staff.objects.filter(username__iexact=username).exists():
            raise Refusal("Somebody signs in with that name already.", field="username")
        staff = Staff(
            username=username,
            first_name=first_name,
            last_name=last_name,
            email=email,
            employee_number=employee_number,
            date_joined=act.at,
        )
        staff.set_password(password)
        staff.save()
        staff.groups.set(_groups(roles))
        act.record("staff.appointed", subject=staff, roles=sorted(roles))
    return staff


def change_staff(
    *,
    staff: Staff,
    roles: Collection[str],
    first_name: str,
    last_name: str,
    email: str,
    employee_number: str,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Staff:
    """Change what is known of somebody who works here, and what they may do. The last owner stays an owner."""
    with acting(by=by, at=at, once=once_key) as act:
        if Role.OWNER not in roles:
            _keep_an_owner(staff, "The shop needs an owner: make somebody else one first.", field="roles")
        staff.first_name, staff.last_name, staff.email = first_name, last_name, email
        staff.employee_number = employee_number
        staff.save(update_fields=["first_name", "last_name", "email", "employee_number"])
        staff.groups.set(_groups(roles))
        staff.__dict__.pop("roles", None)
        act.record("staff.changed", subject=staff, roles=sorted(roles))
    return staff


def give_password(*, staff: Staff, password: str, by: Staff | None, at: dt.datetime | None = None) -> Staff:
    """Replace somebody's password; wherever they are signed in, they are signed out."""
    return _set_password(staff, password, "staff.password_given", by, at)


def change_password(*, staff: Staff, old: str, password: str, at: dt.datetime | None = None) -> Staff:
    """Somebody who still knows the `old` one changes their own password; their other devices are signed out."""
    signing_in.prove(staff, old)
    return _set_password(staff, password, "staff.password_changed", staff, at)


@keyless("stepwise")
def end_sessions(
    *, staff: Staff, here: str | None, which: str, by: Staff | None, at: dt.datetime | None = None
) -> int:
    """Sign somebody out elsewhere than in the session `here`: in one session by its name, or with “all” in all of them."""
    with acting(by=by, at=at) as act:
        ended = sessions.end(staff, here=here, which=which)
        if ended:
            act.record("staff.sessions_ended", subject=staff)
    return ended


def set_door_rules(
    *,
    idle_hours_owner: int,
    idle_hours_counter: int,
    idle_hours_bench: int,
    kept_hours: int,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> None:
    """Change after how many hours without a touch one has to sign in again, and for how long tablets keep bench pages."""
    with acting(by=by, at=at, once=once_key) as act:
        ShopProfile.objects.update(
            idle_hours_owner=idle_hours_owner,
            idle_hours_counter=idle_hours_counter,
            idle_hours_bench=idle_hours_bench,
            kept_hours=kept_hours,
            updated_at=act.at,
        )
        act.record("shop.door_rules_set")
    profile.forget()


def prove_for_owner(*, staff: Staff | None, roles: Collection[str], by: Staff, password: str) -> None:
    """Who makes somebody an owner gives their own password: a tablet that was left alone must not make one."""
    if Role.OWNER in roles and not (staff is not None and Role.OWNER in staff.roles):
        signing_in.prove(by, password, field="own")


def retire_staff(
    *, staff: Staff, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Staff:
    """Close somebody's account. What they did stays under their name. The last owner can't go."""
    with acting(by=by, at=at, once=once_key) as act:
        _keep_an_owner(staff, "This is the shop’s last owner: make somebody else an owner first.")
        _set_active(staff, act, active=False)
    return staff


def bring_back_staff(
    *, staff: Staff, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Staff:
    """Open a closed account again."""
    with acting(by=by, at=at, once=once_key) as act:
        _set_active(staff, act, active=True)
    return staff


def _set_active(staff: Staff, act: Act, *, active: bool) -> None:
    if Staff.objects.filter(pk=staff.pk, is_active=not active).update(is_active=active):
        act.record("staff.brought_back" if active else "staff.retired", subject=staff)
    staff.is_active = active


def _set_password(staff: Staff, password: str, verb: str, by: Staff | None, at: dt.datetime | None) -> Staff:
    with acting(by=by, at=at) as act:
        staff.set_password(password)
        staff.save(update_fields=["password"])
        act.record(verb, subject=staff)
    return staff


def _keep_an_owner(staff: Staff, sentence: str, **where: Any) -> None:
    others = Staff.objects.filter(is_active=True).exclude(pk=staff.pk)
    if not others.filter(Q(groups__name=Role.OWNER) | Q(is_superuser=True)).exists():
        raise Refusal(sentence, **where)


def _groups(roles: Collection[str]) -> list[Group]:
    wanted = {str(Role(role)) for role in roles}
    if not wanted:
        raise Refusal("Choose at least one place to work at.", field="roles")
    return [Group.objects.get_or_create(name=name)[0] for name in sorted(wanted)]
