"""The first run's verb as the journal tells it."""

from __future__ import annotations

WORDS = {
    "shop.opened": "opened the shop",
}
