"""How parts fail in general: MIL-HDBK-338B's table of failure modes, every figure from memory and said so on the page."""

from __future__ import annotations

import pytest

from shop.handbook.failures import PARTS, SOURCE, failures_named


@pytest.mark.parametrize("part", PARTS)
def test_the_ways_a_part_fails_add_up_to_all_of_its_failures(part):
    """Normalised distributions, so a row is a hundred per cent (the handbook's own definition, from memory)."""
    shares = PARTS[part]
    assert sum(share.percent for share in shares) == 100
    assert [share.percent for share in shares] == sorted((share.percent for share in shares), reverse=True)
    assert len({share.mode for share in shares}) == len(shares)


# From memory, not confirmed: the first line of each row
@pytest.mark.parametrize(
    "part,mode,percent",
    [
        ("electrolytic capacitor", "short", 53),
        ("tantalum capacitor", "short", 57),
        ("resistor", "open", 59),
        ("potentiometer", "open", 53),
        ("relay", "fails to trip", 55),
        ("switch", "open", 60),
        ("transistor", "short", 73),
        ("connector", "open", 61),
    ],
)
def test_the_most_frequent_way_stands_first(part, mode, percent):
    first = PARTS[part][0]
    assert (first.mode, first.percent) == (mode, percent)


def test_the_source_says_that_it_is_from_memory():
    assert "from memory" in SOURCE


@pytest.mark.parametrize(
    "text,parts",
    [
        ("the pot is noisy, the lytic has leaked", ["electrolytic capacitor", "potentiometer"]),
        ("Relay clicks, left channel drops out", ["relay"]),
        ("hums", []),
        ("", []),
    ],
)
def test_parts_are_known_by_any_word_of_the_trade(text, parts):
    assert [found.part for found in failures_named(text)] == parts
