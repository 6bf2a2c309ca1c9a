"""Every verb that the code records has a sentence in the room that records it, and no sentence tells of what nothing records.

The verbs are read from the source: the first argument of each `act.record(…)`, through a helper's parameter to its callers.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

from shop.frame import wording

SHOP = Path(__file__).parents[2] / "shop"
Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Recorded:
    """One verb as it stands in the source: the room that records it, where, and the names passed on the way to `record`."""

    verb: str
    room: str
    where: str
    facts: frozenset[str]


class Unreadable(Exception):
    """A verb that is made up while the shop runs: no table of words can be held against it."""


@dataclass(frozen=True)
class Call:
    """One call in the source: in which module and function it stands."""

    path: Path
    tree: ast.Module
    function: Function
    call: ast.Call


@cache
def calls_by_name(folder: Path) -> dict[str, list[Call]]:
    """Every call within a function of the shop, by the last word of what is called; read when first asked for."""
    found = defaultdict(list)
    for path in sorted(folder.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for function in (node for node in ast.walk(tree) if isinstance(node, Function)):
            for node in ast.walk(function):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute | ast.Name):
                    name = node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id
                    found[name].append(Call(path, tree, function, node))
    return found


def recorded() -> Iterator[Recorded]:
    """Every verb that is recorded anywhere."""
    for one in calls_by_name(SHOP)["record"]:
        if isinstance(one.call.func, ast.Attribute) and one.call.args:
            yield from verbs(one.call.args[0], one, frozenset())


def verbs(spelled: ast.expr, at: Call, facts: frozenset[str]) -> Iterator[Recorded]:
    """The verbs that `spelled` can be where it is passed on; a parameter is looked for at the function's callers."""
    facts = facts | {one.arg for one in at.call.keywords if one.arg}
    taken = at.function.args
    by_place = [one.arg for one in (*taken.posonlyargs, *taken.args)]
    if isinstance(spelled, ast.Name) and spelled.id in {*by_place, *(one.arg for one in taken.kwonlyargs)}:
        for caller in calls_by_name(SHOP)[at.function.name]:
            if knows(caller, at):
                yield from verbs(argument(caller.call, spelled.id, by_place), caller, facts)
        return
    where = at.path.relative_to(SHOP)
    for verb in literals(spelled, at.tree, at.function):
        yield Recorded(verb, where.parts[0], f"{where}:{at.call.lineno}", facts)


def knows(caller: Call, at: Call) -> bool:
    """Whether the caller means the function that `at` stands in: it is in its module, or imports it from there."""
    module = ".".join(("shop", *at.path.relative_to(SHOP).with_suffix("").parts))
    return caller.path == at.path or any(
        isinstance(node, ast.ImportFrom)
        and node.module == module
        and any((one.asname or one.name) == at.function.name for one in node.names)
        for node in caller.tree.body
    )


def argument(call: ast.Call, name: str, parameters: list[str]) -> ast.expr:
    """What a call passes as `name`."""
    by_name = [one.value for one in call.keywords if one.arg == name]
    if by_name:
        return by_name[0]
    return call.args[parameters.index(name)]


def literals(spelled: ast.expr, tree: ast.Module, function: Function) -> set[str]:
    """The strings that an expression can be: itself, either side of a choice, a local name's, a value of a module's table."""
    if isinstance(spelled, ast.Constant) and isinstance(spelled.value, str):
        return {spelled.value}
    if isinstance(spelled, ast.IfExp):
        return literals(spelled.body, tree, function) | literals(spelled.orelse, tree, function)
    if isinstance(spelled, ast.Name):
        bound = assigned(spelled.id, function)
        if bound:
            return set().union(*(literals(one, tree, function) for one in bound))
    if isinstance(spelled, ast.Subscript) and isinstance(spelled.value, ast.Name):
        tables = [one for one in assigned(spelled.value.id, tree) if isinstance(one, ast.Dict)]
        if tables:
            return set().union(*(literals(one, tree, function) for table in tables for one in table.values))
    raise Unreadable(f"{ast.unparse(spelled)} in {function.name}")


def assigned(name: str, within: ast.AST) -> list[ast.expr]:
    """What a name is set to."""
    found = []
    for node in ast.walk(within):
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            found += [node.value for one in targets if isinstance(one, ast.Name) and one.id == name]
    return found


TOLD_IN = {
    verb: path.parent.name
    for path in SHOP.glob("*/wording.py")
    for verb in getattr(import_module(f"shop.{path.parent.name}.wording"), "WORDS", {})
}


@cache
def all_recorded() -> list[Recorded]:
    """Every verb that is recorded anywhere, in order."""
    return sorted(recorded(), key=lambda one: (one.verb, one.where))


def test_every_verb_that_is_recorded_is_told_and_every_verb_that_is_told_is_recorded() -> None:
    in_code = {one.verb for one in all_recorded()}
    assert len(in_code) > 150
    assert in_code - set(TOLD_IN) == set(), "recorded, but without words"
    assert set(TOLD_IN) - in_code == set(), "words for what nothing records"


def test_all_words_of_the_rooms_are_gathered_when_the_shop_opens() -> None:
    assert {verb for verb, _ in wording.verbs()} == set(TOLD_IN)


def test_a_verb_is_told_in_the_room_that_records_it() -> None:
    rooms = defaultdict(set)
    for one in all_recorded():
        rooms[one.verb].add(one.room)
    elsewhere = {verb: room for verb, room in TOLD_IN.items() if room not in rooms[verb]}
    assert elsewhere == {}


def test_every_gap_in_a_sentence_is_filled_by_what_is_recorded() -> None:
    unfilled = []
    for one in all_recorded():
        gaps = set(re.findall(r"\{(\w+)\}", wording.words_of(one.verb)))
        if gaps - one.facts:
            unfilled.append((one.verb, one.where, sorted(gaps - one.facts)))
    assert unfilled == []


def test_a_verb_told_in_two_places_is_refused() -> None:
    with pytest.raises(ValueError, match=r"paper\.issued is told twice"):
        wording.tell({"paper.issued": "issued something else"})
    assert wording.words_of("paper.issued") != "issued something else"
