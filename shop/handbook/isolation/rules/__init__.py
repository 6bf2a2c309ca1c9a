"""The rules of isolation, in the order in which they are read: supply first, as on the bench.

Another one is added to one of these modules; its source and its counter-example stand with it.
"""

from __future__ import annotations

from ..rule import Rule
from . import channels, devices, drives, supply

RULES: tuple[Rule, ...] = (*supply.RULES, *channels.RULES, *drives.RULES, *devices.RULES)
