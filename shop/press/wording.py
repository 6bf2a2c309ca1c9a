"""The verbs of the press as the journal tells them."""

from __future__ import annotations

WORDS = {
    "paper.issued": "issued a paper: {kind}",
    "label_stock.changed": "changed the label stock",
}
