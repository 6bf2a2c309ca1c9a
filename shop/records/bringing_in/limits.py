"""How much of a list is read, and the one error that says why a file is none.

Sources: a sheet has at most 1,048,576 rows and a cell at most 32,767 characters (Microsoft, "Excel specifications and limits",
from memory). The other limits are common practice, no source.
"""

from __future__ import annotations

LAST_ROW = 1_048_576
LONGEST_CELL = 32_767
MOST_COLUMNS = 200
MOST_ROWS = 1_000_000

LARGEST_KEPT = 512 << 20
"""Bytes of a list as CSV."""

MEMORY = 256 << 20
"""Bytes of memory that the process may take which reads a file; more is refused by the system, not by us."""

SECONDS = 60
"""Seconds of processor time that it may take."""


class NoList(ValueError):
    """Why a file is no list that can be read; the message is one sentence."""
