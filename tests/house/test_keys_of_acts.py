"""Every act that somebody may send takes the key of its form, or says in a word why it needs none."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

import shop
from shop.frame import once

ROOT = Path(shop.__file__).parent
WORDS = {"joined", "clock", "first", "proved", "read", "stepwise"}


def acts() -> Iterator[tuple[str, Callable[..., Any]]]:
    """All public functions of the shop that open an act, read from their source."""
    for path in sorted(ROOT.rglob("*.py")):
        source = path.read_text()
        if "acting(" not in source or path.parts[-2:] == ("frame", "journal.py"):
            continue
        name = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)
        for node in ast.parse(source).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and _opens_an_act(node):
                yield f"{name}.{node.name}", getattr(import_module(name), node.name)


def _opens_an_act(node: ast.FunctionDef) -> bool:
    return any(isinstance(one, ast.Name) and one.id == "acting" for one in ast.walk(node))


ACTS = dict(acts())


@pytest.mark.parametrize("name", ACTS)
def test_an_act_takes_the_key_of_its_form_or_says_why_not(name: str) -> None:
    act = ACTS[name]
    parameters = inspect.signature(act).parameters
    why = getattr(act, "keyless", None)
    if {"once_key", "entry"} & set(parameters):
        assert why is None
        assert hands_its_key_on(act)
    else:
        assert why in WORDS


def hands_its_key_on(act: Callable[..., Any]) -> bool:
    """Whether the key goes to the act that is opened, or to an action that is called in it."""
    tree = ast.parse(inspect.getsource(act))
    given = {
        (keyword.arg, keyword.value.id)
        for call in ast.walk(tree)
        if isinstance(call, ast.Call)
        for keyword in call.keywords
        if isinstance(keyword.value, ast.Name)
    }
    return bool(
        given & {("once", "once_key"), ("once", "entry"), ("once_key", "once_key"), ("entry", "entry")}
    )


def test_the_walk_finds_the_acts_of_every_room() -> None:
    assert len(ACTS) > 150
    rooms = {name.split(".")[1] for name in ACTS}
    assert rooms >= {"counter", "stockroom", "bench", "office", "dispatch", "records", "window", "premises"}


def test_the_words_are_those_that_the_mark_allows() -> None:
    (word,) = (get_type_hints(once.keyless)["why"],)
    assert set(get_args(word)) == WORDS
