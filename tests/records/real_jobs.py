"""Real repair records turned into the list that a shop would bring in: a kind of unit, a complaint, and what was done.

The records are the Open Repair Alliance's, CC BY-SA 4.0, and are read from the folder that `SHOP_OPEN_REPAIR` names; none is kept
here. Their one text holds complaint and work together, so it is parted at the first end of a sentence. Kinds are read from
the words of category and text. Both are common practice, no source.
"""

from __future__ import annotations

import csv
import gzip
import io
import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

DATA = os.environ.get("SHOP_OPEN_REPAIR", "")
FILES = ("restart-2022", "repairconnects-2025", "fixitclinic-2025")
HEADS = ("Number", "Came", "Maker", "Kind of unit", "Complaint", "Work done", "Outcome")
_KINDS = (
    ("guitar_amp", r"guitar amp|bass amp|amplificateur guitare"),
    ("turntable", r"turntable|record ?player|platenspeler|platendraaier|pick-?up|tourne[- ]?disque|platine"),
    ("tape_deck", r"cassette|tape|walkman|magn[ée]tophone"),
    ("cd_player", r"\b(cd|dvd)\b"),
    ("loudspeaker", r"speaker|baffle|enceinte|luidspreker"),
    ("synthesizer", r"synth|keyboard|piano|clavier|organ\b|drum machine"),
    ("effect", r"pedal|mixer|mixing"),
    ("amplifier", r"ampli|versterker|\bamp\b"),
)
_BY_CATEGORY = {
    "Portable radio": "radio",
    "Flat screen": "television",
    "Laptop": "computer",
    "Desktop computer": "computer",
    "Hi-Fi integrated": "receiver",
    "Hi-Fi separates": "amplifier",
    "Musical instrument": "synthesizer",
    "Battery/charger/adapter": "power_supply",
}
_AUDIO = {"Hi-Fi integrated", "Hi-Fi separates", "Musical instrument"}
_PARTED = re.compile(r"\s*(?:[.!?;](?=\s|[A-Z])|\n|\\n|\s[-–]\s)\s*")
_A_THING = re.compile(
    r"(?:an?|the|mini|small|portable|digital|dab|clock|alarm|music(?:al)?|home|stereo|hi-?fi|vintage|old|dj|cd|dvd|vinyl|record"
    r"|cassette|tape|deck|player|recorder|radio|tv|television|laptop|computer|desktop|keyboard|synthesi[sz]er|turntable|speakers?"
    r"|amplifier|amp|mixer|mixing|desk|pedal|guitar|effect|set|system|[\s/&'-])+",
    re.IGNORECASE,
)
_OUTCOMES = {
    "Fixed": "repaired",
    "Repairable": "returned unrepaired",
    "End of life": "beyond economic repair",
}


def records() -> Iterator[dict[str, str]]:
    """All rows of the three files."""
    for name in FILES:
        with gzip.open(Path(DATA) / f"{name}.csv.gz", "rt", encoding="utf-8", newline="") as file:
            yield from csv.DictReader(file)


def kind_of(row: Mapping[str, str]) -> str:
    """The kind of unit that a row speaks of."""
    category = row["product_category"]
    own = row["partner_product_category"].split("~")[-1]
    if category in _AUDIO:
        for text in (own, row["problem"][:120]):
            for kind, words in _KINDS:
                if re.search(words, text, re.IGNORECASE):
                    return kind
    return _BY_CATEGORY.get(category, "other")


def parted(problem: str) -> tuple[str, str]:
    """Complaint and work of one text; no work where it is one clause. A leading name of the thing is no complaint."""
    text = re.sub(r"<[^>]+>", " ", problem).strip(" .\n")
    parts = [part.strip(" .-") for part in _PARTED.split(text)]
    if len(parts) == 1:
        parts = [part.strip() for part in text.split(",")]
    if len(parts) > 1 and _A_THING.fullmatch(parts[0]):
        del parts[0]
    return parts[0], ". ".join(filter(None, parts[1:]))


def as_list() -> bytes:
    """The records as a list of old jobs, in UTF-8."""
    out = io.StringIO()
    write = csv.writer(out)
    write.writerow(HEADS)
    for row in records():
        complaint, work = parted(row["problem"])
        kind = kind_of(row)
        said = complaint or row["partner_product_category"].split("~")[-1].strip() or row["product_category"]
        write.writerow(
            (
                row["id"],
                row["event_date"],
                row["brand"],
                kind,
                said,
                work,
                _OUTCOMES.get(row["repair_status"], "not known"),
            )
        )
    return out.getvalue().encode()
