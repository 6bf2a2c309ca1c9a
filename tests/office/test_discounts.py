"""Discounts: typed as a sum or in percent, on estimates and invoices, each with the tax of what it comes off.

Sums worked by hand. That a discount lowers the taxable amount at its rate: Directive 2006/112/EC Art. 79(b), from memory. That
what the customer was promised is kept, and how a yes to a part shares it: common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries
from shop.office.models import Estimate, Invoice, InvoiceLine
from shop.stockroom.actions import fit_part
from tests.factories.office import agreed, another_job, issued, item, off, sales_tax
from tests.office.reading import words
from tests.office.test_bad_money import sheet
from tests.office.test_estimates import answer

pytestmark = pytest.mark.django_db


def put(job: Job, by: Staff, *items: Any) -> Estimate:
    draft = actions.draft_estimate(job=job, items=items, by=by)
    return actions.put_estimate(estimate=draft, by=by)


def typed_on(client: Client, invoice: Invoice) -> dict[str, Any]:
    """What the page of a draft has in its sheet, to be sent as it is."""
    form = client.get(reverse("office:invoice", args=[invoice.pk])).context["sheet"]
    sent: dict[str, Any] = {"count": len(form.rows), "lump_sum": "", "note": ""}
    for row in form.rows:
        for name in row.fields:
            value = row[name].value()
            if value not in (None, False):
                sent[row.add_prefix(name)] = str(getattr(value, "plain", value))
    return sent


def test_an_estimate_takes_off_a_percentage_and_says_so_on_its_paper(job: Job, owner: Staff) -> None:
    """80.00 + 120.00 − 12.5 % = 175.00."""
    estimate = put(job, owner, item(price="80.00"), item("part", "120.00"), off("12.5"))
    assert estimate.total_minor == 175_00
    said = words(stored_bytes(estimate.paper)).replace("\N{MINUS SIGN}", "-")  # type: ignore[arg-type]
    assert [one for one in ("12.5 %", "-25.00", "$175.00") if one not in said] == []
    answer(job, owner, estimate, "yes")
    assert queries.authorised_for(job).minor == 175_00


def test_a_yes_to_a_part_takes_its_share_of_the_discount(job: Job, owner: Staff) -> None:
    """100.00 of 150.00 accepted, 10 % off: 90.00."""
    estimate = put(job, owner, item(price="100.00"), item(price="50.00", description="More"), off("10"))
    first, _second, discount = estimate.lines.all()
    answer(job, owner, estimate, "partly", accepted_lines=[first.pk])
    assert queries.authorised_for(job).minor == 90_00
    discount.refresh_from_db()
    assert discount.accepted


def test_what_was_promised_on_the_estimate_comes_off_the_invoice(job: Job, owner: Staff) -> None:
    """A part of 200.00, taxed at 8.25 %: less 10 % 180.00 and 14.85; a sum is taken off by the first invoice alone."""
    sales_tax()
    estimate = put(
        job, owner, item("part", "200.00"), off("10"), item("discount", "15.00", description="Delay")
    )
    answer(job, owner, estimate, "yes")
    fit_part(job=job, by=owner, description="Transformer", unit_price_ten_thousandths=200_0000)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], by=owner)
    assert (draft.net_minor, draft.tax_minor) == (165_00, 13_61)  # 165.00 × 8.25 % = 13.6125
    actions.issue_invoice(invoice=draft, by=owner)
    fit_part(job=job, by=owner, description="Fuse", unit_price_ten_thousandths=10_0000)
    more = actions.draft_invoice(customer=job.customer, jobs=[job], by=owner)
    assert more.net_minor == 9_00


def test_a_percentage_follows_the_lines_when_they_are_changed(job: Job, owner: Staff, client: Client) -> None:
    """Two rates, saved as they stand: nothing changes; then 50.00 in place of 100.00: 50 + 20 − 7."""
    client.force_login(owner)
    sales_tax()
    lines = [item(price="100.00"), item("part", "20.00"), off("10")]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=lines, by=owner)
    before = list(draft.lines.values_list("kind", "description", "amount_minor", "of_kind"))
    assert [amount for _kind, _words, amount, _of in before] == [100_00, 20_00, -10_00, -2_00]
    sent = typed_on(client, draft)
    save = reverse("office:set_invoice_lines", args=[draft.pk])
    assert client.post(save, sent).status_code == 303
    assert list(draft.lines.values_list("kind", "description", "amount_minor", "of_kind")) == before
    assert client.post(save, sent | {"l0-unit_price": "50.00"}).status_code == 303
    draft.refresh_from_db()
    assert (draft.net_minor, draft.tax_minor) == (63_00, 1_49)  # 18.00 × 8.25 % = 1.485


@pytest.mark.parametrize(
    "row, sentence",
    [
        ({"quantity": "101"}, "A discount takes off 100 % at most."),
        ({"quantity": "0"}, "The quantity is more than nothing."),
        ({"quantity": ""}, "Say how many percent come off."),
        ({"quantity": "10.005"}, "A percentage has two decimals at most."),
        ({"kind": "part"}, "Only a discount is a percentage."),
        ({"unit_price": "5.00"}, "A percentage has no price"),
        ({"description": ""}, "Say what this line is for."),
    ],
)
def test_a_percentage_that_is_none_is_refused_at_its_field(
    job: Job, owner: Staff, client: Client, row: dict[str, str], sentence: str
) -> None:
    client.force_login(owner)
    actions.draft_estimate(job=job, items=[item()], by=owner)
    usual = {"kind": "discount", "unit": "%", "quantity": "10", "unit_price": "", "description": "Off"}
    address = reverse("office:set_estimate_lines", args=[job.number])
    page = client.post(address, sheet({}, {**usual, **row}))
    assert page.status_code == 422
    assert sentence in page.content.decode()
    assert Estimate.objects.get().total_minor == 85_00


def test_an_estimate_is_typed_with_a_percentage(job: Job, owner: Staff, client: Client) -> None:
    client.force_login(owner)
    actions.draft_estimate(job=job, items=[item()], by=owner)
    row = {"kind": "discount", "unit": "%", "quantity": "33.33", "unit_price": "", "description": "Off"}
    address = reverse("office:set_estimate_lines", args=[job.number])
    assert client.post(address, sheet({"unit_price": "100"}, row)).status_code == 303
    assert Estimate.objects.get().total_minor == 66_67


def test_discounts_together_take_off_no_more_than_the_whole(job: Job, owner: Staff) -> None:
    """60 % and 60 % of 100.00; the whole may go."""
    off_first = [item(price="100.00"), off("60")]
    with pytest.raises(Refusal, match="takes off more"):
        actions.draft_estimate(job=job, items=[*off_first, off("60", description="More")], by=owner)
    draft = actions.draft_estimate(job=job, items=[*off_first, off("40", description="More")], by=owner)
    assert draft.total_minor == 0


@pytest.mark.parametrize(
    "currency, price, said", [("JPY", "1235", 124), ("KWD", "12.345", 1_235), ("EUR", "0.05", 1)]
)
def test_a_tenth_is_right_in_coins_of_every_size(
    job: Job, owner: Staff, currency: str, price: str, said: int
) -> None:
    """123.5, 1.2345 and 0.005, half up."""
    type(job).objects.filter(pk=job.pk).update(currency=currency)
    job.refresh_from_db()

    ShopProfile.objects.update(currency=currency)
    draft = actions.draft_estimate(
        job=job, items=[item(price=price, currency=currency), off("10", currency)], by=owner
    )
    discount = draft.lines.get(kind="discount")
    assert -discount.amount_minor == said


def test_a_percentage_is_of_the_lines_of_its_job(job: Job, owner: Staff) -> None:
    """Two jobs of 100.00; 10 % off the second."""
    other = another_job(job.customer, by=owner)
    items = [item(price="100.00", job=job), item(price="100.00", job=other), off("10", job=other)]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=items, by=owner)
    assert draft.net_minor == 190_00
    assert draft.lines.get(kind="discount").job == other


def test_a_discount_is_not_taken_back_alone_nor_left_alone(job: Job, owner: Staff) -> None:
    row = issued(job, [item(price="100.00"), off("10")], by=owner)
    work, discount = row.lines.all()
    for lines, sentence in (({discount.pk}, "charge more"), ({work.pk}, "more than was charged")):
        with pytest.raises(Refusal, match=sentence):
            actions.credit(invoice=row, note="goodwill", by=owner, lines=lines)
    back = actions.credit(invoice=row, note="goodwill", by=owner)
    assert back.total_minor == -row.total_minor
    assert InvoiceLine.objects.filter(invoice=back, kind="discount").get().amount_minor == 10_00


def test_a_line_of_several_is_not_taken_back_without_its_share_of_the_discount(
    job: Job, owner: Staff
) -> None:
    """100.00 and 100.00 less 10 %: 90.00 was paid for each, and 100.00 is not given back for one."""
    other = another_job(job.customer, by=owner)
    agreed(job, 200_00, by=owner)
    agreed(other, 50_00, by=owner)
    items = [
        item(price="100.00", job=job), item(price="100.00", job=job), off("10", job=job),
        item(price="50.00", job=other),
    ]  # fmt: skip
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=items, by=owner)
    row = actions.issue_invoice(invoice=draft, by=owner)
    first, second, discount, elsewhere = row.lines.order_by("id")
    for lines in ({first.pk}, {first.pk, discount.pk}):
        with pytest.raises(Refusal, match="came off several lines"):
            actions.credit(invoice=row, note="wrong", by=owner, lines=lines)
    assert actions.credit(invoice=row, note="wrong", by=owner, lines={elsewhere.pk}).net_minor == -50_00
    whole = {first.pk, second.pk, discount.pk}
    assert actions.credit(invoice=row, note="wrong", by=owner, lines=whole).net_minor == -180_00
