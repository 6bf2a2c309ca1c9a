"""The Open Repair Data Standard: its fields, its categories as they fit this trade, and a text without anything personal.

Sources
    Open Repair Data Standard v0.3 (repository openrepair/datastandard, standard.rst): field names, repair status, and that
    personal data is removed from `problem`. Product categories as in the alliance's published data (categories.csv).
    ISO 3166-1 alpha-2 and alpha-3 codes: from memory.
    Which of the categories a kind of unit belongs to, and what counts as personal in a fault text: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from shop.handbook.words import fold

FIELDS = (
    *(
        "id",
        "data_provider",
        "country",
        "partner_product_category",
        "product_category",
        "product_category_id",
    ),
    *("brand", "year_of_manufacture", "product_age", "repair_status", "repair_barrier_if_end_of_life"),
    *("group_identifier", "event_date", "problem"),
)

_CATEGORY_NAMES = (
    "Aircon/dehumidifier | Battery/charger/adapter | Decorative or safety lights | Desktop computer | Digital compact "
    "camera | DSLR/video camera | Fan | Flat screen | Hair & beauty item | Handheld entertainment device | Headphones "
    "| Hi-Fi integrated | Hi-Fi separates | Kettle | Lamp | Laptop | Large home electrical | Misc | Mobile | Musical "
    "instrument | Paper shredder | PC accessory | Portable radio | Power tool | Printer/scanner | Projector | Sewing "
    "machine | Small home electrical | Small kitchen item | Tablet | Toaster | Toy | TV and gaming-related "
    "accessories | Vacuum | Watch/clock | Coffee maker | Food processor | Games console | Hair dryer | Iron"
)
CATEGORY_IDS: Mapping[str, int] = {
    name: number for number, name in enumerate(_CATEGORY_NAMES.split(" | "), start=1)
}
"""The standard's forty product categories by name."""

CATEGORIES: Mapping[str, tuple[int, str]] = {
    "amplifier": (13, "Hi-Fi separates"),
    "receiver": (13, "Hi-Fi separates"),
    "tuner": (13, "Hi-Fi separates"),
    "tape_deck": (13, "Hi-Fi separates"),
    "turntable": (13, "Hi-Fi separates"),
    "cd_player": (13, "Hi-Fi separates"),
    "loudspeaker": (13, "Hi-Fi separates"),
    "guitar_amp": (20, "Musical instrument"),
    "synthesizer": (20, "Musical instrument"),
    "effect": (20, "Musical instrument"),
    "radio": (23, "Portable radio"),
    "television": (8, "Flat screen"),
    "power_supply": (2, "Battery/charger/adapter"),
    "computer": (4, "Desktop computer"),
}
MISC = (18, "Misc")

OUR_CATEGORIES = frozenset(
    {name for _, name in CATEGORIES.values()} - {"Desktop computer", "Battery/charger/adapter"}
) | {
    "Hi-Fi integrated",
    "Headphones",
}
"""The categories of audio, radio, television and instruments, which a shop of this trade reads of others first."""

STATUS: Mapping[str, str] = {
    "repaired": "Fixed",
    "partly": "Repairable",
    "declined": "Repairable",
    "unrepaired": "Repairable",
    "beyond": "End of life",
}
"""By outcome; any other is Unknown."""

OUTCOMES: Mapping[str, str] = {"fixed": "repaired", "repairable": "unrepaired", "end of life": "beyond"}
"""The other way, for bringing records in; Unknown says nothing."""

_CODES = (
    "ARARG ATAUT AUAUS BEBEL BGBGR BRBRA CACAN CHCHE CLCHL CNCHN CYCYP CZCZE DEDEU DKDNK EEEST ESESP FIFIN FRFRA GBGBR "
    "GRGRC HRHRV HUHUN IEIRL ILISR ININD ISISL ITITA JPJPN KRKOR LTLTU LULUX LVLVA MTMLT MXMEX NLNLD NONOR NZNZL PLPOL "
    "PTPRT ROROU SESWE SGSGP SISVN SKSVK TRTUR UAUKR USUSA ZAZAF"
)
ALPHA_3: Mapping[str, str] = {pair[:2]: pair[2:] for pair in re.split(" ", _CODES)}
"""Three letters by two, of the countries where such shops are; others are refused, never guessed."""

COUNTRIES = frozenset(ALPHA_3.values()) | {"HKG", "JEY", "TUN", "TWN", "BEN", "GGY", "IMN"}
"""Three letters of countries that records come from, those where published records do among them."""

_MAIL = re.compile(r"(?<![\w.+-])[\w.+-]++@[\w-]++(?:\.[\w-]++)++")
_LINK = re.compile(r"\b(?:https?://|www\.)\S+", re.IGNORECASE)
_PHONE = re.compile(r"(?<![\w.])\+?\(?\d(?:[\s().\-/]{0,2}\d){6,}+(?![\w.])")
"""Possessive, and begun only where a word begins: each sign is looked at once, however long the text."""
_WORD = re.compile(r"\w[\w’'-]*")
LEFT_OUT = "[left out]"
SHORTEST_NAME, LONGEST_NAME = 3, 200


def category(kind: str) -> tuple[int, str]:
    """Number and name of the product category that a kind of unit belongs to; Misc for what has none of its own."""
    return CATEGORIES.get(kind, MISC)


def without_personal(text: str, names: Iterable[str]) -> str:
    """The text with e-mail addresses, links, telephone numbers and every word of these names left out.

    Names are the customer's own: name, organisation, address. It can't know of people it was not told of: look before publishing.
    """
    for pattern in (_MAIL, _LINK, _PHONE):
        text = pattern.sub(LEFT_OUT, text)
    return without_words(text, [word for name in names for word in words_of_name(name)])


def words_of_name(name: str) -> list[str]:
    """The words of a name that are long enough to mean somebody."""
    return [word for word in _WORD.findall(name) if len(word) >= SHORTEST_NAME]


def without_words(text: str, words: Iterable[str]) -> str:
    """The text with each of these words left out, however it is written and also where it owns something (`Crewe’s`)."""
    known = {fold(word) for word in words}
    if not known:
        return text
    is_named = cache(lambda word: _is_named(word, known))  # a text says the same words over and over
    return _WORD.sub(lambda found: LEFT_OUT if is_named(found.group()) else found.group(), text)


def _is_named(word: str, known: set[str]) -> bool:
    if len(word) > LONGEST_NAME:
        return False
    folded = fold(word)
    return folded in known or re.sub(r"['’]s$", "", folded) in known
