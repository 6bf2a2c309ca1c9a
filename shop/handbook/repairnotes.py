"""What a repair taught, for publishing beside the Open Repair Data Standard: a second file for what that has no field for.

Each record bears the `id` that it has in the first file, and says what failed and how, how it is known, what fixed it, what did
not, and what was printed on the parts. The file is JSON, its form is `SCHEMA` (JSON Schema, draft 2020-12).

Sources
    Open Repair Data Standard v0.3, for the id and the repair status; JSON Schema 2020-12 (json-schema.org), from memory.
    The fields themselves: this project's own, free for anybody to use.
"""

from __future__ import annotations

from collections.abc import Sequence

FORMAT = "repair-notes/1"
LICENSE = "CC BY-SA 4.0"
STATUSES = ("Fixed", "Repairable", "End of life", "Unknown")


def _text(longest: int, about: str) -> dict[str, object]:
    return {"type": "string", "minLength": 1, "maxLength": longest, "description": about}


def _one_of(values: Sequence[str], about: str) -> dict[str, object]:
    return {"enum": list(values), "description": about}


def schema(modes: Sequence[str], known_by: Sequence[str]) -> dict[str, object]:
    """The JSON Schema of a file, with the words that this program has for how a part failed and how that is known."""
    record = {
        "id": _text(80, "The record's id in the publisher's Open Repair file."),
        "category": _text(60, "Product category of the Open Repair Data Standard."),
        "kind": _text(60, "What kind of unit it is, more closely."),
        "maker": _text(120, "The maker's name."),
        "model": _text(120, "The model; left out where nobody knows it."),
        "failed_part": _text(200, "What had failed."),
        "failure_mode": _one_of(modes, "How it had failed."),
        "known_by": _one_of(known_by, "How that is known; left out where nobody said."),
        "remedy": _text(20_000, "What was done about it."),
        "repair_status": _one_of(
            STATUSES, "How the repair ended, in the words of the Open Repair Data Standard."
        ),
        "no_cure": {
            "type": "array",
            "items": _text(20_000, "What had been done before and did not cure it."),
        },
        "markings": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "where": _text(160, "On which part."),
                    "marking": _text(120, "As it stands there."),
                },
                "required": ["where", "marking"],
                "additionalProperties": False,
            },
        },
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Repair notes: what a repair taught, beside a file of the Open Repair Data Standard",
        "type": "object",
        "properties": {
            "format": {"const": FORMAT},
            "publisher": _text(160, "Who publishes it."),
            "license": _text(80, "Under which license."),
            "records": {
                "type": "array",
                "items": {
                    "type": "object",
                    "properties": record,
                    "required": [
                        "id",
                        "category",
                        "maker",
                        "failed_part",
                        "failure_mode",
                        "remedy",
                        "repair_status",
                    ],
                    "additionalProperties": False,
                },
            },
        },
        "required": ["format", "publisher", "license", "records"],
        "additionalProperties": False,
    }
