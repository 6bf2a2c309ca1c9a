"""Parts, labels and stamps of a unit, and how they are judged."""

from __future__ import annotations

from datetime import date

TODAY = date(2026, 11, 25)
