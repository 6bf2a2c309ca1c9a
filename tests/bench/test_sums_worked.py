"""The sums of the second shelf: what is typed, and the words that must stand in the note.

Each number is worked out against something outside in `tests/standards/`; here it is the way from field to note.
"""

from __future__ import annotations

from typing import Any

import pytest

from shop.bench.sums import SUMS
from tests.bench.sum_cases import ANSWERED, REFUSED


@pytest.mark.parametrize("slug,typed,words", ANSWERED)
def test_the_note_tells_what_was_typed_and_what_came_out(
    slug, typed: dict[str, Any], words: list[str], db
) -> None:
    form = SUMS[slug](typed)
    assert form.is_valid(), form.errors
    for said in words:
        assert said in form.note, form.note


@pytest.mark.parametrize("slug,typed,sentence", REFUSED)
def test_outside_what_can_be_the_sum_says_why(slug, typed: dict[str, Any], sentence: str, db) -> None:
    form = SUMS[slug](typed)
    assert not form.is_valid(), form.note
    assert sentence in " ".join(str(one) for said in form.errors.values() for one in said)


def test_every_sum_of_the_shelf_has_a_worked_case_and_one_that_it_refuses() -> None:
    first_shelf = {
        "offset", "idle-current", "output-power", "v-be", "junction", "series-lamp", "line-voltage", "fuse", "discharge",
        "motor", "potentiometer", "value", "date", "device",
    }  # fmt: skip
    assert {slug for slug, _, _ in ANSWERED} == set(SUMS) - first_shelf
    assert {slug for slug, _, _ in REFUSED} == set(SUMS) - first_shelf
