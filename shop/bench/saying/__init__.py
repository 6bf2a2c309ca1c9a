"""What is said at the bench as cards that a person takes, changes or drops: each is filled from words, never from a guess."""

from __future__ import annotations

from shop.bench.saying.cards import Card, cards_of, digest_of, kept_as, proposal_of
from shop.bench.saying.form import SayForm, TakeForm
from shop.bench.saying.talks import BeganForm, RecordingForm, RunForm, TalkForm

__all__ = [
    "BeganForm",
    "Card",
    "RecordingForm",
    "RunForm",
    "SayForm",
    "TakeForm",
    "TalkForm",
    "cards_of",
    "digest_of",
    "kept_as",
    "proposal_of",
]
