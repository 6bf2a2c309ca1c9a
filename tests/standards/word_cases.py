"""Words of the bench, nasty input, and a small full-text index of SQLite's own for the checks of the search's words."""

from __future__ import annotations

import sqlite3

from hypothesis import strategies as st

from shop.handbook.words import (
    Asked,
    asked_form,
    fts5_query,
    matches,
    stored_form,
    stored_tokens,
)

_BENCH_WORDS = """
adjusted adjusting adjustment alignment amplified amplifier amplifiers amplify arcing assemblies battery
batteries belts bending biased biasing blown boards bridging broken browned bulging burned burning burnt
buzzes buzzing cabinet cables calibrate calibrated calibration capacitance capacitor capacitors channels
charging chassis cleaned cleaning clicking clipping coils cold coloration conductive connections connector
contacts controls cores corroded corrosion coupling cracked crackles crackling cutting damaged dead degraded
demagnetized denatured desoldered detached died dies dimming diodes dirtiest dirty disassembled discharge
disconnected displays distorted distorting distortion distorts dragging dried drifting driven driver drivers
dropped dying early eccentric electrically electrolytic emergency emitters energized equalization erratically
excessively exceeding failed failing failures faulty feedback filters fitted flickering fluctuates flutter
frequencies frequency functional functioning fuses fusible generally generates glued grounding grounds
harmonically harness heated heating hissing hotter humming identical idler idlers impedance inductance
inductive inner inning installation installed insulation intermittent intermittently internally isolation
jammed joints knobs lamps leakage leaked leaking leaks leaky level lifted loosely loudness loudspeaker
lubricated lubrication magnetically marginal matched measured measurement measurements mechanically
microphonic mismatched missing modifications modified modulation motors motorboating muffled muting necessary
needles noise noises noisier noisily noisy obviously occasionally offset opened operational organs originally
oscillates oscillating oscillation oscillator outing overheated overheating oxidation oxidized painting
parasitic past paste pinched pitted polarity popped popping potentiometer potentiometers powered powering
preamplifier previously proceed proceeding protection protective pulleys quality quietly rattles rattling
readily rebuilt recapped rectification rectified rectifier rectifiers refoamed regulated regulation regulator
relays reliability reliable repaired repairing replaced replacement replacing replied resistance resistive
resistor resistors resoldered resoldering rewired ringing roughly rubbed rusty scratches scratchy seized
selector sensitivity shorted shorting shorts signals silenced silently singly sizzling sluggish smoking
soldered soldering sounds speakers specified spikes springs sputtering stability starved static sticking
sticky stiffened stopped stripped stylus subchassis succeeded supplies suspended swapped switches switching
symmetrical temperature temperatures terminals thermally threaded transformer transformers transistors trimmer
tubes tuned tuner tuning turned turning turntable turntables uneven universal university unplugged unsoldered
unstable unusually useful usually values valves vibrating vibration voltages volume warmed warming weakened
whistles whistling windings wiped wired wiring wobbling worn yellowed yes zenith zeros
"""
BENCH_WORDS = _BENCH_WORDS.split()


def index_of(*records: str) -> sqlite3.Connection:
    shelf = sqlite3.connect(":memory:")
    shelf.execute("CREATE VIRTUAL TABLE told USING fts5(complaint, finding)")
    for record in records:
        complaint, _, finding = record.partition("|")
        shelf.execute("INSERT INTO told VALUES (?, ?)", (stored_form(complaint), stored_form(finding)))
    return shelf


def found(shelf: sqlite3.Connection, asked: Asked) -> list[int]:
    rows = shelf.execute("SELECT rowid FROM told WHERE told MATCH ? ORDER BY rowid", (fts5_query(asked),))
    return [rowid for (rowid,) in rows]


def meets(question: str, record: str, *, typing: bool = False) -> bool:
    """Whether a question finds a record, by the handbook's own word and by SQLite's; they must agree."""
    asked = asked_form(question, typing=typing)
    complaint, _, finding = record.partition("|")
    ours = matches(asked, stored_tokens(complaint), stored_tokens(finding))
    assert bool(found(index_of(record), asked)) == ours
    return ours


_SCRAPS = "no output dead channel left hum c-101 vx 318 4.7 uf cap pot 2sc1815-gr the leaking , |"
TOLD = st.lists(
    st.sampled_from(_SCRAPS.split()),
    max_size=10,
).map(" ".join)
