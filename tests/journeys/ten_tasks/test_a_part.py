"""Task 6: a part that isn't there is wished for, ordered, half delivered, delivered, fitted and priced."""

from __future__ import annotations

import pytest

from shop.stockroom.models import PartFitted
from tests.factories.bench import on_the_bench

pytestmark = [pytest.mark.browser, pytest.mark.soak, pytest.mark.django_db(transaction=True)]

BELT = "Belt 71 mm flat"


@pytest.mark.parametrize("task_named", ["6 part"])
def test_a_part_is_one_thing_from_the_wish_to_the_price(
    at_desk, at_tablet, set_up, task, task_named: str
) -> None:
    job = on_the_bench(set_up)
    tablet = at_tablet(set_up, task)
    tablet.link(f"Bench {job.number}")
    tablet.panel(tablet.page.get_by_role("link", name="Order a part"))
    tablet.page.locator("#want-drawer").fill(BELT)
    tablet.page.locator("#want-quantity").fill("2")
    task.fields += 2
    tablet.click(tablet.page.locator("#want").get_by_role("button", name="Put it on the order list"))
    desk = at_desk(set_up, task)
    desk.link("Stockroom", within="nav")
    desk.link("To order", within="main .tabs")
    desk.fill(new_supplier="Brindle Components", new_email="orders@brindle.example", cost="4.20")
    desk.button("Open an order")
    desk.button("Send the order by e-mail")
    task.known["the order's paper opened instead of the order"] = bool(desk.papers)
    for came in ("1", "1"):
        desk.fill(came=came)
        if came == "1" and not desk.page.locator('[name$="carriage"]').input_value():
            desk.fill(carriage="3.80")
        desk.button("Book it in")
    again = at_tablet(set_up, task)
    task.known["the arrived part on the first screen"] = again.reads(BELT)
    again.link(re_bench(job.number))
    offered = again.page.locator("#bench-arrived")
    task.known["the arrived part offered at the bench"] = BELT in offered.inner_text()
    again.page.locator('#bench-arrived [name="position"]').fill("capstan")
    task.fields += 1
    again.click(offered.get_by_role("button", name="Fit it"))
    fitted = PartFitted.objects.get(job=job)
    assert fitted.unit_price_ten_thousandths > 0
    task.known["it has the cost of the delivery"] = bool(fitted.unit_cost_ten_thousandths)


def re_bench(number: str) -> str:
    return f"Bench {number}"
