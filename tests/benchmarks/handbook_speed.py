"""How fast values are read, beside a bare regular expression with Decimal in the same run. Prints JSON.

    python tests/benchmarks/handbook_speed.py

Each string occurs once, so that nothing could be remembered. The yardstick takes the same strings apart with the
plainest expression that fits their form and makes a Decimal of the digits; it knows no units, no prefix and no
tolerance, and refuses nothing. ``ratio`` is the handbook's rate over the yardstick's: 0.25 is the least we accept.
"""

from __future__ import annotations

import gc
import json
import re
import sys
from collections.abc import Callable
from decimal import Decimal
from functools import partial
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from shop.handbook.quantities import Kind, parse

COUNT = 40_000
ROUNDS = 7

_NUMBER = re.compile(r"([+-]?[0-9]*\.?[0-9]+)\s*([A-Za-zµΩ]*)").fullmatch
_CODE = re.compile(r"([0-9]*)([A-Za-zµ])([0-9]*)").fullmatch
_PART = re.compile(r"([0-9]*)[.]?([A-Za-zµΩ]*)([0-9]*)([A-Za-zµΩ]*)[\s/]+([0-9.]+)\s*([A-Za-z]+)").fullmatch


def _bare_number(text: str) -> Decimal | None:
    match = _NUMBER(text)
    return Decimal(match[1]) if match else None


def _bare_code(text: str) -> Decimal | None:
    match = _CODE(text)
    return Decimal(f"{match[1]}.{match[3]}") if match else None


def _bare_part(text: str) -> tuple[Decimal, Decimal] | None:
    match = _PART(text)
    return (Decimal(f"{match[1]}.{match[3]}"), Decimal(match[5])) if match else None


def _spread(pattern: str, *endings: str) -> list[str]:
    """``COUNT`` different strings: the counter in front, the endings in turn."""
    return [pattern.format(n // 100, n % 100, endings[n % len(endings)]) for n in range(COUNT)]


FORMS: dict[str, tuple[Callable[[str], object], list[str], Kind | None]] = {
    "number and unit": (_bare_number, _spread("{}.{:02}{}", " V", "mV", " mA", "kΩ", " MΩ", " µF", "nF", " Hz"), None),
    "number, unit chosen": (_bare_number, _spread("-{}.{:02}{}", "", "m", "mV", "V"), Kind.VOLTAGE_DC),
    "RKM code": (_bare_code, list(dict.fromkeys(
        f"{n // 100}{letter}{n % 100}" for n in range(COUNT) for letter in "kMRnµ"[n % 5])), None),
    "value and rating": (_bare_part, [
        (f"{n // 100}µ{n % 100} {n % 97 + 1}V", f"{n // 100}.{n % 100}nF/{n % 97 + 1}V", f"{n // 100}k{n % 100} 0.25W")[n % 3]
        for n in range(COUNT)], None),
}  # fmt: skip


def _seconds(read: Callable[[str], object], texts: list[str]) -> float:
    """Processor seconds for one pass over the strings; other work on the machine is not counted."""
    start = process_time()
    for text in texts:
        read(text)
    return process_time() - start


def measure() -> dict[str, dict[str, float]]:
    """Rates and their ratio for each form; the two take turns, and each one's best round counts."""
    figures = {}
    spent = [0.0, 0.0]
    for form, (bare, texts, kind) in FORMS.items():
        ours = partial(parse, kind=kind) if kind else parse
        rounds = [(_seconds(ours, texts), _seconds(bare, texts)) for _ in range(ROUNDS)]
        best = [min(seconds) for seconds in zip(*rounds, strict=True)]
        spent = [total + seconds for total, seconds in zip(spent, best, strict=True)]
        handbook, yardstick = (len(texts) / seconds for seconds in best)
        figures[form] = {
            "strings": len(set(texts)),
            "handbook_per_second": round(handbook),
            "bare_per_second": round(yardstick),
            "ratio": round(handbook / yardstick, 3),
        }
    figures["all forms together"] = {"ratio": round(spent[1] / spent[0], 3)}
    return figures


if __name__ == "__main__":
    gc.disable()
    print(json.dumps(measure(), indent=2, ensure_ascii=False))  # noqa: T201
