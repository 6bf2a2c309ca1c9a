"""The window's verbs as the journal tells them."""

from __future__ import annotations

WORDS = {
    "window.opened": "gave the customer a link to their page",
    "window.withdrawn": "took back the links to the customer’s page",
    "word.said": "the customer said a word on their page",
    "word.answered": "answered the customer on their page",
    "word.seen": "read what the customer said",
}
