"""How long the server takes for each kind of note that the bench sends, on jobs with a long record in a book of many jobs.

Each note goes through the whole server, in process, as a tablet's outbox sends it: with its own id, answered with the pieces of
page that changed. Committed each time; what is timed ends when the answer is whole.
"""

from __future__ import annotations

import gc
import itertools
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart
from django.urls import reverse

from shop.bench.forms import SafetyForm
from shop.counter.models import Job
from shop.measuring.clocks import CLOCKS, times_of
from shop.measuring.desk import Desk

ROUNDS = 5
"""Notes of each kind on each job."""

Fields = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Note:
    """One kind of note: the door that it is sent to, and what stands in its form."""

    name: str
    door: str
    fields: Callable[[Desk, Job, int], Fields]


def _reading(desk: Desk, _job: Job, at: int) -> Fields:
    point = desk.points[at % len(desk.points)]
    return {"test_point": point.pk, "typed": f"12.{at % 5} V", "meter": desk.meter.pk}


def _photo(desk: Desk, _job: Job, at: int) -> Fields:
    upload = SimpleUploadedFile(f"{at}.jpg", desk.photo, "image/jpeg")
    return {"photos": upload, "shows": "bench"}


def _safety(desk: Desk, job: Job, _at: int) -> Fields:
    form = SafetyForm(job=job)
    fields: Fields = {"meter": desk.meter.pk, "sound": "yes"}
    for test in form.measured_tests:
        for name in form.fields:
            if name.startswith(f"{test}_0_"):
                fields[name] = {"where": "Headphone shell", "returns": "yes", "volt": "500"}.get(
                    name.rpartition("_")[2], "0.1 mA" if "current" in str(test) else "1"
                )
    return fields


CONCLUSION = {
    "failed": "Speaker relay",
    "mode": "dirty",
    "remedy": "Relay replaced.",
    "outcome": "repaired",
}
NOTES = (
    Note("Clock started", "start", lambda *_: {"kind": "repair"}),
    Note("Clock stopped", "stop", lambda *_: {}),
    Note("Finding", "finding", lambda _d, _j, at: {"text": f"Contact {at} dirty."}),
    Note("Reading", "reading", _reading),
    Note(
        "Evidence of earlier work",
        "evidence",
        lambda _d, _j, at: {"kind": "date_code", "where": f"C{at}", "marking": "8012"},
    ),
    Note("Part", "part", lambda desk, _j, at: {"part": desk.parts[at % 50].pk, "quantity": "1"}),
    Note("Part for the order list", "want", lambda desk, _j, at: {"part": desk.parts[900 + at % 1000].pk}),
    Note("Photograph", "photos", _photo),
    Note("Conclusion", "conclusion", lambda *_: dict(CONCLUSION)),
    Note("Safety check", "safety", _safety),
    Note("Cautions read", "cautions", lambda *_: {"key": ["mains-cover", "series-lamp"]}),
    Note("Put back on its shelf", "shelve", lambda *_: {}),
    Note("Taken to the bench", "take", lambda *_: {}),
)
PROVING = (
    Note("Soak test", "soak", lambda *_: {"hours": "4", "check_every": "30"}),
    Note("Soak-test check", "soak_check", lambda *_: {"temperature": "41"}),
    Note("Soak test ended", "soak_end", lambda *_: {"result": "came_back"}),
)


PAGES = (("The bench page, with its hints", "job"), ("What the records say to the job", "aside"))
"""Pages that the tablet asks for by themselves."""


@dataclass
class Sender:
    """Sends notes as a tablet does, and takes the time of each."""

    desk: Desk
    spent: dict[str, dict[str, list[float]]] = field(default_factory=dict)
    count: Iterator[int] = field(default_factory=itertools.count)

    def __post_init__(self) -> None:
        self.client = Client(SERVER_NAME="localhost")
        self.client.force_login(self.desk.by)

    def send(self, note: Note, job: Job, *, timed: bool = True) -> None:
        """Send one note; raises when the shop does not take it."""
        fields = note.fields(self.desk, job, next(self.count))
        entry = str(uuid.uuid4())
        address = reverse(f"bench:{note.door}", args=[job.number])
        body = encode_multipart(BOUNDARY, fields | {"once": entry})
        start = {name: now() for name, now in CLOCKS.items()}
        answer = self.client.generic(
            "POST", address, body, MULTIPART_CONTENT, headers={"X-Bench-Entry": entry}
        )
        spent = {name: (now() - start[name]) * 1000 for name, now in CLOCKS.items()}
        if answer.status_code != 200:
            reason = answer.headers.get("X-Bench-Reason", "")
            raise RuntimeError(f"{note.name} was answered with {answer.status_code}: {reason}")
        if timed:
            self._keep(note.name, spent)

    def look(self, name: str, door: str, job: Job, *, timed: bool = True) -> None:
        """Read one page as the tablet does."""
        start = {one: now() for one, now in CLOCKS.items()}
        answer = self.client.get(
            reverse(f"bench:{door}", args=[job.number]), headers={"X-Requested-With": "bench"}
        )
        spent = {one: (now() - start[one]) * 1000 for one, now in CLOCKS.items()}
        if answer.status_code != 200:
            raise RuntimeError(f"{name} was answered with {answer.status_code}.")
        if timed:
            self._keep(name, spent)

    def _keep(self, name: str, spent: dict[str, float]) -> None:
        for clock, milliseconds in spent.items():
            self.spent.setdefault(name, {}).setdefault(clock, []).append(milliseconds)

    def plain(self) -> dict[str, dict[str, dict[str, float]]]:
        """What each kind of note took by each clock, for JSON."""
        return {
            name: {clock: times_of(spent).plain() for clock, spent in clocks.items()}
            for name, clocks in self.spent.items()
        }


def measure_posts(desk: Desk, *, say: Callable[[str], None], rounds: int = ROUNDS) -> dict[str, object]:
    """Send every kind of note to every job, `rounds` times after one untimed round; milliseconds by each clock."""
    sender = Sender(desk)
    begun = time.perf_counter()
    for turn in range(rounds + 1):
        if turn == 1:
            gc.collect()
            gc.freeze()  # as the server does (shop/wsgi.py)
        for job in desk.jobs:
            for note in (*NOTES, *PROVING):
                sender.send(note, job, timed=turn > 0)
            for name, door in PAGES:
                sender.look(name, door, job, timed=turn > 0)
        say(f"round {turn} of {rounds} after {time.perf_counter() - begun:.0f} s")
    return {"jobs_on_the_bench": len(desk.jobs), "notes": sender.plain()}
