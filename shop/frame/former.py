"""Where a table stood before: in a book of the first format all facts that rooms share stood in one room.

The journal of such a book speaks of them by those names for ever, because its chain covers every word of it.
"""

from __future__ import annotations

FORMER = {
    "premises.issuedpaper": "keeping.issuedpaper",
    "premises.journalentry": "frame.journalentry",
    "premises.journalhead": "frame.journalhead",
    "premises.journaltouch": "frame.journaltouch",
    "premises.labelstock": "press.labelstock",
    "premises.message": "keeping.message",
    "premises.nightlyreport": "keeping.nightlyreport",
    "premises.numberseries": "frame.numberseries",
    "premises.picture": "keeping.picture",
    "premises.shopprofile": "frame.shopprofile",
    "premises.staff": "frame.staff",
    "premises.staff_groups": "frame.staff_groups",
    "premises.storedfile": "keeping.storedfile",
}


def name_now(table: str) -> str:
    """What a table is called today."""
    return FORMER.get(table, table)


def names_ever(table: str) -> list[str]:
    """What a table of today is called in the journal: its name, and the one it had before."""
    return [table, *(before for before, now in FORMER.items() if now == table)]
