"""Readings as a table: places down, sides and before and after across. The expected tables were laid out by hand."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from shop.bench.models import Reading
from shop.records.card.readings import ReadingTable, table_of
from tests.factories.counter import booked_in
from tests.factories.premises import StaffFactory


def read(where: str, typed: str, channel: str = "", *, after: bool = False, **more: str) -> Reading:
    return Reading(
        where=where, typed=typed, channel=channel, after_repair=after, quantity="voltage_dc", **more
    )


def laid_out(table: ReadingTable) -> tuple[list[str], list[str], list[list[str]]]:
    rows = [
        [row.where, *(" ".join(one.typed for one in cell.readings) for cell in row.cells), row.limit]
        for row in table.rows
    ]
    return [f"{head.words}/{head.span}" for head in table.whens], [head.words for head in table.sides], rows


def test_left_stands_left_of_right_and_before_left_of_after() -> None:
    table = table_of(
        [
            read("offset", "55 mV", "R", expected="at most 50 mV"),
            read("offset", "12 mV", "L"),
            read("offset", "8 mV", "R", after=True),
            read("supply", "31.8 V"),
        ]
    )
    assert laid_out(table) == (
        ["Before repair/3", "After repair/1"],
        ["Before repair", "Left", "Right", "Right"],
        [["offset", "", "12 mV", "55 mV", "8 mV", "at most 50 mV"], ["supply", "31.8 V", "", "", "", ""]],
    )


def test_a_place_read_twice_shows_both_in_one_cell_and_another_probe_is_another_place() -> None:
    table = table_of([read("TP4", "1 V"), read("TP4", "2 V"), read("TP4", "3 V", against="emitter")])
    assert laid_out(table)[2] == [["TP4", "1 V 2 V", ""], ["TP4", "3 V", ""]]
    assert [row.how for row in table.rows] == ["", "to emitter"]


def test_the_pins_of_a_socket_stand_in_lines_of_their_own() -> None:
    table = table_of([read("CN3", f"{at} V", f"pin {at}") for at in range(1, 7)])
    assert laid_out(table)[1:] == (
        ["Before repair"],
        [[f"CN3 pin {at}", f"{at} V", ""] for at in range(1, 7)],
    )


@pytest.mark.django_db
def test_the_card_shows_each_value_beside_its_place_with_its_verdict(client: Client) -> None:
    job = booked_in()
    Reading.objects.create(
        job=job,
        where="TP4",
        typed="11.9",
        unit="V",
        quantity="voltage_dc",
        value="11.9",
        verdict="low",
        expected="12 V",
    )
    client.force_login(StaffFactory())
    page = client.get(reverse("records:job_card", args=[job.number])).content.decode()
    table = page[page.index("reading-table") : page.index("</table>")]
    assert table.index("TP4") < table.index("11.9 V") < table.index("low") < table.index("12 V")
