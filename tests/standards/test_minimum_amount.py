"""Prices put as a minimum, told from years, quantities and ratings.

Source: 16 CCR 2722, an estimate names no minimum amount. The words: common practice, no source.
"""

from __future__ import annotations

import pytest

from shop.handbook.minimum_amount import puts_a_minimum

MINIMUM = (
    "Repair from $80",
    "Recap, min. $200",
    "min. $200",
    "$200+",
    "Recap $200+",
    "Recap 200 $ +",
    "minimum of 90",
    "minimum: 90",
    "From EUR 80",
    "from 80 €",
    "from US$ 1,200.00",
    "starting at £45",
    "starting from 45 GBP",
    "at least CHF 120",
    "at least 150",
    "200 USD and up",
    "$90 or more",
    "kr 900 and above",
    "upwards of ¥20000",
    "not less than €75",
    "≥ $60",
    "Overhaul from 250",
    "Cleaning ab 60 €",
)
NONE = (
    "Belt from 1978 donor deck",
    "Belt from the 1978 donor deck",
    "Knob from box 3",
    "Cover from PCB 2",
    "Belt from a deck of 1978",
    "Heads taken from 2 donor decks",
    "Transistor 2SC1815, min. hFE matched",
    "Transistor, hFE min. 200 hFE",
    "Fuse 5 A, 10 pieces",
    "Resistor, min. 20 W",
    "Electrolytic, min. 105 °C",
    "Soak test, at least 2 hours",
    "Tape speed within 0.5 % of nominal",
    "Capacitors C12+C13, 100 µF",
    "Lamp 12 V, 200 h or more",
    "Drive belt, 3 pc",
    "Adjust bias: 25 mA",
    "Recap of channels 1+2",
    "Refund of deposit of $200",
    "Parts from stock, $12.50",
    "Tuner aligned from 88 to 108 MHz",
    "Fr 2-pin connector",
)


@pytest.mark.parametrize("words", MINIMUM)
def test_a_price_that_is_only_the_least_is_a_minimum_amount(words: str) -> None:
    assert puts_a_minimum(words)


@pytest.mark.parametrize("words", NONE)
def test_a_year_a_rating_or_a_quantity_is_no_minimum_amount(words: str) -> None:
    assert not puts_a_minimum(words)
