"""The verbs of the planner as the journal tells them."""

from __future__ import annotations

WORDS = {
    "planner.moved": "put it at place {place} of the queue",
    "planner.key_made": "made a key to the calendar",
    "planner.key_withdrawn": "withdrew a key to the calendar",
    "planner.reminded": "wrote a reminder: {kind}",
    "planner.left_aside": "left a reminder aside: {kind}",
}
