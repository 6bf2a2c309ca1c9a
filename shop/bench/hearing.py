"""Hearing on the shop's own machine, where it was installed: a recording in, words with their times out.

`Recogniser` is all that the bench knows of it. The one that stands behind it is the package faster-whisper with a model folder
that the shop names (`SHOP_HEARING`); nothing is ever fetched. What the calls look like: its own source, `WhisperModel` and
`WhisperModel.transcribe` of faster_whisper/transcribe.py (version 1.1). The recording lies here until it was heard.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import importlib
import importlib.util
import os
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from pathlib import Path
from typing import NamedTuple, Protocol, cast

from django.conf import settings
from django.core.files.base import File

from shop.frame import clock
from shop.frame.refusal import Refusal
from shop.keeping.night import Night

PACKAGE = "faster_whisper"
NEEDED = ("model.bin", "tokenizer.json")
"""Without its own tokenizer the package would fetch one."""
NOT_INSTALLED = (
    "This machine does not turn recordings into text. That takes the package faster-whisper and a model folder (README, "
    "“A recording into text”); everything else works without."
)
LARGEST = 200_000_000
"""Bytes of a recording."""
SURE = 0.5
"""From here a word counts as heard: common practice, no source."""
A_PAUSE = 1.0
"""Seconds of silence after which a new line begins."""
LONGEST_CUE = 40
"""Words of a line."""
LIVES = dt.timedelta(days=7)
"""How long a recording lies here that nobody had heard to its end."""


class Word(NamedTuple):
    """A word as it was heard: from when to when in seconds, and how sure that is, from 0 to 1."""

    text: str
    start: float
    end: float
    sure: float


@dataclass(frozen=True, slots=True)
class Listening:
    """A recording that is being heard: how many seconds it has, and its words as they come."""

    seconds: float
    words: Iterator[Word]


class Recogniser(Protocol):
    """Whatever hears recordings on this machine."""

    def listen(self, recording: Path) -> Listening:
        """Hear a recording. Refuses one that can't be read."""


# --- faster-whisper ---------------------------------------------------------------------------------------------------


class _Spoken(Protocol):
    word: str
    start: float
    end: float
    probability: float


class _Segment(Protocol):
    words: list[_Spoken] | None


class _Info(Protocol):
    duration: float


class _Model(Protocol):
    def transcribe(
        self,
        audio: str,
        language: str | None,
        *,
        beam_size: int,
        condition_on_previous_text: bool,
        word_timestamps: bool,
        vad_filter: bool,
    ) -> tuple[Iterable[_Segment], _Info]: ...


class _Library(Protocol):
    def WhisperModel(  # noqa: N802  (the library's own name)
        self,
        model_size_or_path: str,
        *,
        device: str,
        compute_type: str,
        cpu_threads: int,
        local_files_only: bool,
    ) -> _Model: ...


class FasterWhisper:
    """faster-whisper on the processor, with a model that lies in a folder of this machine."""

    def __init__(self, folder: Path) -> None:
        """Load the model: some seconds. Refuses a folder that the library can't read."""
        os.environ["HF_HUB_OFFLINE"] = "1"
        try:
            library = cast("_Library", importlib.import_module(PACKAGE))
            self._model = library.WhisperModel(
                str(folder),
                device="cpu",
                compute_type="int8",
                cpu_threads=max(1, (os.cpu_count() or 2) // 2),
                local_files_only=True,
            )
        except (ImportError, OSError, ValueError, RuntimeError) as error:
            raise Refusal(f"The model can’t be loaded: {_told(error)}") from error

    def listen(self, recording: Path) -> Listening:
        """Hear a recording, a stretch at a time: the words come while they are asked for."""
        try:
            segments, info = self._model.transcribe(
                str(recording),
                "en",
                beam_size=5,
                condition_on_previous_text=False,
                word_timestamps=True,
                vad_filter=True,
            )
        except (OSError, ValueError, LookupError, RuntimeError) as error:
            raise Refusal(f"This recording can’t be read: {_told(error)}") from error
        words = (
            Word(one.word.strip(), one.start, one.end, one.probability)
            for segment in segments
            for one in segment.words or ()
        )
        return Listening(info.duration, words)


def _told(error: Exception) -> str:
    return " ".join(str(error).split())[:200] or type(error).__name__


def why_deaf() -> str:
    """Why no recording can be heard here, in one sentence; empty where one can."""
    if not settings.HEARING_MODEL or importlib.util.find_spec(PACKAGE) is None:
        return NOT_INSTALLED
    folder = Path(settings.HEARING_MODEL)
    lacking = [name for name in NEEDED if not (folder / name).is_file()]
    return f"The folder that SHOP_HEARING names has no {' and no '.join(lacking)}." if lacking else ""


def recogniser() -> Recogniser:
    """What hears recordings in this shop. Refuses with `why_deaf`."""
    if why := why_deaf():
        raise Refusal(why)
    return FasterWhisper(Path(settings.HEARING_MODEL))


# --- as a timed text --------------------------------------------------------------------------------------------------


def as_webvtt(words: Iterable[Word]) -> str:
    """The words as a WebVTT text, a line for each sentence or breath; what was heard unsurely is of the class `unsure`."""
    cues: list[list[Word]] = []
    for word in words:
        if not word.text:
            continue
        last = cues[-1][-1] if cues else None
        if last is None or _begins(word, last) or len(cues[-1]) >= LONGEST_CUE:
            cues.append([])
        cues[-1].append(word)
    return "WEBVTT\n\n" + "".join(_cue(one) for one in cues)


def _begins(word: Word, last: Word) -> bool:
    return word.start - last.end > A_PAUSE or last.text.endswith((".", "!", "?"))


def _cue(words: list[Word]) -> str:
    start = max(words[0].start, 0)
    end = max(words[-1].end, start + 0.001)
    said = " ".join(_marked(one) for one in words)
    return f"{_stamp(start)} --> {_stamp(end)}\n{said}\n\n"


def _marked(word: Word) -> str:
    text = escape(word.text, quote=False)
    return text if word.sure >= SURE else f"<c.unsure>{text}</c>"


def _stamp(seconds: float) -> str:
    whole, thousandths = divmod(int(Decimal(str(seconds)) * 1000), 1000)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}.{thousandths:03d}"


# --- where recordings lie until they were heard -----------------------------------------------------------------------


def recording_of(name: str) -> Path:
    """Where the recording of that name (a UUID) lies."""
    return Path(settings.SHOP_DATA) / "listening" / str(uuid.UUID(name))


def lay_by(upload: File[bytes]) -> str:
    """Keep a recording until it was heard; its name."""
    name = str(uuid.uuid4())
    path = recording_of(name)
    path.parent.mkdir(mode=0o700, exist_ok=True)
    try:
        with path.open("xb") as into:
            path.chmod(0o600)
            for chunk in upload.chunks():
                into.write(chunk)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    return name


def clear_recordings(night: Night) -> None:
    """Delete recordings that lie here for days: hearing them was stopped, or failed."""
    gone = 0
    for path in (Path(settings.SHOP_DATA) / "listening").glob("*"):
        with contextlib.suppress(FileNotFoundError):
            if clock.now() - dt.datetime.fromtimestamp(path.stat().st_mtime, tz=dt.UTC) > LIVES:
                path.unlink()
                gone += 1
    night.note(
        gone,
        "A recording that was not heard was cleared away.",
        "{} recordings that were not heard were cleared away.",
    )
