"""Recordings heard on the shop's own machine: with a stand-in for faster-whisper on the path that takes the library's real call
(`WhisperModel.__init__` and `.transcribe` of faster_whisper/transcribe.py, version 1.1.1, as published), and without it.
"""

from __future__ import annotations

import datetime as dt
import os
import sys
import uuid
from pathlib import Path
from typing import Any

import pytest
import webvtt
from django.core.files.uploadedfile import SimpleUploadedFile

from shop.bench import hearing
from shop.bench.models import Finding, Reading, Said
from shop.counter.models import Job
from shop.frame import clock
from shop.keeping import tasks
from shop.keeping.models import Task
from shop.keeping.night import Night
from tests.bench.test_saying import as_drawn, at
from tests.working import do_all

pytestmark = pytest.mark.django_db

LIBRARY = """
from typing import NamedTuple

class Word(NamedTuple):
    start: float
    end: float
    word: str
    probability: float

class Segment(NamedTuple):
    id: int
    words: list

class Info(NamedTuple):
    language: str
    duration: float

class WhisperModel:
    def __init__(self, model_size_or_path, device="auto", device_index=0, compute_type="default", cpu_threads=0,
                 num_workers=1, download_root=None, local_files_only=False, files=None, **model_kwargs):
        assert local_files_only
        assert not model_kwargs
        self.path = model_size_or_path

    def transcribe(self, audio, language=None, task="transcribe", log_progress=False, beam_size=5, best_of=5, patience=1,
                   length_penalty=1, repetition_penalty=1, no_repeat_ngram_size=0, temperature=(0.0, 0.2),
                   compression_ratio_threshold=2.4, log_prob_threshold=-1.0, no_speech_threshold=0.6,
                   condition_on_previous_text=True, prompt_reset_on_temperature=0.5, initial_prompt=None, prefix=None,
                   suppress_blank=True, suppress_tokens=(-1,), without_timestamps=False, max_initial_timestamp=1.0,
                   word_timestamps=False, prepend_punctuations="", append_punctuations="", multilingual=False,
                   vad_filter=False, vad_parameters=None, max_new_tokens=None, chunk_length=None, clip_timestamps="0",
                   hallucination_silence_threshold=None, hotwords=None, language_detection_threshold=0.5,
                   language_detection_segments=1):
        data = __import__("pathlib").Path(audio).read_bytes()
        if b"broken" in data:
            raise ValueError("Invalid data found when processing input")
        said = data.partition(b"says ")[2].decode()
        words = [Word(2.0 + at, 2.6 + at, " " + one.strip("?"), 0.2 if one.endswith("?") else 0.9)
                 for at, one in enumerate(said.split())]
        return (Segment(at, [one]) for at, one in enumerate(words)), Info("en", 60.0)
"""


@pytest.fixture
def hears(tmp_path: Path, monkeypatch: Any, settings: Any) -> Path:
    """The package on the path, and a model folder that the shop names."""
    (tmp_path / "faster_whisper.py").write_text(LIBRARY)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "faster_whisper", raising=False)
    for name in hearing.NEEDED:
        (tmp_path / name).write_bytes(b"")
    settings.HEARING_MODEL, settings.SHOP_DATA = str(tmp_path), tmp_path / "shop"
    settings.SHOP_DATA.mkdir()
    return tmp_path


def record(bench: Any, job: Job, said: str, **more: object) -> Any:
    """Bring a recording in which this is said; a word with a question mark is mumbled."""
    sound = SimpleUploadedFile("take 1.wav", b"RIFF\0\0\0\0WAVE says " + said.encode(), "audio/wav")
    return bench.post(at(job, "record_talk"), {"recording": sound, "once": str(uuid.uuid4()), **more})


def test_a_recording_becomes_a_talk_whose_every_value_waits_for_a_touch(
    bench: Any, job: Job, hears: Path
) -> None:
    began = clock.now().replace(microsecond=0) - dt.timedelta(hours=2)
    record(
        bench,
        job,
        "Left offset 12 millivolts. Cleaned the volume pot.",
        began_at=f"{began:%Y-%m-%dT%H:%M:%S}",
    )
    waiting = bench.get(at(job, "talks")).content.decode()
    assert "take 1.wav" in waiting.split("Being heard")[1]
    do_all()
    said = Said.objects.get()
    assert (said.by_ear, said.clip, said.began_at) == (True, "take 1.wav", began)
    # read by webvtt-py: a line for each sentence, with the times of its first and last word
    lines = [(one.start, one.end, one.text) for one in webvtt.from_string(said.text).captions]
    assert lines == [
        ("00:00:02.000", "00:00:05.600", "Left offset 12 millivolts."),
        ("00:00:06.000", "00:00:09.600", "Cleaned the volume pot."),
    ]
    drawn = as_drawn(bench.get(at(job, "said", said.pk)).content.decode())
    assert {value for name, value in drawn.items() if name.endswith("-choice")} == {"later"}
    bench.post(at(job, "said", said.pk), drawn | {"h0-choice": "take"})
    assert Reading.objects.get().typed == "12 mV"
    assert not Finding.objects.exists()
    assert not any((hears / "shop" / "listening").iterdir())


