"""What a person does at the bench. Each function is one act; a wrong line is struck out, never deleted."""

from __future__ import annotations

from shop.bench.actions.knowing import add_matched_set, set_limits, set_reservoir
from shop.bench.actions.lines import add_finding, add_pictures, conclude, overrule, strike
from shop.bench.actions.lists import fit_list, take_list_back
from shop.bench.actions.measuring import add_evidence, add_reading, set_role
from shop.bench.actions.meters import keep_meter, retire_meter
from shop.bench.actions.notebook import (
    drop_pattern,
    keep_pattern,
    leave_off,
    put_back,
    put_in_temporarily,
    tick,
)
from shop.bench.actions.parts import set_aside, want_and_await
from shop.bench.actions.photos import begin_sketch, caption_pictures, describe_picture, set_picture_aside
from shop.bench.actions.proving import (
    add_soak_check,
    call_ready,
    check_running_soak,
    end_running_soak,
    end_soak,
    start_soak,
)
from shop.bench.actions.safety import read_cautions, record_safety_check, waive_safety
from shop.bench.actions.saying import (
    ask_to_hear,
    bring_talk,
    decide,
    note_began,
    note_heard,
    say,
    take_words_back,
)
from shop.bench.actions.time import (
    add_stint,
    mend_stint,
    put_back_on_shelf,
    start_stint,
    stop_running_stint,
    stop_stint,
    take_to_bench,
)

__all__ = [
    "add_evidence",
    "add_finding",
    "add_matched_set",
    "add_pictures",
    "add_reading",
    "add_soak_check",
    "add_stint",
    "ask_to_hear",
    "begin_sketch",
    "bring_talk",
    "call_ready",
    "caption_pictures",
    "check_running_soak",
    "conclude",
    "decide",
    "describe_picture",
    "drop_pattern",
    "end_running_soak",
    "end_soak",
    "fit_list",
    "keep_meter",
    "keep_pattern",
    "leave_off",
    "mend_stint",
    "note_began",
    "note_heard",
    "overrule",
    "put_back",
    "put_back_on_shelf",
    "put_in_temporarily",
    "read_cautions",
    "record_safety_check",
    "retire_meter",
    "say",
    "set_aside",
    "set_limits",
    "set_picture_aside",
    "set_reservoir",
    "set_role",
    "start_soak",
    "start_stint",
    "stop_running_stint",
    "stop_stint",
    "strike",
    "take_list_back",
    "take_to_bench",
    "take_words_back",
    "tick",
    "waive_safety",
    "want_and_await",
]
