"""What old lists call the end of a job, and what this shop calls it: the usual words, and those that a person has mapped before.

What words mean in lists of other shops: common practice, no source. The statuses of the Open Repair Data Standard are in
`shop.handbook.openrepair`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from shop.counter.keys import name_key
from shop.counter.stages import Outcome
from shop.handbook import openrepair
from shop.records.models import OutcomeWord

STILL_HERE = "still_here"
"""What a list may say in place of an outcome: the job has not ended."""

MOST_WORDS = 60
"""So many different words of a list are asked about, the most frequent first; the rest are not known."""

MEANINGS: tuple[tuple[str, str], ...] = (
    *((str(one.value), str(one.label)) for one in Outcome),
    (STILL_HERE, "Still here: not ended"),
)

_USUAL: dict[str, tuple[str, ...]] = {
    Outcome.REPAIRED: (
        *("fixed", "done", "ok", "yes", "success", "successful", "working", "works", "mended", "good"),
        *("repaired ok", "completed", "complete", "finished", "fully repaired", "repair complete", "pass"),
        *("repaired and paid",),
        *(
            "repariert",
            "fertig",
            "erledigt",
            "ja",
            "instandgesetzt",
            "in ordnung",
            "funktioniert",
            "geht wieder",
        ),
        *("repariert und abgeholt",),
    ),
    Outcome.PARTLY: (
        "partly",
        "part",
        "partial",
        "partially",
        "partially repaired",
        "teilweise",
        "teilrepariert",
    ),
    Outcome.NO_FAULT: (
        *(
            "nff",
            "no fault",
            "no fault found",
            "ntf",
            "no trouble found",
            "could not reproduce",
            "not reproducible",
        ),
        *("kein fehler", "ohne befund", "kein fehler gefunden", "nicht reproduzierbar", "o b"),
    ),
    Outcome.BEYOND: (
        *("scrap", "scrapped", "ber", "uneconomic", "uneconomical", "dead", "beyond repair", "write off"),
        *("written off", "irreparable", "unrepairable", "not repairable"),
        *("totalschaden", "unwirtschaftlich", "nicht reparabel", "irreparabel", "schrott", "verschrottet"),
        *("wirtschaftlicher totalschaden", "entsorgt"),
    ),
    Outcome.DECLINED: (
        *("declined", "estimate declined", "quote declined", "refused", "rejected", "customer declined"),
        *("cancelled", "canceled", "abgelehnt", "kva abgelehnt", "storniert"),
    ),
    Outcome.UNREPAIRED: (
        *(
            "no",
            "not repaired",
            "unrepaired",
            "failed",
            "not fixed",
            "returned unrepaired",
            "returned not repaired",
        ),
        *("nicht repariert", "nein", "unrepariert", "unrepariert zurück", "fail"),
    ),
    Outcome.UNCLAIMED: ("abandoned", "unclaimed", "never collected", "nicht abgeholt"),
    Outcome.UNKNOWN: (
        *(
            "unknown",
            "n a",
            "na",
            "not known",
            "collected",
            "returned",
            "picked up",
            "gone",
            "closed",
            "delivered",
        ),
        *(
            "shipped",
            "returned to customer",
            "paid",
            "invoiced",
            "bezahlt",
            "abgeschlossen",
            "berechnet",
            "abgeholt",
            "ausgeliefert",
            "zurück",
            "unbekannt",
        ),
    ),
    STILL_HERE: (
        *(
            "open",
            "in progress",
            "waiting",
            "pending",
            "wip",
            "on bench",
            "waiting for parts",
            "awaiting parts",
        ),
        *("on hold", "not started", "new", "booked in"),
        *("offen", "in arbeit", "wartet", "wartet auf teile", "in bearbeitung", "neu"),
    ),
}
USUAL: Mapping[str, str] = {
    **{name_key(word): str(meaning) for meaning, words in _USUAL.items() for word in words},
    **{name_key(one.label): str(one.value) for one in Outcome},
    **{name_key(one.value): str(one.value) for one in Outcome},
    **{name_key(word): meaning for word, meaning in openrepair.OUTCOMES.items()},
}


@dataclass(frozen=True, slots=True)
class Word:
    """One word for an outcome as a list writes it, how often, and what it means as far as somebody knows."""

    key: str
    written: str
    rows: int
    means: str


def words_in(cells: Iterable[str], chosen: Mapping[str, str]) -> list[Word]:
    """The different words for outcomes in the cells of a list, the most frequent first, with what was chosen for them before."""
    counts: Counter[str] = Counter()
    written: dict[str, str] = {}
    for cell in cells:
        if key := name_key(cell):
            counts[key] += 1
            written.setdefault(key, cell[:80])
    known = {**USUAL, **remembered(), **chosen}
    return [Word(key, written[key], rows, known.get(key, "")) for key, rows in counts.most_common(MOST_WORDS)]


def remembered() -> dict[str, str]:
    """What a person has said before that a word means."""
    return dict(OutcomeWord.objects.values_list("word", "means"))


def remember(words: Mapping[str, str]) -> None:
    """Keep what these words mean, where the usual table says nothing or something else."""
    telling = [
        OutcomeWord(word=word[:120], means=means)
        for word, means in words.items()
        if means and USUAL.get(word) != means
    ]
    OutcomeWord.objects.filter(word__in=[word for word in words if USUAL.get(word) == words[word]]).delete()
    OutcomeWord.objects.bulk_create(
        telling, update_conflicts=True, unique_fields=["word"], update_fields=["means"]
    )
