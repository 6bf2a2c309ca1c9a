"""The bench's verbs as the journal tells them."""

from __future__ import annotations

from shop.frame.wording import counted
from shop.handbook.cautions import CAUTIONS
from shop.handbook.quantities import Kind

WORDS = {
    "picture.described": "described a photograph: {shows}",
    "picture.set_aside": "took a photograph out of the record",
    "stint.started": "started the clock: {kind}",
    "stint.stopped": "stopped the clock after {seconds}",
    "stint.mended": "corrected the times of a stint: {seconds}",
    "finding.added": "wrote down a finding",
    "reading.added": "took a reading of {quantity}{verdict}",
    "reading.placed": "said what a place is to its circuit: {role}",
    "evidence.added": "noted evidence of earlier work: {kind}",
    "job.concluded": "concluded: {mode}, {outcome}",
    "soak.started": "put it on soak test for {seconds}",
    "soak.checked": "checked on the soak test",
    "soak.ended": "ended the soak test: {result}",
    "safety.checked": "made the safety check: {outcome}",
    "safety.waived": "wrote down why it goes without a safety check",
    "caution.read": "read a caution: {caution}",
    "temporary.noted": "noted what is temporarily installed",
    "temporary.put_back": "put back what was temporarily installed",
    "job.left_off": "wrote down where they stopped",
    "step.ticked": "checked off a step of a checklist",
    "parts.listed": "fitted a list of {parts}",
    "parts.taken_back": "took a list of parts back",
    "pattern.kept": "kept a pattern of {of}",
    "pattern.dropped": "discarded a pattern of {of}",
    "words.said": "said something",
    "words.brought": "brought a talked-through repair",
    "words.began": "said when a recording began",
    "words.heard": "{lines} heard in a talked-through repair",
    "words.taken": "took {lines} from what was said",
    "words.dropped": "dropped {lines} of what was heard",
    "words.taken_back": "took back {lines} of what was said",
    "stint.added": "noted time spent: {seconds}",
    "line.struck": "struck a line out",
    "rule.overruled": "overruled a suggestion",
    "model.reservoir_set": "noted the model’s largest capacitor",
    "meter.added": "wrote a meter down",
    "meter.changed": "corrected a meter’s details",
    "meter.retired": "uses a meter no more",
    "meter.taken_back": "uses a meter again",
}

_TITLES = {one.key: one.title for one in CAUTIONS}


def _quantity(code: str) -> str:
    """What was measured: “DC voltage”."""
    return Kind(code).label if code in {*Kind} else code.replace("_", " ")


def _verdict(code: str) -> str:
    """The verdict behind a comma; nothing where there was none."""
    return f", {code}" if code else ""


def _caution(key: str) -> str:
    return f"“{_TITLES[key]}”" if key in _TITLES else key.replace("-", " ")


SPEAKERS = {
    ("reading.added", "quantity"): _quantity,
    ("reading.added", "verdict"): _verdict,
    ("caution.read", "caution"): _caution,
    ("parts.listed", "parts"): counted("part", "parts"),
    ("words.heard", "lines"): counted("thing was", "things were"),
    ("words.taken", "lines"): counted("line", "lines"),
    ("words.taken_back", "lines"): counted("line", "lines"),
}
"""Facts that are codes of the handbook, as a person says them."""
