"""From a marking to the designations it can be: registered types first, else a number without a register.

Sources
    The forms of the three registers: see ``registers``. The dropped 2S prefix, so that D965 is 2SD965 or BD965
    (owiki.org, looked up). hFE groups by data sheets of 2SC1815, BC547 and BC327 (looked up); other types have other
    bands under the same letters. Replacement lines and house numbers: common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterator
from dataclasses import replace

from .families import told_of
from .registers import (
    DROPPED_FORM,
    JEDEC_DIGITS,
    JEDEC_FORM,
    JIS_DIGITS,
    JIS_DROPPED,
    JIS_FORM,
    JIS_GROUP_COLOURS,
    JIS_GROUPS,
    JIS_LETTERS,
    JIS_TAIL,
    PRO_FORM,
    PRO_FUNCTIONS,
    PRO_GROUPS,
    PRO_MATERIALS,
    PRO_TAIL,
    PRO_TRANSISTORS,
    ZENER_TAIL,
    ZENER_TOLERANCES,
    Designation,
    Register,
)

LONGEST = 40
MOST_SIGNS = 200
"""Of what was pasted, before signs that nobody sees are taken off."""
FIRST_JIS_NUMBER = 11
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))
_BETWEEN = re.compile(r"[-/ ().]+")
_MICRO = str.maketrans({"µ": "U", "μ": "U"})
_ALSO_VERSIONS = ("L", "N")
"""2SC1815(L) is a quiet one, 2SC5200N one in another case (makers' data sheets, from memory)."""
_ALWAYS_SILENT = ("ratings", "pinout")
_GERMANIUM = "ACDEFLSUYZ"
"""Second letters of the germanium types that were made."""
_LATE_LETTERS = "TUVWXYZ"
"""With which the serial of an industrial type begins, as in CNY17 and RPY58."""


class NoDesignation(ValueError):
    """Nothing was typed that could be a marking; the message is one sentence for the person."""


def read_designation(marking: str, replacement_prefixes: Collection[str] = ()) -> tuple[Designation, ...]:
    """Every designation that a marking can be; a number of no register is kept as it was read, never translated.

    ``replacement_prefixes`` are the letters with which the replacement lines known to the shop begin their numbers.
    Raises NoDesignation when nothing, or more than 40 characters, was typed.
    """
    shown = marking.strip()
    if len(shown) > MOST_SIGNS:
        raise NoDesignation(f"A marking has at most {LONGEST} characters.")
    text = _tidied(shown)
    if not any(character.isalnum() for character in text):
        raise NoDesignation("A marking has at least one letter or digit.")
    if len(text) > LONGEST:
        raise NoDesignation(f"A marking has at most {LONGEST} characters.")
    if _is_replacement(text, replacement_prefixes):
        return (_replacement(shown, text),)
    found = _readings(shown, text) or _readings(shown, text.replace(" ", ""))
    if not found or any(_looks_like_an_ic(one) for one in found):
        return (*found, _unregistered(shown, text))
    return found


def _tidied(text: str) -> str:
    """Capitals in their plain width, single spaces, no marks that only steer the direction of writing."""
    plain = unicodedata.normalize("NFKC", text.translate(_MICRO))
    seen = "".join(sign for sign in plain if unicodedata.category(sign) not in {"Cf", "Cc"} or sign.isspace())
    return " ".join(seen.translate(_DASHES).upper().split())


def _readings(shown: str, text: str) -> tuple[Designation, ...]:
    """What registers and families make of a text; a register's form that a family fits too is a guess."""
    families = tuple(_family(shown, text))
    registered = (*_jis(shown, text), *_jedec(shown, text), *_pro_electron(shown, text))
    dropped = tuple(_dropped(shown, text))
    if families:
        registered = tuple(_guessed(one) for one in registered)
    return (*families, *registered, *(_guessed(one) for one in dropped))


def _guessed(one: Designation) -> Designation:
    """The same reading, told as a guess."""
    why = "a guess: the marking leaves its first letters off" if one.completed else "a guess by its form"
    return one if one.guess else replace(one, guess=True, says=(*one.says, f"{why}; or a house number"))


def _family(marking: str, text: str) -> Iterator[Designation]:
    for told in told_of(text):
        yield Designation(
            marking,
            told.register,
            told.type_number,
            folded(told.suffix),
            polarity=told.polarity,
            guess=told.guess,
            says=(*told.says, "a guess: or a date code, or a house number") if told.guess else told.says,
            silent_on=("who made it", *_ALWAYS_SILENT),
        )


def folded(text: str) -> str:
    """A number or suffix without separators and in capitals, as two spellings are compared."""
    return _BETWEEN.sub("", _tidied(text))


def _jis(marking: str, text: str, *, completed: bool = False) -> Iterator[Designation]:
    matched = JIS_FORM.fullmatch(text)
    if not matched or int(matched["num"]) < FIRST_JIS_NUMBER:
        return
    digit, letter, tail = matched["n"], matched["t"], matched["tail"]
    kind, polarity = JIS_LETTERS[letter]
    says = [
        kind
        if letter and digit in "12"
        else JIS_DIGITS[digit] + (f"; letter {letter}: {kind}" if letter else "")
    ]
    silent = ["silicon or germanium", *_ALWAYS_SILENT]
    if letter and letter in "ABCD":
        silent.insert(0, "the use: high or audio frequency is the wording of the register only")
    suffix = JIS_TAIL.fullmatch(tail)
    revision, group = (suffix["rev"] or "", suffix["grp"] or "") if suffix else ("", "")
    if group:
        says.append(_jis_group(group, letter))
    if revision:
        says.append(f"letter {revision}: an improved version{'' if group else ', or a gain group'}")
        if not group:
            silent.append(f"whether {revision} is a version or a gain group")
    elif tail and not suffix:
        silent.append(f"the suffix {tail}")
    yield Designation(
        marking,
        Register.JIS,
        f"{digit}S{letter}{matched['num']}",
        folded(tail),
        revision,
        group,
        polarity,
        completed,
        tuple(says),
        tuple(silent),
    )


def _jis_group(group: str, letter: str) -> str:
    colour = f" ({JIS_GROUP_COLOURS[group]})" if group in JIS_GROUP_COLOURS else ""
    if letter in ("J", "K"):
        return f"I_DSS group {group}{colour}: its band is in the data sheet"
    if group in _ALSO_VERSIONS:
        return f"letter {group}: a gain group or a version; the data sheet tells"
    if group not in JIS_GROUPS:
        return f"gain group {group}{colour}: its band is in the data sheet"
    low, high = JIS_GROUPS[group]
    return f"gain group {group}{colour}: hFE {low} to {high} on one small-signal type, others differ"


def _jedec(marking: str, text: str) -> Iterator[Designation]:
    matched = JEDEC_FORM.fullmatch(text)
    if not matched:
        return
    digit, tail = matched["n"], matched["tail"]
    says = [JEDEC_DIGITS.get(digit, f"{int(digit) + 1} terminals")]
    silent = ["silicon or germanium", "the use", *_ALWAYS_SILENT]
    if digit != "1":
        silent.insert(0, "polarity")
    revision = folded(tail) if re.fullmatch(r"[-/ ]?[A-Z]{1,2}", tail) else ""
    if revision == "R" and digit == "1":
        says.append("letter R: reversed polarity")
    elif revision:
        says.append(f"suffix {revision}: a later version")
    elif tail:
        silent.append(f"the suffix {tail}")
    yield Designation(
        marking,
        Register.JEDEC,
        f"{digit}N{matched['num']}",
        folded(tail),
        revision,
        says=tuple(says),
        silent_on=tuple(silent),
    )


def _pro_electron(marking: str, text: str, *, completed: bool = False) -> Iterator[Designation]:
    matched = PRO_FORM.fullmatch(text)
    if not matched:
        return
    material, function, serial, tail = matched["mat"], matched["fn"], matched["ser"], matched["tail"]
    market = "consumer type" if serial.isdigit() else "industrial type"
    says = [f"{PRO_MATERIALS[material]}: {PRO_FUNCTIONS[function]}", market]
    silent = ["polarity", *_ALWAYS_SILENT] if function in PRO_TRANSISTORS else list(_ALWAYS_SILENT)
    revision, group, meaning = _pro_suffix(function, tail)
    if meaning:
        says.append(meaning)
    elif tail and not revision:
        silent.append(f"the suffix {tail}")
    read = Designation(
        marking,
        Register.PRO_ELECTRON,
        f"{material}{function}{serial}",
        folded(tail) if not ZENER_TAIL.fullmatch(tail) else tail.lstrip("-/ "),
        revision,
        group,
        completed=completed,
        says=tuple(says),
        silent_on=tuple(silent),
    )
    yield read if completed or _is_usual(material, function, serial) else _guessed(read)


def _is_usual(material: str, function: str, serial: str) -> bool:
    """Whether types of such letters are met at all; makers' own numbers often look like the others (RB751, DG201)."""
    if material == "B":
        return True
    if material == "A":
        return function in _GERMANIUM
    return serial[0] in _LATE_LETTERS and len(serial) < 4  # RBV402 is a bridge rectifier


def _pro_suffix(function: str, tail: str) -> tuple[str, str, str]:
    """The version letter, the gain group and the meaning of what follows a Pro Electron type number."""
    zener = ZENER_TAIL.fullmatch(tail)
    if zener and function == "Z":
        volts = zener["volts"].replace("V", ".").rstrip(".")
        return "", "", f"nominal {volts} V, tolerance ±{ZENER_TOLERANCES[zener['tol']]} %"
    matched = PRO_TAIL.fullmatch(tail)
    if not matched:
        return "", "", ""
    letter, suffix = matched["rev"] or "", matched["suf"] or ""
    voltage = re.fullmatch(r"([1-9][0-9]{2,3})[A-Z]?", suffix)
    if voltage and function in "RTUY":
        return letter, "", f"voltage class {voltage[1]} V"
    if suffix in PRO_GROUPS and suffix.isdigit() and function in "CDF":
        return letter, suffix, _pro_group(suffix)
    if letter in PRO_GROUPS and not suffix and function == "C":
        return "", letter, _pro_group(letter)
    return letter, "", f"letter {letter}: a version" if letter and not suffix else ""


def _pro_group(group: str) -> str:
    low, high = PRO_GROUPS[group]
    return f"gain group {group}: hFE {low} to {high} on small-signal types, the data sheet decides"


def _dropped(marking: str, text: str) -> Iterator[Designation]:
    """A marking without its prefix: 2S before a Japanese type, B before a European one; both where both fit."""
    matched = DROPPED_FORM.fullmatch(text)
    if not matched:
        return
    tail = matched["tail"]
    if matched["letter"] in JIS_DROPPED and JIS_TAIL.fullmatch(tail):
        yield from _jis(marking, f"2S{text}", completed=True)
    if matched["letter"] in PRO_TRANSISTORS and len(matched["num"]) == 3 and PRO_TAIL.fullmatch(tail):
        yield from _pro_electron(marking, f"B{text}", completed=True)


def _looks_like_an_ic(one: Designation) -> bool:
    """Four digits after two letters may as well be an integrated circuit's own number."""
    return (
        one.register is Register.PRO_ELECTRON
        and not one.guess
        and one.type_number[2:].isdigit()
        and len(one.type_number) == 6
    )


def _is_replacement(text: str, prefixes: Collection[str]) -> bool:
    bare = folded(text)
    return any(
        re.fullmatch(rf"{re.escape(folded(prefix))}[0-9]{{1,4}}[A-Z]{{0,2}}", bare)
        for prefix in prefixes
        if folded(prefix)
    )


def _replacement(marking: str, text: str) -> Designation:
    return Designation(
        marking,
        Register.REPLACEMENT,
        folded(text),
        says=(
            "one number for many registered types: on a board it speaks of a repair that the factory did not make",
        ),
        silent_on=("the registered type that it replaces", "polarity", *_ALWAYS_SILENT),
    )


def _unregistered(marking: str, text: str) -> Designation:
    return Designation(
        marking,
        Register.NONE,
        folded(text) or text,
        says=(
            "no form that is known here: mostly a set maker's house number or a supplier's own, kept as it was read",
        ),
        silent_on=("the registered type", "polarity", *_ALWAYS_SILENT),
    )
