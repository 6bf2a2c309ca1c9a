"""Readings out of a sentence: each value with its place, what it should be, and what has to be asked.

A value is only ever one that was said. What is taken from beside it is its unit: from what it should be, from the
reading before it at the same place, or from the place where that is a rail, a heater or an electrode, which are told in
volts. A reading without a unit or a place asks for it.
"""

from __future__ import annotations

from shop.handbook.spoken.readings.reading import Readings

__all__ = ["Readings"]
