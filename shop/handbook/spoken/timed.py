"""Text with times: WebVTT, SubRip, and plain lines that begin with ``[m:ss]`` or ``hh:mm:ss``.

A cue that can't be read is skipped and named by its line; only a WebVTT file without its signature is refused.
Source: WebVTT, The Web Video Text Tracks Format (W3C); SubRip has no standard: its form as the libraries write it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import unescape

LARGEST = 10_000_000
"""Characters of a timed text."""


class NoTimedText(ValueError):
    """What was given is no timed text; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class Cue:
    """What was said from ``start`` to ``end``, in seconds; ``end`` is None where the text doesn't tell it."""

    start: Decimal
    end: Decimal | None
    text: str
    unsure: tuple[str, ...] = ()
    """Words that a machine heard and isn't sure of: those of the cue class ``unsure``."""


@dataclass(frozen=True, slots=True)
class Timed:
    """The cues that could be read, and the number of each line (from 1) at which one couldn't."""

    cues: tuple[Cue, ...]
    skipped: tuple[int, ...]


_TIME = r"(?:(\d{1,4}):)?([0-5]?\d):([0-5]\d)(?:[.,](\d{1,3}))?"
_VTT_TIME = re.compile(r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})")
_SRT_TIME = re.compile(r"(\d{1,4}):([0-5]?\d):([0-5]?\d)[,.](\d{1,3})")
_ARROW = re.compile(r"^\s*(\S+)\s*-->\s*(\S+)(?:\s+.*)?$")
_PLAIN = re.compile(rf"^\s*\[?{_TIME}\]?[\s\-\u2013:]*(.*)$")
_UNSURE = re.compile(r"<c\.unsure>([^<]+)</c>")
_TAG = re.compile(r"</?[A-Za-z0-9][^<>]*>|</?>|\{\\[^}]*\}")


def read_timed(text: str) -> Timed:
    """The cues of a timed text, whichever of the three forms it has. Raises NoTimedText."""
    text = _plain(text)
    if text.startswith("WEBVTT"):
        return read_webvtt(text)
    if "-->" in text:
        return read_subrip(text)
    return read_plain(text)


def _plain(text: str) -> str:
    """Without byte-order mark, one kind of line end, NUL as the standard asks (U+FFFD)."""
    if len(text) > LARGEST:
        raise NoTimedText(
            f"The text is longer than {LARGEST // 1_000_000} million characters; give it in pieces."
        )
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").replace("\0", "\ufffd")


def read_webvtt(text: str) -> Timed:
    """The cues of a WebVTT text; notes, styles and regions are passed over. Raises NoTimedText without its signature."""
    lines = _plain(text).split("\n")
    if not re.match(r"^WEBVTT(?:[ \t].*)?$", lines[0]):
        raise NoTimedText("A WebVTT text begins with the line WEBVTT, and this one does not.")
    return _blocks(lines, _VTT_TIME, begin=1)


def read_subrip(text: str) -> Timed:
    """The cues of a SubRip text. Raises NoTimedText only where it is too long."""
    return _blocks(_plain(text).split("\n"), _SRT_TIME, begin=0)


def read_plain(text: str) -> Timed:
    """Lines that begin with a time; a line without one belongs to the cue above. Raises NoTimedText if none has one."""
    starts: list[tuple[Decimal, list[str]]] = []
    skipped = []
    for number, line in enumerate(_plain(text).split("\n"), 1):
        found = _PLAIN.match(line)
        if found:
            starts.append((_seconds(found), [found[5].strip()]))
        elif line.strip() and starts:
            starts[-1][1].append(line.strip())
        elif line.strip():
            skipped.append(number)
    if not starts:
        raise NoTimedText("No line begins with a time such as [1:05] or 00:01:05.")
    return Timed(tuple(Cue(at, None, _shown(lines)) for at, lines in starts), tuple(skipped))


def _blocks(lines: Sequence[str], time: re.Pattern[str], begin: int) -> Timed:
    """Cues by their line with the arrow; the lines up to the next empty one or arrow are what was said."""
    cues: list[Cue] = []
    skipped: list[int] = []
    for number, block in _paragraphs(lines, begin):
        cue = _cue(block, time)
        if cue:
            cues.append(cue)
        elif any("-->" in line for line in block):
            skipped.append(number + next(at for at, line in enumerate(block) if "-->" in line))
    return Timed(tuple(cues), tuple(skipped))


def _paragraphs(lines: Sequence[str], begin: int) -> Iterator[tuple[int, list[str]]]:
    """The blocks between empty lines, each with the number of its first line."""
    block: list[str] = []
    for number, line in enumerate([*lines[begin:], ""], begin + 1):
        if line.strip():
            block.append(line)
        elif block:
            yield number - len(block), block
            block = []


def _cue(block: Sequence[str], time: re.Pattern[str]) -> Cue | None:
    """One cue; None where its times can't be read or run backwards."""
    if block[0].startswith(("NOTE", "STYLE", "REGION")) and "-->" not in block[0]:
        return None
    at = next((at for at, line in enumerate(block[:2]) if "-->" in line), None)
    found = _ARROW.match(block[at]) if at is not None else None
    first, last = (time.fullmatch(found[1]), time.fullmatch(found[2])) if found else (None, None)
    if at is None or not first or not last or _seconds(last) <= _seconds(first):
        return None
    said = block[at + 1 :]
    return Cue(
        _seconds(first), _seconds(last), _shown(said), tuple(map(unescape, _UNSURE.findall(" ".join(said))))
    )


def _seconds(found: re.Match[str]) -> Decimal:
    """Hours, minutes, seconds and their fraction, exactly."""
    hours, minutes, seconds, part = (found[1] or "0", found[2], found[3], found[4] or "0")
    return Decimal(int(hours) * 3600 + int(minutes) * 60 + int(seconds)) + Decimal(f"0.{part}")


def _shown(lines: Sequence[str]) -> str:
    """What is said, without markup; what looks like a script is text and nothing else."""
    return unescape(_TAG.sub("", " ".join(line.strip() for line in lines))).strip()
