"""Color codes of capacitors and inductors, and a resistor's sixth band.

Sources
    Sixth band by IEC 60062, in ppm per kelvin: from memory. Tantalum beads (two figures, a spot for the multiplier, the
    voltage): makers' sheets of the 1970s, from memory. Flat film capacitors with five stripes (two figures, multiplier in pF,
    tolerance, voltage): the same. Inductors with three or four bands, in µH: makers' sheets, from memory.
    Mica capacitors with six dots have two codes that look alike: not read here.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..refusal import Refused

FIGURES = {
    color: figure
    for figure, color in enumerate(
        ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "gray", "white")
    )
}
_ALSO = {"grey": "gray", "purple": "violet"}
PPM = {
    "black": 250,
    "brown": 100,
    "red": 50,
    "orange": 15,
    "yellow": 25,
    "green": 20,
    "blue": 10,
    "violet": 5,
    "gray": 1,
}
_BEAD_POWER = {"black": 0, "brown": 1, "red": 2, "gray": -2, "white": -1}
_BEAD_VOLT = {
    "white": "3",
    "yellow": "6.3",
    "black": "10",
    "green": "16",
    "blue": "20",
    "gray": "25",
    "pink": "35",
}
_FILM_POWER = {"orange": 3, "yellow": 4, "green": 5, "red": 2}
_FILM_PERCENT = {"black": 20, "white": 10, "green": 5}
_FILM_VOLT = {"brown": "100", "red": "250", "yellow": "400"}
_COIL_POWER = {"gold": -1, "silver": -2} | {color: power for color, power in FIGURES.items() if power <= 4}
_COIL_PERCENT = {"black": 20, "gold": 5, "silver": 10, "brown": 1, "red": 2}


class Body(StrEnum):
    """What carries the colors."""

    BEAD = "tantalum bead"
    FILM = "film capacitor, five stripes"
    COIL = "inductor"


@dataclass(frozen=True, slots=True)
class Marked:
    """What the colors say: the value in F or H, tolerance in percent, voltage; None for what no color tells."""

    value: Decimal
    unit: str
    percent: int | None
    volt: Decimal | None


def _colors(text: str) -> list[str]:
    found = [_ALSO.get(word, word) for word in text.lower().replace(",", " ").replace("-", " ").split()]
    known = {*FIGURES, "gold", "silver", "pink"}
    for one in found:
        if one not in known:
            raise Refused(f"“{one[:20]}” is no color of a code.")
    return found


def read_colors(text: str, body: Body) -> Marked:
    """Read the colors in words, from the end they are nearest to; raises Refused for what no such part carries."""
    if len(text) > 80:
        raise Refused("That is longer than any color code.")
    colors = _colors(text)
    wanted = {Body.BEAD: (3, 4), Body.FILM: (5,), Body.COIL: (3, 4)}[body]
    if len(colors) not in wanted:
        raise Refused(
            f"A {body} shows {' or '.join(str(one) for one in wanted)} colors: name them all, in order."
        )
    power, scale, unit = {
        Body.BEAD: (_BEAD_POWER, -6, "F"),
        Body.FILM: (_FILM_POWER, -12, "F"),
        Body.COIL: (_COIL_POWER, -6, "H"),
    }[body]
    first, second, third = colors[:3]
    if first not in FIGURES or second not in FIGURES or first == "black" or third not in power:
        raise Refused("No such part carries these colors in that order: read it from the other end.")
    value = Decimal(FIGURES[first] * 10 + FIGURES[second]).scaleb(power[third] + scale)
    percent, volt = _rest(colors[3:], body)
    return Marked(value, unit, percent, volt)


def _rest(colors: list[str], body: Body) -> tuple[int | None, Decimal | None]:
    """Tolerance and voltage from what follows the multiplier."""
    try:
        if body is Body.BEAD:
            return None, Decimal(_BEAD_VOLT[colors[0]]) if colors else None
        if body is Body.FILM:
            return _FILM_PERCENT[colors[0]], Decimal(_FILM_VOLT[colors[1]])
        return (_COIL_PERCENT[colors[0]] if colors else 20), None
    except KeyError as unknown:
        raise Refused(
            f"{str(unknown.args[0]).capitalize()} stands for nothing at that place of such a part."
        ) from unknown


def sixth_band(text: str) -> int | None:
    """The temperature coefficient in ppm/K of a resistor with six bands in words; None where there aren't six."""
    words = [_ALSO.get(word, word) for word in text.lower().replace(",", " ").replace("-", " ").split()[:8]]
    return PPM.get(words[5]) if len(words) == 6 else None
