"""Reads the tables of spoken sentences and repairs, and counts what a reader of them gets right.

The tables were written before the reader, by somebody who hasn't seen it (``spoken/FORMAT.md``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from shop.handbook.spoken import Kind, Proposal, Said, read_line, read_plain, read_talk

HERE = Path(__file__).parent / "spoken"
REPAIRS = sorted((HERE / "repairs").glob("*.txt"))
POWERS = {
    "ohm": (0, "ohm"), "kohm": (3, "ohm"), "Mohm": (6, "ohm"), "V": (0, "V"), "mV": (-3, "V"), "A": (0, "A"), "mA": (-3, "A"),
    "F": (0, "F"), "uF": (-6, "F"), "nF": (-9, "F"), "pF": (-12, "F"), "Hz": (0, "Hz"), "kHz": (3, "Hz"), "W": (0, "W"),
    "uA": (-6, "A"),
    "mW": (-3, "W"), "mH": (-3, "H"), "uH": (-6, "H"), "MHz": (6, "Hz"), "kV": (3, "V"), "uV": (-6, "V"), "mohm": (-3, "ohm"),
}  # fmt: skip
LIMITS = ("least", "most", "tolerance")
Wanted = dict[str, str]
Spoken = tuple[str, list[Wanted]]


@dataclass
class Score:
    """What was wanted, what came, and what of it is wrong."""

    values: int = 0
    values_right: int = 0
    kinds: int = 0
    kinds_right: int = 0
    invented: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    silent: int = 0
    silent_right: int = 0

    @property
    def of_values(self) -> float:
        """The share of values that came with unit, place and what they should be."""
        return self.values_right / self.values

    @property
    def of_kinds(self) -> float:
        """The share of proposals whose kind came."""
        return self.kinds_right / self.kinds


def sentences(name: str) -> Iterator[Spoken]:
    """The lines of a table: the sentence, and the proposals that it must give."""
    for line in (HERE / name).read_text(encoding="utf-8").splitlines():
        if "=>" in line and not line.startswith("#"):
            sentence, _, wanted = line.partition(" => ")
            yield sentence, [_wanted(one) for one in wanted.split(" && ")]


def repair(path: Path) -> tuple[str, list[Wanted]]:
    """The timed lines of a repair, and the record wanted from them."""
    talk, _, record = path.read_text(encoding="utf-8").partition("--- record")
    spoken = "\n".join(line for line in talk.splitlines() if not line.startswith("#"))
    return spoken, [_wanted(line) for line in record.splitlines() if line.strip()]


def _wanted(text: str) -> Wanted:
    """``reading: place=R12 | value=5.9 kohm`` as its facts."""
    kind, _, rest = text.strip().partition(":")
    facts = dict(one.strip().split("=", 1) for one in rest.split("|") if "=" in one)
    return {"kind": kind, "ask": rest.strip()} if kind == "ask" else {"kind": kind} | facts


def same_value(wanted: str | None, said: Said | None) -> bool:
    """Whether a value is the one that the table tells, in whatever prefix."""
    if wanted is None or said is None:
        return (wanted or None) is None and said is None
    if wanted in {"open", "short"}:
        return said.unit == wanted
    number, _, unit = wanted.partition(" ")
    power, base = POWERS.get(unit, (0, unit))
    return said.number is not None and said.unit == base and said.number == Decimal(number).scaleb(power)


def same_limit(wanted: str, got: str) -> bool:
    """Whether a limit is the one that the table tells: its number and its unit."""
    number, _, unit = got.partition(" ")
    told, _, its = wanted.partition(" ")
    return bool(number) and unit == its and Decimal(number) == Decimal(told)


def matches(wanted: Wanted, got: Proposal) -> bool:
    """Whether a proposal is the one wanted, with its value, what it should be, its place and its date."""
    where = f"{got.facts.get('place', '')} {got.facts.get('channel', '')} {got.facts.get('what', '')}".lower().replace(
        "+", ""
    )
    placed = all(word in where for word in wanted.get("place", "").lower().replace("+", "").split())
    sided = wanted.get("channel", "") in {"", got.facts.get("channel")}
    exact = all(
        wanted[key] == got.facts.get(key, "")
        for key in ("date", "original", "minutes", "did", "against")
        if wanted.get(key)
    ) and all(same_limit(wanted[key], got.facts.get(key, "")) for key in LIMITS if wanted.get(key))
    named = wanted.get("designation", "").lower() in f"{got.facts.get('designation', '')}".lower()
    valued = same_value(wanted.get("value"), got.value) and same_value(wanted.get("expected"), got.expected)
    about = not wanted.get("about") or bool(got.value and got.value.about)
    whats = wanted.get("what", "").lower() in got.facts.get("what", "").lower()
    how = not wanted.get("how") or wanted["how"] == got.facts.get("how")
    return all((wanted["kind"] == got.kind, placed, sided, exact, named, valued, about, whats, how))


def pairs(wanted: Sequence[Wanted], got: Sequence[Proposal]) -> tuple[list[Wanted], list[Proposal]]:
    """What was wanted and didn't come, and what came and wasn't wanted."""
    left, missed = list(got), []
    for one in wanted:
        found = next((proposal for proposal in left if matches(one, proposal)), None)
        if found:
            left.remove(found)
        else:
            missed.append(one)
    return missed, left


def score(name: str) -> Score:
    """A whole table counted."""
    total = Score()
    for sentence, wanted in sentences(name):
        got = read_line(sentence)
        if wanted[0]["kind"] in {"nothing", "ask", "finding", "doubt"}:
            _count_silent(total, sentence, wanted[0], got)
        else:
            _count_spoken(total, sentence, wanted, got)
    return total


def _count_silent(total: Score, sentence: str, wanted: Wanted, got: Sequence[Proposal]) -> None:
    """A sentence that must give nothing, nothing but a finding, or something to be asked."""
    total.silent += 1
    if wanted["kind"] == "ask":
        right = any(wanted["ask"] in one.asks for one in got)
        surely = any(one.sure and one.value for one in got)
    elif wanted["kind"] == "doubt":  # it may be asked, or stay a finding
        surely = any(one.sure and (one.value or one.expected or set(LIMITS) & set(one.facts)) for one in got)
        right = not surely
    else:
        right = all(one.kind == Kind.FINDING for one in got)
        surely = any(one.value or one.expected for one in got)
    total.silent_right += right
    if surely:
        total.invented.append(f"{sentence} gives {got}")
    if not right:
        total.missed.append(f"{sentence} wants {wanted}, gives {got}")


def _count_spoken(total: Score, sentence: str, wanted: Sequence[Wanted], got: Sequence[Proposal]) -> None:
    """A sentence with proposals."""
    missed, left = pairs(wanted, got)
    total.invented.extend(
        f"{sentence} surely gives {one}" for one in left if one.sure and (one.value or one.expected)
    )
    total.values += sum("value" in one for one in wanted)
    total.values_right += sum("value" in one for one in wanted) - sum("value" in one for one in missed)
    kinds = [one.kind.value for one in got]
    total.kinds += len(wanted)
    total.kinds_right += sum(
        min(kinds.count(kind), [w["kind"] for w in wanted].count(kind))
        for kind in {w["kind"] for w in wanted}
    )
    told = [one[key] for one in wanted for key in ("value", "expected") if key in one]
    limits = {(key, one[key]) for one in wanted for key in LIMITS if key in one}
    for one in got:
        for key in LIMITS:
            if key in one.facts and not any(
                key == its and same_limit(told_limit, one.facts[key]) for its, told_limit in limits
            ):
                total.invented.append(f"{sentence} gives {one.facts}")
        for said in (one.value, one.expected):
            if said and not any(same_value(value, said) for value in told) and "unit" not in one.asks:
                total.invented.append(f"{sentence} gives {said}")
    if missed:
        total.missed.append(f"{sentence} misses {missed}, gives {got}")


def of_repair(path: Path) -> tuple[int, int, int, list[Wanted], list[Proposal]]:
    """Right, wanted and proposed lines of a repair's record, what was missed and what came too much; findings aside."""
    talk, wanted = repair(path)
    got = [one.proposal for one in read_talk(read_plain(talk).cues) if one.proposal.kind != Kind.FINDING]
    missed, extra = pairs(wanted, got)
    return len(wanted) - len(missed), len(wanted), len(got), missed, extra
