"""Quantities: what a technician types becomes an exact value with its unit, and is printed by the rules of the SI.

Sources: each module names its own. IEC 60062 (RKM codes, tolerance letters, colour bands), the SI brochure
(prefixes, printing), common bench practice for the rest.

``parse`` reads a value, ``part_values`` every reading of a part's marking, ``engineering`` and ``rkm`` print one,
``with_unit`` repeats what was typed so that it can be read later.
"""

from __future__ import annotations

from .kinds import Kind
from .marks import TOLERANCES, rkm
from .parsing import LONGEST, parse, part_values, with_unit
from .quantity import Quantity, Tolerance, Unreadable, canonical
from .si import PREFIXES, engineering

__all__ = [
    "LONGEST",
    "PREFIXES",
    "TOLERANCES",
    "Kind",
    "Quantity",
    "Tolerance",
    "Unreadable",
    "canonical",
    "engineering",
    "parse",
    "part_values",
    "rkm",
    "with_unit",
]
