"""A hundred thousand signs: every public function of the handbook and of forms that reads a text answers within 50 milliseconds.

An expression that tries every way of cutting a text takes for ever with a long one (OWASP, “Regular expression Denial of
Service”). The texts are those that such expressions stumble over: one sign over and over, pairs, digits without an end.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import time
import typing
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

import shop.handbook
from shop.frame.formwork import whole_number
from shop.handbook import quantities

SIGNS = 100_000
ALLOWED = 0.05
ROOMS = (
    "shop.frame.spelling",
    "shop.frame.cells",
    "shop.frame.onward",
    "shop.records.searching.question",
    "shop.counter.spelling",
    "shop.front_door.security",
    "shop.keeping.contents",
    "shop.keeping.handing_out",
)

TEXTS = {
    "one letter": "a",
    "one digit": "1",
    "blanks": " ",
    "points": "1.",
    "commas": "1,",
    "signs": "-+",
    "brackets": "(",
    "words": "ab ",
    "lines": "a\n",
    "marks": "µ",
    "slashes": "1/2 ",
    "quotes": '"',
    "ranges": "1-2,",
    "letters and digits": "a1",
}


def public_text_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Every public function that can be called with one text alone."""
    names = [one.name for one in pkgutil.walk_packages(shop.handbook.__path__, "shop.handbook.")]
    for name in [*names, *ROOMS]:
        with suppress(ModuleNotFoundError):
            module = importlib.import_module(name)
            for called, function in inspect.getmembers(module, inspect.isfunction):
                if not called.startswith("_") and function.__module__ == name and takes_a_text(function):
                    yield f"{name}.{called}", function


def takes_a_text(function: Callable[..., Any]) -> bool:
    """Whether a text is the only thing that it must be given."""
    try:
        hints = typing.get_type_hints(function)
    except (NameError, TypeError):
        return False
    must = [name for name, one in inspect.signature(function).parameters.items() if one.default is one.empty]
    return len(must) == 1 and hints.get(must[0]) is str


FUNCTIONS = dict(public_text_functions())


def seconds(function: Callable[[str], Any], text: str) -> float:
    """What one call takes, whatever it says; the quickest of three, since others share the machine."""
    took = []
    for _ in range(3):
        since = time.process_time()
        with suppress(Exception):
            made = function(text)
            if inspect.isgenerator(made):
                next(made, None)
        took.append(time.process_time() - since)
        if took[-1] < ALLOWED:
            break
    return min(took)


@pytest.mark.soak
@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_long_text_is_read_or_refused_at_once(name: str) -> None:
    slow = {}
    for called, sign in TEXTS.items():
        text = (sign * SIGNS)[:SIGNS]
        for one in (text, f"{text}!", f"1{text}"):
            took = seconds(FUNCTIONS[name], one)
            if took > ALLOWED:
                slow[called] = round(took, 2)
    assert slow == {}


def test_there_are_many_of_them() -> None:
    assert len(FUNCTIONS) > 60
    assert "shop.handbook.quantities" in quantities.__name__


def test_no_id_and_no_count_is_made_of_digits_without_an_end() -> None:
    # Python refuses to make a number of more than 4300 digits (its documentation, "Integer string conversion length limitation")
    sent = ("7", "", "-1", "٣", "1" * 18, "1" * 19, "1" * 5000)
    assert [whole_number(one) for one in sent] == [7, None, None, None, int("1" * 18), None, None]
    own = re.compile(r"int\(.*\.is(?:digit|decimal)\(\)|len\(\w+\) <=? 1[789]\b")
    rooms = Path(shop.handbook.__file__).parents[1]
    found = [
        str(path.relative_to(rooms))
        for path in rooms.rglob("*.py")
        if "handbook" not in path.parts and own.search(path.read_text("utf-8"))
    ]
    assert found == ["frame/formwork.py"]
