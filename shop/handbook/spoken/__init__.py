"""What is said at the bench becomes proposals for the record: no service, no guess, every value pointed at in the words.

``read_line`` reads one line, ``read_talk`` the cues of a talked-through repair, ``read_timed`` the cues of a timed text.
Nothing here takes a proposal: that a person does, and never all at once what stands in ``NEVER_IN_ALL``.
"""

from __future__ import annotations

from shop.handbook.spoken.proposals import NEVER_IN_ALL, Kind, Proposal, Said
from shop.handbook.spoken.reader import LONGEST_LINE, Moment, read_line, read_talk
from shop.handbook.spoken.talks import (
    PAUSE,
    chapters_as_text,
    chapters_as_webvtt,
    chapters_of,
    moment,
    runs_of,
)
from shop.handbook.spoken.timed import (
    Cue,
    NoTimedText,
    Timed,
    read_plain,
    read_subrip,
    read_timed,
    read_webvtt,
)

__all__ = [
    "LONGEST_LINE",
    "NEVER_IN_ALL",
    "PAUSE",
    "Cue",
    "Kind",
    "Moment",
    "NoTimedText",
    "Proposal",
    "Said",
    "Timed",
    "chapters_as_text",
    "chapters_as_webvtt",
    "chapters_of",
    "moment",
    "read_line",
    "read_plain",
    "read_subrip",
    "read_talk",
    "read_timed",
    "read_webvtt",
    "runs_of",
]
