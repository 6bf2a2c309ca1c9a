"""From the text of a marking to its candidates: every scheme is asked, futures are dropped, doubles are merged.

Sources
    Which scheme a marking belongs to: each scheme's own source, in ``weeks``, ``letters`` and ``labels``. That nothing
    on a unit is dated after today, and that doubles are one candidate: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial

from .candidates import Candidate, Certainty, Found, Kind, NoSuchDate, NotADate, System, in_full
from .labels import is_complete_date, labels
from .letters import letter_codes, one_letter_codes
from .weeks import lot_codes, source_dates, week_codes, weeks_named

LONGEST = 40

_Reader = Callable[[str, date], list[Found]]
_ANY: tuple[_Reader, ...] = (
    week_codes,
    partial(source_dates, parted_from=3),
    letter_codes,
    weeks_named,
    partial(labels, on_a_label=False),
    lot_codes,
)
_READERS: dict[Kind | None, tuple[_Reader, ...]] = {
    None: _ANY,
    Kind.WEEK_CODE: (week_codes, weeks_named, lot_codes),
    Kind.SOURCE_DATE: (source_dates,),
    Kind.LETTER_CODE: (letter_codes,),
    Kind.ONE_LETTER: (one_letter_codes,),
    Kind.LABEL: (weeks_named, labels),
    Kind.LABEL_US: (partial(labels, orders=(System.LABEL_US,)),),
    Kind.LABEL_EUROPE: (partial(labels, orders=(System.LABEL_EUROPE,)),),
    Kind.LABEL_JAPAN: (partial(labels, orders=(System.LABEL_JAPAN,)),),
}
_FORMS = {
    None: "it has none of the forms of a date code or a label",
    Kind.WEEK_CODE: "a week code has three or four digits, such as 832 or 7832",
    Kind.SOURCE_DATE: "a source-and-date code has five to eight digits, such as 999-78-32",
    Kind.LETTER_CODE: "a two-character code has a year letter and a month character",
    Kind.ONE_LETTER: "the one-letter code is a single letter",
    Kind.LABEL: "a label has a day, month and year, such as 3-4-82, Mar 82 or S53.8.14",
    Kind.LABEL_US: "an American label has month, day and year, such as 3-4-82",
    Kind.LABEL_EUROPE: "a European label has day, month and year, such as 4.3.82",
    Kind.LABEL_JAPAN: "a Japanese label has year, month and day, such as 82.3.4 or S57.3.4",
}
_TYPED = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("’‘ʼ′`´", "'"),
        **{
            chr(0xFEE0 + code): chr(code) for code in range(0x21, 0x7F)
        },  # the wide forms of a Japanese keyboard
        "\u3000": " ",
        **dict.fromkeys("\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"),
        "㍼": "昭和",
        "㍻": "平成",
        "㋿": "令和",
    }
)


def read_date(text: str, today: date, kind: Kind | None = None) -> tuple[Candidate, ...]:
    """Every date up to today that the marking can stand for, in the order of time; never an empty answer.

    ``kind`` is what the person knows of the marking; without it all schemes are tried but the one-letter code. Wide
    digits, long dashes, curly apostrophes and outer spaces count as the plain ones. Raises NotADate with one sentence
    when no form fits, when there is no such day, or when all days lie after today.
    """
    typed = text.translate(_TYPED).strip()
    if not typed or len(typed) > LONGEST:
        raise NotADate(text.strip(), _FORMS[kind])
    if kind is None and is_complete_date(typed, today):
        kind = Kind.LABEL
    found: list[Found] = []
    why = ""
    marking = typed if kind is Kind.ONE_LETTER else typed.upper()
    for reader in _READERS[kind]:
        try:
            found.extend(reader(marking, today))
        except NoSuchDate as refused:
            why = why or str(refused)
    candidates = _settled(found, today)
    if not candidates:
        why = why or (f"every reading lies after today, {in_full(today)}" if found else _FORMS[kind])
        raise NotADate(text.strip(), why)
    return candidates


def _settled(found: list[Found], today: date) -> tuple[Candidate, ...]:
    """The readings as candidates: cut off at today, merged where they mean the same days, in the order of time."""
    limit = today.toordinal()
    past: dict[tuple[int, int], Found] = {}
    for reading in found:
        if reading.first > limit:
            continue
        days = (reading.first, min(reading.last, limit))
        past[days] = _merged(past[days], reading) if days in past else reading
    alone = len(past) == 1
    return tuple(_candidate(days, past[days], alone=alone) for days in sorted(past))


def _merged(one: Found, other: Found) -> Found:
    """Two readings of the same days, under the first one's name: each reader answers its soundest reading first."""
    return one._replace(reading=f"{one.reading}; or {other.reading}")


def _candidate(days: tuple[int, int], found: Found, *, alone: bool) -> Candidate:
    certainty = Certainty.SEVERAL
    if alone:
        certainty = Certainty.ONLY if found.certain else Certainty.BY_FORM
    if found.doubtful:
        certainty = Certainty.DOUBTFUL
    first, last = date.fromordinal(days[0]), date.fromordinal(days[1])
    return Candidate(first, last, found.system, certainty, found.reading, found.early, found.late)
