"""Days, intervals and refusals for the checks of date codes."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import strategies as st

from shop.handbook.datecodes import (
    Candidate,
    Kind,
    NotADate,
    read_date,
)

TODAY = date(2026, 11, 25)
FIRST_DAY, LAST_DAY = date(1945, 1, 8), TODAY

days = st.dates(FIRST_DAY, LAST_DAY)


def intervals(text: str, kind: Kind | None = None, today: date = TODAY) -> list[tuple[str, str]]:
    return [(str(found.first), str(found.last)) for found in read_date(text, today, kind)]


def months(text: str, kind: Kind | None = None, today: date = TODAY) -> list[str]:
    return [f"{found.first:%Y-%m}" for found in read_date(text, today, kind)]


def only(text: str, kind: Kind | None = None, today: date = TODAY) -> Candidate:
    (found,) = read_date(text, today, kind)
    return found


def holds(found: Candidate, when: date) -> bool:
    return found.first <= when <= found.last


def refusal(text: str, kind: Kind | None = None, today: date = TODAY) -> str:
    with pytest.raises(NotADate) as refused:
        read_date(text, today, kind)
    return str(refused.value)


# --- IEC 60062 letters --------------------------------------------------------------------------------------

# Table of DIN EN 60062 (bedienungsanleitung.elektronotdienst-nuernberg.de/din-en-60062.html), three turns of 20 years.
LETTERS = list("ABCDEFHJKLMNPRSTUVWX")
# Months of the same table.
MONTHS = list("123456789OND")
