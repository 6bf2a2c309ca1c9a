"""Sets that must match: output pairs, paralleled devices, complementary pairs, and the same position in two channels.

Sources
    Limits: hFE within 10 %, 5 % for paralleled devices, V_BE within 5 to 10 mV, same lot, same gain group, same
    temperature and test current: common practice, no source.
    Percent has no one meaning: 96 and 106 are 10.42 % apart of the lower and 9.90 % of the mean, so a 10 % rule fails
    or passes them by the definition alone (arithmetic). Every answer here names its own; the lower is the stricter.
    V_BE and current, by Ebers and Moll, and the drift of V_BE with temperature: the sources of ``audio``.
    Largest set of disjoint pairs: J. Edmonds, Paths, trees and flowers, 1965 (from memory).
"""

from __future__ import annotations

from .pairs import MOST_DEVICES, Pair, find_pairs
from .sets import RULES, Check, Device, Outcome, Rule, SetKind, SetReport, check_set, rule_of
from .spread import Basis, MatchingError, percent_apart

__all__ = [
    "MOST_DEVICES",
    "RULES",
    "Basis",
    "Check",
    "Device",
    "MatchingError",
    "Outcome",
    "Pair",
    "Rule",
    "SetKind",
    "SetReport",
    "check_set",
    "find_pairs",
    "percent_apart",
    "rule_of",
]
