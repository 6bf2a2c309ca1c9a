"""Whatever is pasted into a parser of the handbook: an answer or its own refusal, and soon.

Source: none; 100,000 signs within 50 ms, or refused by length, is our own choice.
"""

from __future__ import annotations

import gc
from datetime import date
from time import process_time

import pytest

from shop.handbook import addresses, barcodes, jobnumber, meters, openrepair, readings, s10, words
from shop.handbook.audio import read_fuse
from shop.handbook.datecodes import Kind as DateKind
from shop.handbook.datecodes import read_date
from shop.handbook.designations import compare, read_designation
from shop.handbook.money import Money, UnitPrice
from shop.handbook.parcels.measures import parse_size, parse_weight
from shop.handbook.quantities import Kind, parse, part_values, with_unit
from shop.handbook.tax.rates import Percent
from shop.handbook.words.tokens import stored_form, stored_tokens
from shop.handbook.words.values import bind_units

LONG = 100_000
SECONDS = 0.05
SLACK = 10
"""A machine shared with others may take so many times as long; what grows with the square takes a hundred times."""

PARSERS = {
    "parse": parse,
    "parse as volts": lambda text: parse(text, Kind.VOLTAGE_DC),
    "part_values": part_values,
    "with_unit": lambda text: with_unit(text, "V"),
    "expect": lambda text: readings.expect(text, Kind.VOLTAGE_DC),
    "read_designation": read_designation,
    "compare": lambda text: compare(text, ["2SC1815", text], ["ZQ"]),
    "read_date": lambda text: read_date(text, date(2026, 11, 25)),
    "read_date as label": lambda text: read_date(text, date(2026, 11, 25), DateKind.LABEL),
    "read_fuse": read_fuse,
    "money": lambda text: Money.parse(text, "USD"),
    "unit price": lambda text: UnitPrice.parse(text, "USD"),
    "percent": Percent.parse,
    "parse_size": lambda text: parse_size(text, "in"),
    "parse_weight": lambda text: parse_weight(text, "lb"),
    "parse_accuracy": meters.parse_accuracy,
    "code128": barcodes.code128,
    "qr": barcodes.is_qr_alphanumeric,
    "job number": jobnumber.JobNumber.parse,
    "check character": jobnumber.check_character,
    "s10": s10.parse_s10,
    "s10 shaped": s10.is_s10_shaped,
    "addresses": lambda text: addresses.hints(text, "GB", "US"),
    "addresses abroad": lambda text: addresses.hints(text, "AR", "US"),
    "without_personal": lambda text: openrepair.without_personal(text, ["Crewe"]),
    "stored_form": stored_form,
    "stored_tokens": stored_tokens,
    "fold": words.fold,
    "bind_units": bind_units,
}

SIGNS = ["a", "0", " ", "\n", "@", "a.", "a@", "a@b.", "1.", "1,", "(1", "+1", "- ", "1 ", "1/2 ", "x", "1x", "V", "4k7 ",
         "±", "%", "5 V ", "oz", "’", "é", "漢", "\u202e", "\u0301", "٣", "'s", "www.", "https://", "A1", "2N", "to ",
         "5% "]  # fmt: skip


@pytest.mark.parametrize("sign", SIGNS)
@pytest.mark.parametrize("name", PARSERS)
def test_a_hundred_thousand_signs_are_answered_or_refused_at_once(name, sign) -> None:
    text = (sign * LONG)[:LONG]
    sentence = "."
    gc.disable()  # what ten thousand tests have left lying about is not collected on this one's time
    began = process_time()
    try:
        PARSERS[name](text)
    except ValueError as refusal:
        sentence = str(refusal)
    finally:
        taken = process_time() - began
        gc.enable()
    assert sentence.endswith((".", "?"))
    assert len(sentence) < 300
    assert taken < SECONDS * SLACK, f"{taken * 1000:.0f} ms"
