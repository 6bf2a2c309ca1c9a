"""Invented facts for sample papers, shared by the tests of the press."""

from __future__ import annotations

import datetime as dt
from typing import Any

from shop.handbook.money import Money, UnitPrice
from shop.press.building import Address, Fact, Line, LineGroup, LineTable, Notice, Signature, Total

COMPLAINT = (
    "Left channel cuts out after ten minutes, comes back when I tap the lid. Smells warm. "
    "Somebody had it apart years ago and the feet are gone."
)
TERMS = (
    "We keep a unit for ninety days after we tell you that it is ready. After that we may charge for keeping it, or sell "
    "it as the law of this state allows, and we will write to you first.\n\nParts that we replace are yours: ask for them "
    "when you leave the unit. Parts that go back to a maker in exchange are marked on the invoice.\n\nWhat we repaired "
    "we stand behind for ninety days. A different fault is a new repair. Old units have many parts near the end of their lives."
)


def usd(cents: int) -> Money:
    return Money(cents, "USD")


def customer() -> Address:
    return Address.of(
        "Isolde Farrow\nc/o Lantern Street Studio\n2208 Lantern Street, Unit 4\nPort Amity, CA 90000"
    )


def unit_facts() -> list[Fact]:
    return [
        Fact("Maker", "Quillon"),
        Fact("Model", "VX-318"),
        Fact("Serial number", "A40 118 207"),
        Fact("Kind", "Receiver"),
        Fact("Came with", "Power cord, wooden case, manual; no feet", wide=True),
    ]


def invoice(*, labour_lines: int = 3) -> dict[str, Any]:
    work = [
        (
            "Finding the fault",
            "Thermal; cold solder joint at the left driver board, found with freeze spray and a hot-air pencil.",
        ),
        ("Resoldering the driver boards, new thermal compound", ""),
        (
            "Cleaning controls and switches; alignment of the tuner; bias and offset set",
            "Idle 22.4 mV / 22.1 mV across 0.47 Ω, offset below 5 mV.",
        ),
    ]
    labour = [
        Line(text, note, "0.7", "h", UnitPrice(850000, "USD"), "", usd(5950))
        for text, note in (work * labour_lines)[:labour_lines]
    ]
    parts = [
        Line("Capacitor, electrolytic, 4.7 µF 63 V", "", "4", "", UnitPrice(4200, "USD"), "T", usd(168)),
        Line(
            "Transistor pair, matched",
            "Out of a donor unit of the same model.",
            "1",
            "",
            UnitPrice(140000, "USD"),
            "T",
            usd(1400),
            mark="used part",
        ),
        Line("Feet, rubber, set of four", "", "1", "", UnitPrice(65000, "USD"), "T", usd(650)),
    ]
    return {
        "to": customer(),
        "facts": [
            Fact("Invoice date", "November 25, 2026"),
            Fact("Due", "December 9, 2026"),
            Fact("Job", "26-0417-Z"),
            Fact("Received", "November 3, 2026"),
            Fact("Repaired by", "Ottoline Brask (01)", wide=True),
        ],
        "unit": unit_facts(),
        "complaint": COMPLAINT,
        "table": LineTable(
            [
                LineGroup("Labor", labour, usd(5950 * labour_lines)),
                LineGroup("Parts", parts, usd(2218)),
                LineGroup("Other", [Line("Environmental fee", "", "", "", None, "", usd(250))]),
            ],
            "USD",
        ),
        "totals": [
            Total("Labor, parts and other", usd(20318)),
            Total("Sales tax 7.25 % on parts (T)", usd(161)),
            Total("Deposit paid November 3", usd(-4500)),
            Total("To pay", usd(15979), strong=True),
        ],
        "notices": [
            Notice(
                "Parts marked “used part” came out of another unit and were tested here.",
                "Used parts",
                "16 CCR 2725(l)",
            ),
        ],
        "signatures": [
            Signature("For the shop", "Ottoline Brask (01)", dt.date(2026, 11, 25)),
            Signature("Received the unit"),
        ],
        "terms": TERMS,
    }


def claim_check() -> dict[str, Any]:
    return {
        "to": customer(),
        "facts": [
            Fact("Received", "November 3, 2026"),
            Fact("Promised", "by November 24"),
            Fact("Agreed limit", "$250.00"),
            Fact("Bench fee, paid", "$45.00"),
            Fact("Accepted by", "Ottoline Brask (01)", wide=True),
        ],
        "unit": unit_facts(),
        "complaint": COMPLAINT,
        "notices": [
            Notice(
                "You will get a written estimate before any work is done, and nothing is done without your yes.",
                "Estimates",
            ),
            Notice("Bring this paper when you come for the unit.", "Collecting"),
        ],
        "signatures": [
            Signature("Customer"),
            Signature("For the shop", "Ottoline Brask (01)", dt.date(2026, 11, 3)),
        ],
        "address": "https://halftone.example/w/9f2c6a1b",
    }


def letter() -> dict[str, Any]:
    return {
        "to": customer(),
        "facts": [Fact("Date", "November 25, 2026"), Fact("Job", "26-0417-Z")],
        "paragraphs": [
            "Dear Isolde Farrow,",
            "your receiver has been ready since August 20 and we have written to you twice.",
            "Please collect it, or tell us how it should reach you, by December 20, 2026.",
            "With kind regards",
        ],
    }


def tag() -> dict[str, Any]:
    return {
        "unit": "Quillon VX-318",
        "whose": "Farrow · A40 118 207",
        "shelf": "B3",
        "address": "https://halftone.example/26-0417-Z",
    }
