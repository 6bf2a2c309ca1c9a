"""German in the records: words that say nothing, the last part of a compound, letters written apart.

Sources
    Which parts end the compounds of the trade, and which words tell nothing: common practice, no source. ``ae`` for ``ä`` where
    a keyboard lacks it: DIN 5007-2, from memory.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from shop.handbook.words.folding import fold

_TAILS = (
    "abdeckung achse akku anschluss antenne antrieb anzeige band batterie birne bildschirm boden buchse deckel diode "
    "display draht dichtung drucker elko endstufe fassung feder fehler fernseher filter gehäuse gerät geräusch gleichrichter "
    "getriebe griff hebel heizung hörer kabel kanal kassette kasten klappe klemme knopf kontakt kopf kondensator "
    "kopfhörer kreis kühlkörper kupplung lager lampe laser laufwerk lautsprecher leiste leitung licht lüfter maschine messer "
    "motor nadel netz netzteil ofen papier pinsel platine platte player poti pumpe radio recorder regler relais "
    "riemen röhre rolle sauger schalter scheibe schirm schlauch schloss schraube schlüssel sensor sicherung "
    "spannung speicher spieler spule stecker steckdose strahler stufe taste tastatur trafo transistor treiber "
    "töner trommel uhr ventil übertrager verbindung verstärker walze wandler wecker welle widerstand wickel zange zelle"
)
_ENGLISH_TOO = frozenset(
    ["band", "display", "filter", "laser", "motor", "player", "radio", "recorder", "sensor", "transistor"]
)
_SHORTEST_HEAD = 3
_TAILS_BY_LENGTH = sorted({fold(tail) for tail in _TAILS.split()}, key=len, reverse=True)
_ENDINGS = ("", "s", "n", "en", "e", "er", "es")

_SAYING_NOTHING = (
    "der die das den dem des ein eine einen einem einer und oder aber ist sind war bin im am in an auf zu zum zur "
    "mit von vom bei beim nach für es er sie ich man wird werden wurde hat habe haben sich auch noch nur mal dann "
    "wenn obwohl seit als wie so da mehr sehr ganz immer wieder schon dass daß lässt geht"
)
TELLING_NOTHING = frozenset(fold(_SAYING_NOTHING).split())
"""Words of a German question that every record has, left out when others remain. ``nicht`` and ``kein`` tell."""

_SMALL = (
    "der das den dem und ist nicht kein keine ein eine im mit nur noch wird auf beim läuft geht vom zum zur aus "
    "lässt obwohl seit kaputt defekt"
)
_GERMAN = frozenset(fold(_SMALL).split())
_UMLAUTS = frozenset("äöüßÄÖÜ")


def is_german(text: str) -> bool:
    """Whether a question is German: it has an umlaut, or one of the small words, or ends a compound as German does."""
    words = fold(text).split()
    return (
        not _UMLAUTS.isdisjoint(text)
        or not _GERMAN.isdisjoint(words)
        or any(last_part(word) not in {"", *_ENGLISH_TOO} for word in words if word.isalpha())
    )


@lru_cache(maxsize=16_384)
def last_part(word: str) -> str:
    """What a compound is in the end, ``trafo`` for ``netztrafos``; empty for any other word. The word is folded."""
    for ending in _ENDINGS:
        bare = word.removesuffix(ending) if ending else word
        if ending and bare == word:
            continue
        for tail in _TAILS_BY_LENGTH:
            if len(bare) >= len(tail) + _SHORTEST_HEAD and bare.endswith(tail):
                return tail
    return ""


def without_umlaut(word: str) -> str:
    """The word as it is folded where its umlauts are written with signs: ``verstarker`` for ``verstaerker``; or itself."""
    if len(word) < 7:
        return word
    return word.replace("ae", "a").replace("oe", "o").replace("ue", "u")


def beginnings(words: Iterable[str]) -> dict[str, str]:
    """What a German word of six letters or more begins with in its compounds and forms.

    ``batterie`` for ``batterien``, and ``blink`` for ``blinkt``, so that ``blinken`` is found.
    """
    found = {}
    for word in words:
        if word.isalpha() and len(word) >= 6:
            bare = (
                word.removesuffix("en")
                if word.endswith("en") and not word.endswith("ien")
                else word.removesuffix("n")
            )
            bare = bare.removesuffix("e") if len(bare) > 6 else bare
            found[word] = bare.removesuffix("t") if len(bare) >= 6 else bare
    return found