def test_what_rests_on_a_mumbled_word_is_asked(bench: Any, job: Job, hears: Path) -> None:
    record(bench, job, "Left offset 12? millivolts. Right offset 9 millivolts.")
    do_all()
    said = Said.objects.get()
    page = bench.get(at(job, "said", said.pk)).content.decode()
    assert page.count("Not sure: 12") == 1
    assert page.count("Say whether these were the words.") == 1


@pytest.mark.parametrize(
    "sound, says",
    [
        (b"RIFF\0\0\0\0WAVE broken", "can’t be read: Invalid data found"),
        (b"RIFF\0\0\0\0WAVE says ", "No words were heard"),
    ],
)
def test_what_can_not_be_heard_says_so_and_keeps_nothing(
    bench: Any, job: Job, hears: Path, sound: bytes, says: str
) -> None:
    bench.post(
        at(job, "record_talk"),
        {"recording": SimpleUploadedFile("a.wav", sound), "once": str(uuid.uuid4())},
    )
    do_all()
    assert says in bench.get(at(job, "talks")).content.decode()
    assert Task.objects.get().state == Task.State.FAILED
    assert not Said.objects.exists()


def test_hearing_is_stopped_between_two_words(bench: Any, job: Job, hears: Path, monkeypatch: Any) -> None:
    record(bench, job, "one two three")
    said = tasks.Work.say

    def stopped(work: tasks.Work, done: int, total: int, line: str = "") -> None:
        Task.objects.update(stop_asked_at=clock.now())
        said(work, done, total, line)

    monkeypatch.setattr(tasks.Work, "say", stopped)
    do_all()
    assert Task.objects.get().state == Task.State.STOPPED
    assert not Said.objects.exists()
    left = next((hears / "shop" / "listening").iterdir())
    os.utime(left, (0, 0))
    hearing.clear_recordings(Night(clock.now()))
    assert not left.exists()


@pytest.mark.parametrize(
    "sound, says",
    [
        (b"", "This file is empty."),
        (b"MZ\x90\0" * 8, "no sound file"),
        (b"<html>RIFF", "no sound file"),
    ],
)
def test_a_file_that_is_no_recording_is_refused_at_its_field(
    bench: Any, job: Job, hears: Path, sound: bytes, says: str
) -> None:
    answer = bench.post(
        at(job, "record_talk"),
        {"recording": SimpleUploadedFile("a.wav", sound), "once": str(uuid.uuid4())},
    )
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Task.objects.exists()


def test_without_the_package_one_sentence_says_so_and_a_text_is_still_brought(bench: Any, job: Job) -> None:
    page = bench.get(at(job, "talks")).content.decode()
    assert "This machine does not turn recordings into text." in page
    assert "Hear it" not in page
    assert "does not turn recordings into text" in record(bench, job, "x").content.decode()
    assert not Task.objects.exists()
    bench.post(at(job, "talks"), {"text": "0:05 lid is off", "once": str(uuid.uuid4())})
    assert Said.objects.get().by_ear is False


def test_a_folder_without_a_whole_model_is_named_before_anything_is_fetched(
    bench: Any, job: Job, hears: Path
) -> None:
    (hears / "tokenizer.json").unlink()
    assert "SHOP_HEARING names has no tokenizer.json" in bench.get(at(job, "talks")).content.decode()


def test_when_a_recording_began_can_be_said_later(bench: Any, job: Job) -> None:
    began = clock.now().replace(microsecond=0) - dt.timedelta(hours=2)
    Job.objects.filter(pk=job.pk).update(booked_in_at=began - dt.timedelta(days=1))
    bench.post(at(job, "talks"), {"text": "0:00 lid is off\n4:00 found it", "once": str(uuid.uuid4())})
    do_all()
    said = Said.objects.get()
    sent = {"began_at": f"{began + dt.timedelta(days=2):%Y-%m-%dT%H:%M:%S}", "once": str(uuid.uuid4())}
    bench.post(at(job, "talk_began", said.pk), sent)
    said.refresh_from_db()
    assert said.began_at is None
    bench.post(at(job, "talk_began", said.pk), sent | {"began_at": f"{began:%Y-%m-%dT%H:%M:%S}"})
    said.refresh_from_db()
    assert said.began_at == began
    assert b"Note it" in bench.get(at(job, "said", said.pk)).content
