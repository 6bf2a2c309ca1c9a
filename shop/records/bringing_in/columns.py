"""What a column of an old list may hold, and which heading likely means it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz

from shop.counter.keys import name_key

NEAR_ENOUGH = 85
"""How like a heading must be to a known one, of 100. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Column:
    """One thing that a job may have: its key, what a person calls it, and headings that mean it."""

    key: str
    label: str
    headings: tuple[str, ...]
    required: bool = False


COLUMNS = (
    Column(
        "came",
        "Day it came",
        (
            *(
                "day it came",
                "came",
                "date",
                "date in",
                "received",
                "date received",
                "booked in",
                "event_date",
            ),
            *("day", "arrived", "date arrived", "intake", "intake date", "checked in", "in"),
            *("eingang", "eingangsdatum", "annahme", "annahmedatum", "datum", "angenommen am"),
        ),
        required=True,
    ),
    Column(
        "ended",
        "Day it went home",
        (
            *(
                "day it went home",
                "ended",
                "date out",
                "gone out",
                "returned",
                "collected",
                "completed",
                "closed",
            ),
            *("went home", "finished", "date returned", "date collected", "date completed", "out"),
            *("ausgang", "ausgangsdatum", "abholung", "abholdatum", "abgeholt", "abgeholt am", "fertig am"),
        ),
    ),
    Column(
        "complaint",
        "Complaint",
        (
            *("complaint", "fault", "problem", "symptom", "issue", "reported", "what was wrong"),
            *("fault description", "fault reported", "reported fault", "problem description"),
            *("complaints", "symptoms", "customer complaint", "fault as reported", "description"),
            *(
                "fehler",
                "fehlerbeschreibung",
                "beanstandung",
                "problembeschreibung",
                "fehlerangabe",
                "defekt",
            ),
            *("kundenangabe", "problem laut kunde"),
        ),
        required=True,
    ),
    Column("maker", "Maker", ("maker", "make", "brand", "manufacturer", "hersteller", "marke", "fabrikat")),
    Column(
        "model",
        "Model",
        (
            *("model", "model number", "model no", "type", "equipment", "item", "partner_product_category"),
            *("modell", "typ", "gerät", "gerätetyp", "modellbezeichnung", "bezeichnung"),
        ),
    ),
    Column(
        "kind",
        "Kind of unit",
        ("kind of unit", "kind", "category", "product_category", "unit", "geräteart", "kategorie"),
    ),
    Column(
        "serial", "Serial number", ("serial", "serial number", "serial no", "s n", "seriennummer", "seriennr")
    ),
    Column(
        "customer",
        "Customer",
        ("customer", "client", "name", "customer name", "client name", "owner", "group_identifier", "kunde"),
    ),
    Column("phone", "Phone", ("phone", "telephone", "mobile", "tel", "tel no", "phone number", "telefon")),
    Column("email", "E-mail", ("email", "e mail", "mail", "email address")),
    Column(
        "finding",
        "Finding",
        (
            "finding",
            "findings",
            "diagnosis",
            "notes",
            "remarks",
            "befund",
            "diagnose",
            "bemerkung",
            "bemerkungen",
        ),
    ),
    Column(
        "failed",
        "What failed",
        (
            *("what failed", "failed", "cause", "part failed", "failed part", "defect", "defective part"),
            *("root cause", "ursache", "fehlerursache", "defektes teil", "defektes bauteil"),
        ),
    ),
    Column(
        "remedy",
        "What fixed it",
        (
            *("what fixed it", "remedy", "repair", "solution", "fix", "action taken", "work carried out"),
            *("repair done", "work done", "work performed", "repairs", "resolution"),
            *("abhilfe", "reparatur", "maßnahme", "behebung", "ausgeführte arbeiten", "arbeiten"),
        ),
    ),
    Column(
        "outcome", "Outcome", ("outcome", "result", "status", "state", "repair_status", "ergebnis", "zustand")
    ),
    Column("stage", "Where it stands", ("stage", "where it stands")),
    Column(
        "number",
        "Old job number",
        (
            *("number", "job", "job number", "job no", "no", "id", "ref", "reference"),
            *(
                "ticket",
                "ticket number",
                "order",
                "order number",
                "nr",
                "nummer",
                "auftrag",
                "auftragsnummer",
            ),
            *("auftragsnr", "reparaturnummer"),
        ),
    ),
    Column(
        "year_built",
        "Year made",
        ("year of building", "year_of_manufacture", "built", "year", "baujahr"),
    ),
    Column("provider", "Published by", ("published by", "data_provider")),
    Column(
        "barrier",
        "Why it was not repaired",
        ("why it was not repaired", "repair_barrier_if_end_of_life", "repair barrier", "barrier"),
    ),
    Column("country", "Country of who published it", ("country of who published it", "country")),
)
BY_KEY = {column.key: column for column in COLUMNS}


def matched(header: Sequence[str]) -> dict[str, int]:
    """The likeliest column for each thing, by exact heading first, then by the nearest; each column is taken once."""
    names = [name_key(heading.replace("_", " ")) for heading in header]
    found: dict[str, int] = {}
    for near in (False, True):
        for column in COLUMNS:
            if (
                column.key not in found
                and (at := _place(column, names, set(found.values()), near=near)) is not None
            ):
                found[column.key] = at
    return found


def _place(column: Column, names: Sequence[str], taken: set[int], *, near: bool) -> int | None:
    wanted = [name_key(heading.replace("_", " ")) for heading in column.headings]
    free = [(at, name) for at, name in enumerate(names) if name and at not in taken]
    if not near:
        return next((at for heading in wanted for at, name in free if name == heading), None)
    rated = [(max(fuzz.ratio(name, heading) for heading in wanted), -at) for at, name in free]
    best = max(rated, default=(0, 0))
    return -best[1] if best[0] >= NEAR_ENOUGH else None


def unmatched(header: Sequence[str], columns: Mapping[str, int]) -> list[str]:
    """The headings of columns that nothing was chosen for, as they are written: what stands in them is not brought in."""
    taken = set(columns.values())
    return [
        heading or f"column {at + 1}, which has no heading"
        for at, heading in enumerate(header)
        if at not in taken
    ]


def missing(columns: Mapping[str, int]) -> list[Column]:
    """Required things that no column was chosen for."""
    return [column for column in COLUMNS if column.required and column.key not in columns]
