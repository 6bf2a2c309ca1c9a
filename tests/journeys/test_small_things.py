"""Small things that one room knows and the next one has to say rightly: stays, lists, promises, reasons, the set-up card.

No source: what a shop would expect to be told.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions as bench
from shop.bench.views.lines import REASONS
from shop.counter import actions as counter
from shop.counter.actions import Intake
from shop.counter.models import Promise
from shop.frame import clock
from shop.frame.models import Staff
from shop.records.models import BroughtRow
from shop.records.setting_up import still_missing
from tests.factories.bench import on_the_bench
from tests.factories.counter import CustomerFactory, UnitFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import day, past_job
from tests.pages import words_on
from tests.records.test_bringing_in import as_csv, brought

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Staff:
    ShopProfileFactory()
    return StaffFactory(username="ottoline")


@pytest.fixture
def shop(client: Any, owner: Staff) -> Any:
    client.force_login(owner)
    return client


def before_on(shop: Any, number: str) -> list[str]:
    """The jobs that stand on a card under “Was here before”."""
    card = shop.get(reverse("records:job_card", args=[number])).content.decode()
    _, _, list_of_them = card.partition("<h3>Was here before</h3>")
    return re.findall(r'<a href="/jobs/([\w-]+)/">', list_of_them.partition("</ul>")[0])


def test_was_here_before_lists_earlier_stays_only(shop, owner) -> None:
    unit = UnitFactory(owner=CustomerFactory(regular=True))
    first, second, third = (past_job(complaint="Hums.", at=day(at), unit=unit) for at in (1, 10, 20))
    coming, again = (
        counter.announce(customer=unit.owner, intakes=[Intake(unit=unit, complaint="Hums.")], by=owner)[0]
        for _ in range(2)
    )
    assert before_on(shop, first.number) == []
    assert before_on(shop, second.number) == [first.number]
    assert before_on(shop, third.number) == [second.number, first.number]
    stays = [third.number, second.number, first.number]
    assert (before_on(shop, coming.number), before_on(shop, again.number)) == (stays, stays)


def test_a_card_that_was_brought_in_names_its_list_and_row(shop) -> None:
    batch = brought(as_csv(), name="green binder.csv")
    rows = BroughtRow.objects.filter(batch=batch, job__isnull=False).select_related("job")
    assert rows
    for row in rows:
        card = words_on(shop.get(reverse("records:job_card", args=[row.job.number])))
        assert f"brought in from “green binder.csv”, row {row.number}" in card
        assert not re.search(r"carried in|\? V|class \?", card, re.IGNORECASE)


def test_jobs_stand_in_the_order_of_their_promises(shop, owner) -> None:
    today = clock.today()
    jobs = {days: on_the_bench(owner, unit=UnitFactory()) for days in (9, 2, None, 5)}
    for days, job in jobs.items():
        if days:
            bench.conclude(
                job=job, failed="Belt", mode="worn", remedy="New belt.", outcome="repaired", by=owner
            )
            promised = today + dt.timedelta(days=days)
            counter.promise(job=job, promised_for=promised, what=Promise.What.READY, by=owner)
    for sort, order in (("sort=promised", (2, 5, 9, None)), ("sort=promised&down", (9, 5, 2, None))):
        page = shop.get(f"{reverse('records:jobs')}?{sort}").content.decode()
        places = [page.index(jobs[days].number) for days in order]
        assert places == sorted(places), sort


def test_what_is_struck_is_asked_for_by_reasons_that_fit_it(shop, owner) -> None:
    job = on_the_bench(owner)
    finding = bench.add_finding(job=job, text="Belt slack.", by=owner)
    began = clock.now() - dt.timedelta(hours=2)
    stint = bench.add_stint(job=job, started_at=began, stopped_at=began + dt.timedelta(hours=1), by=owner)
    offered = {}
    for kind, line in (("finding", finding), ("stint", stint)):
        page = shop.get(reverse("bench:strike", args=[job.number, kind, line.pk])).content.decode()
        offered[kind] = tuple(re.findall(r'name="reason" value="([^"]+)"', page))
        assert offered[kind] == REASONS[kind]
    assert "Measured again" not in offered["finding"] + offered["stint"]
    assert "Clock left running" in set(offered["stint"]) - set(offered["finding"])


def test_the_set_up_card_leads_to_each_thing_and_back(shop, owner) -> None:
    missing = still_missing(owner)
    assert [one.what for one in missing][:2] == ["Hourly rates", "Taxes"]
    first_screen = shop.get("/").content.decode()
    for one in missing:
        assert one.what in first_screen
        assert one.without in words_on(shop.get("/")), f"{one.what}: what is missing isn't said"
        page = shop.get(one.address)
        assert page.status_code == 200
        assert 'name="back" value="/"' in page.content.decode(), f"{one.what} leads nowhere back"
