"""The words by which readings are told: what measures, what should be, what corrects. Common practice, no source."""

from __future__ import annotations

from shop.handbook.spoken.lists import listed

ELECTRODES = frozenset(
    listed(
        """
        base emitter collector gate drain source plate anode grid screen cathode
        """
    )
)
SHOULD = frozenset(
    listed(
        """
        should ought spec supposed nominal expected rated specified instead want wants marked schematic manual datasheet
        """
    )
)
AT_MOST = (
    ("at", "most"),
    ("no", "more", "than"),
    ("less", "than"),
    ("under",),
    ("below",),
    ("not", "more", "than"),
    ("not", "over"),
    ("max",),
    ("maximum",),
)
AT_LEAST = (
    ("at", "least"),
    ("no", "less", "than"),
    ("not", "less", "than"),
    ("more", "than"),
    ("over",),
    ("above",),
    ("minimum",),
)
"""How a limit is told, right before its value."""
PLAINLY = frozenset(one for one in (*AT_MOST, *AT_LEAST) if len(one) > 1 and one[0] in {"at", "no", "not"})
"""Those that tell a limit without “should be”, behind a reading."""
FROM_NOTHING = frozenset({"offset", "balance", "unbalance", "null", "dc"})
"""Places at which nothing is wanted, so that “within 10 mV” is told from there."""
NO_READING = frozenset(
    listed(
        """
        per added fitted installed soldered mounted inserted used type rated
        """
    )
)
"""Behind a value: it is told of a part, or in a unit that nothing here knows."""
PARTS_CALLED = frozenset(
    listed(
        "resistor resistors cap caps capacitor capacitors pot pots trimmer trimmers choke chokes coil load"
    )
)
"""Behind a value in ohms, farads or henries: the part is called by it."""
HESITATIONS = frozenset({"uh", "um", "er", "erm", "eh"})
"""“45.3, uh, 45.2”: the second is meant."""
DENIED = frozenset({"not", "isn't", "wasn't", "doesn't", "aren't"})
"""What makes a value one that was not read, where no comma stands between."""
STRUCK_BY = frozenset({"no", "nope", "nah", "wait", "hang", "hold", "sorry", "oops"})
"""What must have been said so that “wrong” takes a reading back: a value may be wrong and was still read."""
WANTED = frozenset({"wanted", "spec", "nominal", "expected"})
VERBS = frozenset(
    listed(
        """
        reads read measures measured get reading is at sits runs has have was shows says down measuring comes
        see to gives it's running showing sitting reading drawing
        """
    )
)
MEASURED = frozenset(
    listed(
        """
        reads measures measured get reading shows got read measuring
        """
    )
)
AMENDS = frozenset(
    listed(
        """
        no make that scratch sorry well wait actually i mean it's rather correction not it is oops er uh um ,
        nope nah hang hold on let me see lie meant yeah oh i'm
    """
    )
)
MUST_AMEND = frozenset(
    listed(
        """
        no make scratch sorry well wait actually mean correction rather oops nope nah hang hold lie meant
        """
    )
)
OPEN = {"open": "open", "short": "short", "shorted": "short"}
OPENS = frozenset(
    listed(
        """
        coil relay winding resistor fuse diode ground primary secondary cartridge arm filament heater cap
        choke tweeter woofer bridge crossover lamp transistor
        """
    )
)
JUMPS = frozenset({"drops", "jumps", "jumping", "wanders", "between", "drifts", "either"})
ABOUT = frozenset({"about", "around", "roughly", "approximately", "nearly", "almost", "approx"})
MAY_FOLLOW = frozenset(
    listed(
        """
        and left right should cold hot after volts with where so on same emitter collector base against or
        good wanted instead when but in at something right yeah that's ok okay fine which out
        """
    )
)
"""Words behind a bare number that don't make it a count of something."""
STATES = frozenset({"cold", "hot", "warm", "after", ":", ","})
MOST_OF_A_DIODE = 2
"""Volts that a meter shows across a diode: a smaller bare number is a voltage."""
CLOSE = 30
"""A value this many times off what it should be is not scaled to it."""
