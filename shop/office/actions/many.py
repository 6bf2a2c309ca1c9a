"""What an act over many came to."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db.models import Model

from shop.keeping.models import IssuedPaper


@dataclass(slots=True)
class Many:
    """The papers that were made, what was refused with the sentence why, and what is left for another act."""

    papers: list[IssuedPaper] = field(default_factory=list)
    refused: list[tuple[Model, str]] = field(default_factory=list)
    left: list[Model] = field(default_factory=list)
