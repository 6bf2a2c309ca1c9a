"""The journal in words. Entries hold codes, ids and sums; the sentence is made when it is shown.

A room has the words of its verbs, and how things of its own are called, in its `wording.py`, which `gather` reads:

    WORDS = {"invoice.issued": "issued invoice {number} over {total_minor}"}
    NAMERS = {"counter.job": job_names}        # ids -> {id: Name("26-0417-Z", "/jobs/26-0417-Z/")}
    LABELS = {"to_stage": {"proving": "on soak test"}}  # words of a fact's codes; others are said as they are spelled

A verb without words (of a book that a later program wrote) is shown as it is spelled, with its facts.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec

from shop.frame import spelling
from shop.frame.former import name_now
from shop.frame.models import JournalEntry, Staff
from shop.frame.profile import the_profile
from shop.frame.seals import SEALS

WORDS = {"person.erased": "erased what named a person, at the end of its retention"}


@dataclass(frozen=True, slots=True)
class Name:
    """What a thing is called, and the address of its page, if it has one. A paper opens beside the page that names it."""

    text: str
    address: str = ""
    is_paper: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """One entry, ready to be shown: the sentence, the thing it is about, the jobs it touches, who, when."""

    entry: JournalEntry
    sentence: str
    subject: Name | None
    jobs: list[Name]
    who: str

    @property
    def is_stage(self) -> bool:
        """True where a job changed its stage: such entries stand out in the list."""
        return "stage" in self.entry.data


Namer = Callable[[Iterable[int]], Mapping[int, Name]]

JOB = "counter.job"
"""The subject type of jobs, which entries name apart from their subject."""

_words: dict[str, str] = {}
_namers: dict[str, Namer] = {}
_labels: dict[str, Mapping[str, str]] = {}
_ISO = re.compile(r"\d{4}-\d\d-\d\d(T.*)?")


def gather(rooms: Iterable[str]) -> None:
    """Read `wording.py` of those packages that have one: `WORDS` by verb, `NAMERS` by kind of thing, `LABELS` by fact."""
    for room in rooms:
        if find_spec(f"{room}.wording") is not None:
            told_there = import_module(f"{room}.wording")
            tell(getattr(told_there, "WORDS", {}))
            _speakers.update(getattr(told_there, "SPEAKERS", {}))
            _namers.update(getattr(told_there, "NAMERS", {}))
            _labels.update(getattr(told_there, "LABELS", {}))


Speaker = Callable[[str], str]
"""Writes one fact of an entry of one verb for a person, where its code alone would not do."""

_speakers: dict[tuple[str, str], Speaker] = {}


def counted(one: str, many: str) -> Speaker:
    """A speaker that says a number with what it counts: “1 line”, “3 lines”."""
    return lambda number: f"{number} {one if number == '1' else many}"


def tell(words: Mapping[str, str]) -> None:
    """Register sentences by verb; `{key}` stands for that fact of the entry, written for a person. Each verb once."""
    for verb, sentence in words.items():
        if _words.setdefault(verb, sentence) != sentence:
            raise ValueError(f"{verb} is told twice: “{_words[verb]}” and “{sentence}”.")


def words_of(verb: str) -> str:
    """The sentence of a verb with its gaps; empty where nobody tells it."""
    return _words.get(verb, "")


def verbs() -> list[tuple[str, str]]:
    """Every verb that has words, with a gap for each fact, for choosing among them; a fact at the end is left out."""
    gaps = ((verb, re.sub(r"(\{\w+\})+", "…", words)) for verb, words in _words.items())
    plain = (
        (verb, re.sub(r"([:,]?( (for|from|in|of|over|to|until))? …)+$", "", words)) for verb, words in gaps
    )
    return sorted(plain, key=lambda pair: pair[1])


def told(entries: Iterable[JournalEntry]) -> list[Told]:
    """Put entries into words; as many queries as there are kinds of things named, whatever the number of entries."""
    entries = list(entries)
    names = _names_of(entries)
    return [
        Told(
            entry=entry,
            sentence=sentence_of(entry),
            subject=names.get((name_now(entry.subject_type), entry.subject_id or 0)),
            jobs=[
                names.get((JOB, touch.job_id), Name(f"job {touch.job_id}")) for touch in entry.touches.all()
            ],
            who=_who(entry.staff),
        )
        for entry in entries
    ]


def sentence_of(entry: JournalEntry) -> str:
    """What was done, in words, beginning with a capital."""
    facts = {
        key: _speakers[entry.verb, key](str(value)) if (entry.verb, key) in _speakers else _spoken(key, value)
        for key, value in entry.data.items()
        if key != SEALS
    }
    words = _words.get(entry.verb)
    if words is None:
        plain = entry.verb.replace(".", ": ").replace("_", " ")
        details = ", ".join(
            f"{key.removesuffix('_minor').replace('_', ' ')} {value}"
            for key, value in facts.items()
            if value and key != "sha256"
        )
        words, facts = (f"{plain} ({details})" if details else plain).replace("{", "(").replace("}", ")"), {}
    sentence = words.format_map(defaultdict(str, facts)).strip()
    return sentence[:1].upper() + sentence[1:]


def _names_of(entries: list[JournalEntry]) -> dict[tuple[str, int], Name]:
    wanted: dict[str, set[int]] = defaultdict(set)
    for entry in entries:
        if entry.subject_id is not None:
            wanted[name_now(entry.subject_type)].add(entry.subject_id)
        wanted[JOB].update(touch.job_id for touch in entry.touches.all())
    names: dict[tuple[str, int], Name] = {}
    for kind, ids in wanted.items():
        if ids and kind in _namers:
            names.update({(kind, key): name for key, name in _namers[kind](ids).items()})
    return names


def _who(staff: Staff | None) -> str:
    return "the shop itself" if staff is None else staff.get_full_name() or staff.username


def _spoken(key: str, value: object) -> str:
    """One fact of an entry as a person writes it."""
    if value is None or isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, list):
        return ", ".join(_spoken(key, item) for item in value)
    if isinstance(value, str) and key in _labels:
        return _labels[key].get(value, value.replace("_", " "))
    if key.endswith("_minor") and isinstance(value, int):
        return spelling.money(value, the_profile().currency)
    if key.endswith("seconds") and isinstance(value, int):
        return spelling.hours(value)
    if key.endswith("_thousandths") and isinstance(value, int):
        return spelling.quantity(value)
    if isinstance(value, str) and _ISO.fullmatch(value):
        read = dt.datetime.fromisoformat if "T" in value else dt.date.fromisoformat
        return spelling.short_day(read(value))
    return str(value).replace("_", " ")


def staff_names(ids: Iterable[int]) -> dict[int, Name]:
    """People by id."""
    return {staff.pk: Name(_who(staff)) for staff in Staff.objects.filter(pk__in=list(ids))}


NAMERS: Mapping[str, Namer] = {"frame.staff": staff_names}
