"""The bench's verbs as the journal tells them."""

from __future__ import annotations

WORDS = {
    "picture.described": "described a photograph: {shows}",
    "picture.set_aside": "set a photograph aside",
    "stint.started": "started the clock: {kind}",
    "stint.stopped": "stopped the clock after {seconds}",
    "stint.mended": "put the times of a stint right: {seconds}",
    "finding.added": "wrote down a finding",
    "reading.added": "took a reading of {quantity}: {verdict}",
    "reading.placed": "said what a place is to its circuit: {role}",
    "evidence.added": "noted a trace of earlier work: {kind}",
    "job.concluded": "concluded: {mode}, {outcome}",
    "soak.started": "put it on soak test for {seconds}",
    "soak.checked": "looked at the soak test",
    "soak.ended": "ended the soak test: {result}",
    "safety.checked": "made the safety check: {outcome}",
    "safety.waived": "wrote down why it goes without a safety check",
    "caution.read": "read a caution: {caution}",
    "line.struck": "struck a line out",
    "rule.overruled": "overruled a suggestion",
    "model.reservoir_set": "noted the model’s largest capacitor",
    "meter.added": "wrote a meter down",
    "meter.changed": "put a meter right",
    "meter.retired": "uses a meter no more",
    "meter.taken_back": "uses a meter again",
}
