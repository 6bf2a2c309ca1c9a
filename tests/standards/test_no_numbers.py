"""NaN and infinity in every public function of the handbook: refused in a sentence, never carried on.

Source: none; IEEE 754 and Python's Decimal let both through comparisons and sums without a word, and a verdict that
rests on them is sure and wrong.
"""

from __future__ import annotations

import inspect
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from importlib import import_module
from typing import Any, get_args, get_origin, get_type_hints

import pytest

from shop import handbook

TAKES_INFINITY: dict[str, tuple[str, ...]] = {
    "in_words.ohms": ("Infinity",),  # an open circuit is shown as infinite
    "quantities.si.engineering": ("Infinity", "-Infinity"),  # and here as ∞
    "readings.expected.shown": ("Infinity", "-Infinity"),
}
NEEDS_MORE = {
    "audio.output_stage.idle_current",  # its resistors are refused in test_audio
}


def modules() -> Iterator[Any]:
    for found in pkgutil.walk_packages(handbook.__path__, f"{handbook.__name__}."):
        yield import_module(found.name)


def takes_a_number(hint: Any) -> bool:
    return hint in (Decimal, float) or any(takes_a_number(one) for one in get_args(hint) if get_origin(hint))


def plain_value(hint: Any) -> Any:
    """Something sound for a parameter of this type; raises LookupError where that needs more thought."""
    options = get_args(hint)
    if hint is Decimal or Decimal in options:
        return Decimal(1)
    if hint in (float, int):
        return hint(1)
    if hint is str:
        return "V"
    if isinstance(hint, type) and issubclass(hint, str):
        return next(iter(hint))  # type: ignore[call-overload]  # an enumeration of words
    raise LookupError(hint)


def numeric_parameters() -> list[tuple[str, Callable[..., Any], str, type]]:
    found: list[tuple[str, Callable[..., Any], str, type]] = []
    for module in modules():
        for name, function in vars(module).items():
            if name.startswith("_") or not inspect.isfunction(function):
                continue
            if function.__module__ != module.__name__:
                continue
            label = f"{module.__name__.removeprefix('shop.handbook.')}.{name}"
            if label in NEEDS_MORE:
                continue
            hints = get_type_hints(function)
            for parameter in inspect.signature(function).parameters.values():
                hint = hints[parameter.name]
                if hint in (Decimal, float) or (
                    takes_a_number(hint) and get_origin(hint) not in (tuple, list, dict)
                ):
                    if get_origin(hint) is not None and not {Decimal, float} & set(get_args(hint)):
                        continue
                    kind = float if hint is float or float in get_args(hint) else Decimal
                    found.append((label, function, parameter.name, kind))
    return found


CASES = numeric_parameters()


@pytest.mark.parametrize(
    "label,function,parameter,kind", CASES, ids=[f"{case[0]}-{case[2]}" for case in CASES]
)
def test_what_is_no_number_is_refused_in_a_sentence(label, function, parameter, kind) -> None:
    hints = get_type_hints(function)
    arguments: dict[str, Any] = {}
    for each in inspect.signature(function).parameters.values():
        if each.name == parameter:
            arguments[each.name] = None
        elif each.default is inspect.Parameter.empty and each.kind is not each.VAR_KEYWORD:
            try:
                arguments[each.name] = plain_value(hints[each.name])
            except LookupError as unknown:
                pytest.skip(f"needs {unknown}")
    for bad in ("NaN", "Infinity", "-Infinity"):
        if bad in TAKES_INFINITY.get(label, ()):
            continue
        several = get_origin(hints[parameter]) in (Sequence, Iterable)
        given = arguments | {parameter: (kind(1), kind(bad)) if several else kind(bad)}
        with pytest.raises(ValueError, match=r"[.?]$") as refusal:
            function(**given)
        assert "Decimal" not in str(refusal.value)
