"""One part against the build window: original, fitted later, older stock, or open, with the argument in a sentence.

Sources
    Original if made by the end of the build window and at most about three years before its beginning, fitted later
    if younger, old stock or a wrong reading if older: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..datecodes import Candidate, Certainty
from ..datecodes.candidates import in_full
from .evidence import Window, either, in_words

STOCK_YEARS = 3
"""How long before the unit an original part may have been made."""


class Verdict(StrEnum):
    """What a date says of a part."""

    ORIGINAL = "original"
    LATER = "fitted later"
    OLDER = "older stock"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on one part, its argument, and what each reading by itself would mean.

    ``earliest`` and ``latest`` are the days between which the part was fitted if it was fitted later; None when the
    verdict is original or there is no reading by which it was.
    """

    verdict: Verdict
    earliest: date | None
    latest: date | None
    argument: str
    readings: tuple[tuple[Candidate, Verdict], ...]

    def read_as(self, verdict: Verdict) -> list[Candidate]:
        """The readings that would mean this verdict."""
        return [candidate for candidate, meant in self.readings if meant is verdict]


def judge(built: Window, candidates: tuple[Candidate, ...], today: date, name: str = "The part") -> Judgement:
    """Judge a part by the readings of its date code, given when the unit was built; ``name`` begins the argument.

    Doubtful readings decide only where there are no sounder ones; they stay among the readings.
    """
    readings = tuple((candidate, _meant(built, candidate)) for candidate in candidates)
    sound = {meant for candidate, meant in readings if candidate.certainty is not Certainty.DOUBTFUL}
    verdict = _agreed(sound or {meant for _, meant in readings})
    later = [candidate for candidate, meant in readings if meant is Verdict.LATER]
    earliest, latest = None, None
    if verdict is Verdict.OLDER:
        earliest, latest = built.first, today
    elif later and verdict is not Verdict.ORIGINAL:
        earliest, latest = min(candidate.earliest for candidate in later), today
    draft = Judgement(verdict, earliest, latest, "", readings)
    return Judgement(verdict, earliest, latest, _argument(draft, built, name), readings)


def _meant(built: Window, candidate: Candidate) -> Verdict:
    if built.last and candidate.earliest > built.last:
        return Verdict.LATER
    if built.first and candidate.latest < years_before(built.first, STOCK_YEARS):
        return Verdict.OLDER
    return Verdict.ORIGINAL if built.first and built.last else Verdict.OPEN


def _agreed(verdicts: set[Verdict]) -> Verdict:
    """One verdict out of those of the readings: old stock beside an original reading proves nothing later."""
    if verdicts == {Verdict.ORIGINAL, Verdict.OLDER}:
        return Verdict.ORIGINAL
    return verdicts.pop() if len(verdicts) == 1 else Verdict.OPEN


def _argument(judgement: Judgement, built: Window, name: str) -> str:
    verdict = judgement.verdict
    dated = f"dated {_listed(judgement.read_as(verdict))}"
    rest = [candidate for candidate, meant in judgement.readings if meant is not verdict]
    unless = f", unless it means {_listed(rest)}" if rest else ""
    if verdict is Verdict.ORIGINAL:
        return f"{name} can be original: {dated}, for a unit built {built}{unless}."
    if verdict is Verdict.LATER and judgement.earliest and judgement.latest:
        return (
            f"{name} was fitted later: {dated}, for a unit built {built}; so it was fitted between "
            f"{in_full(judgement.earliest)} and {in_full(judgement.latest)}{unless}."
        )
    if verdict is Verdict.OLDER:
        return (
            f"{name} is older stock, a used part or misread: {dated}, "
            f"more than {STOCK_YEARS} years before a unit built {built}{unless}."
        )
    if not judgement.readings:
        return f"{name} is open: its date has no reading."
    means = {
        Verdict.ORIGINAL: "original if dated {}",
        Verdict.LATER: "fitted later if dated {}",
        Verdict.OLDER: "older stock if dated {}",
        Verdict.OPEN: "not to be judged if dated {}, because the build window is not known on that side",
    }
    cases = {meant: _listed(judgement.read_as(meant)) for meant in means}
    said = [words.format(cases[meant]) for meant, words in means.items() if cases[meant]]
    return f"{name} is open for a unit built {built}: {', '.join(said)}."


def _listed(candidates: list[Candidate]) -> str:
    """Up to three readings in words, more of them by their years."""
    if len(candidates) > 3:
        return either([str(candidate.first.year) for candidate in candidates])
    return either([in_words(candidate) for candidate in candidates])


def years_before(day: date, years: int) -> date:
    """The same day some years earlier; 29 February becomes 28 February where the year has none."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)
