"""Words and phrases that the trade uses for one thing, so that a search for one finds the others.

Sources
    Common practice of the bench in Britain, North America and the German-speaking countries, no source. The shop may hand in
    rows of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from shop.handbook.words.tokens import Phrase, pieces

TRADE_ROWS: tuple[tuple[str, ...], ...] = (
    # parts
    ("capacitor", "cap", "condenser", "kondensator"),
    ("electrolytic", "electrolytic capacitor", "lytic", "elco", "elko", "elektrolytkondensator"),
    ("tantalum", "tant"),
    ("potentiometer", "pot", "control", "rheostat"),
    ("volume control", "volume pot", "vol pot", "volume potentiometer", "attenuator"),
    ("trimmer", "trimpot", "trim pot", "preset", "trimmer potentiometer"),
    ("transformer", "xformer", "xfmr", "trafo"),
    ("output transformer", "opt"),
    ("transistor", "xistor", "tranny"),
    ("output transistor", "power transistor", "output device", "outputs"),
    ("integrated circuit", "ic", "chip"),
    ("op amp", "opamp", "operational amplifier"),
    ("fet", "mosfet", "jfet"),
    ("rectifier", "bridge", "bridge rectifier"),
    ("resistor", "res"),
    ("regulator", "voltage regulator"),
    ("speaker relay", "protection relay", "output relay"),
    ("fuse", "fuze", "fusible"),
    ("lamp", "bulb", "globe"),
    ("valve", "vacuum tube", "tube"),
    ("speaker", "loudspeaker", "speaker driver", "lautsprecher"),
    ("tweeter", "high frequency driver"),
    ("woofer", "bass driver"),
    ("stylus", "needle"),
    ("cartridge", "pickup", "pick up"),
    ("idler", "idler wheel", "idler tyre", "idler tire"),
    ("drive belt", "belt"),
    ("knob", "dial knob"),
    ("jack", "socket"),
    ("headphone", "phones", "headphone jack"),
    ("phono socket", "rca", "rca jack", "cinch"),
    ("circuit board", "pcb", "pc board", "printed circuit"),
    ("power supply", "psu"),
    ("power cord", "mains lead", "mains cord", "line cord", "power cable"),
    ("mains transformer", "power transformer"),
    ("switch", "sw"),
    ("display", "vfd", "screen"),
    ("battery", "cell"),
    ("turntable", "record player", "record deck", "gramophone"),
    ("cassette deck", "tape deck", "cassette player", "cassette recorder", "tape player", "kassettendeck"),
    ("reel to reel", "open reel", "tape recorder"),
    ("amplifier", "amp"),
    ("preamplifier", "preamp", "pre amp"),
    # faults
    ("no output", "no sound", "no audio", "silent", "dead channel", "channel dead", "channel out"),
    (
        *("dead", "no power", "wont power on", "wont turn on", "will not turn on", "does not turn on"),
        *("doesnt turn on", "wont switch on", "not powering on", "no life", "does not power on"),
    ),
    ("left channel", "left side", "l channel", "lh channel", "channel l"),
    ("right channel", "right side", "r channel", "rh channel", "channel r"),
    ("one channel", "one side"),
    ("scratchy", "crackle", "crackly", "noisy pot", "noisy control", "dirty pot", "dirty control"),
    ("hum", "buzz"),
    ("hiss", "hissy"),
    ("noise", "noisy"),
    ("distortion", "distorted", "fuzzy", "clipping"),
    ("intermittent", "comes and goes", "cuts out", "cuts in and out", "drops out", "dropout"),
    ("blows fuses", "blows fuse", "blown fuse", "fuse blown", "blew fuse", "fuse blows"),
    ("short", "shorted", "short circuit", "dead short"),
    ("open", "open circuit"),
    ("leak", "leaky", "leakage"),
    ("overheat", "runs hot", "gets hot", "too hot", "overheating"),
    ("protection", "protect", "protect mode", "stuck in protection"),
    ("smoke", "smoking", "burning smell", "smells burnt"),
    ("burnt", "burned", "charred", "scorched"),
    ("cracked joint", "cold joint", "dry joint", "cold solder", "dry solder", "bad solder", "solder crack"),
    ("dc offset", "dc on output", "offset"),
    ("low output", "weak", "low volume", "faint"),
    ("wow", "flutter", "wow and flutter", "speed unstable", "unstable speed"),
    ("runs slow", "slow speed", "speed slow"),
    ("runs fast", "fast speed", "speed fast"),
    ("corrosion", "corroded", "rust", "rusty"),
    ("oxidized", "oxidised", "oxidation", "tarnished"),
    ("seized", "stuck", "jammed", "frozen"),
    ("perished", "rotted", "turned to goo", "gone to goo", "melted belt"),
    # work
    ("replaced", "changed", "swapped", "renewed"),
    ("cleaned", "deoxidized", "deoxidised", "contact cleaner"),
    ("resoldered", "reflowed", "re soldered", "touched up solder"),
    ("recapped", "recap", "replaced capacitors", "new capacitors"),
    ("adjusted", "aligned", "calibrated"),
    ("bias", "idle current", "quiescent current"),
    ("earth", "ground", "gnd", "chassis ground"),
    ("colour", "color"),
    ("grey", "gray"),
    # German
    ("poti", "potentiometer", "regler"),
    ("trafo", "transformator", "transformer"),
    ("netzteil", "stromversorgung", "power supply"),
    ("kalte lötstelle", "lötstelle gebrochen", "lötstelle gerissen", "cold joint", "dry joint"),
    ("aufgebläht", "gewölbt", "ausgelaufen", "aufgeplatzt", "bulging"),
    ("sicherung", "feinsicherung", "fuse"),
    ("riemen", "antriebsriemen", "gummiriemen", "belt"),
    ("plattenspieler", "turntable"),
    ("tonabnehmer", "nadel", "stylus"),
    ("verstärker", "amplifier"),
    ("röhre", "valve"),
    ("relais", "relay"),
    ("widerstand", "resistor"),
    ("platine", "leiterplatte", "circuit board"),
    ("brummt", "brummen", "brumm", "hum"),
    ("rauscht", "rauschen", "hiss"),
    ("kratzt", "kratzen", "knackt", "knistert", "scratchy"),
    ("wackelkontakt", "wackler", "loose contact", "intermittent"),
    ("kein ton", "kein klang", "stumm", "no sound"),
    ("tot", "ohne funktion", "geht nicht an", "dead"),
    ("kurzschluss", "kurzgeschlossen", "short circuit"),
    ("schalter", "taster", "switch"),
    ("stecker", "netzstecker", "plug"),
    ("klemmt", "verklemmt", "hakt", "jammed"),
    ("ausgetauscht", "ersetzt", "gewechselt", "erneuert", "replaced"),
    ("übertrager", "ausgangsübertrager", "transformer"),
    ("hochtöner", "tweeter"),
    ("tieftöner", "woofer"),
    ("mitteltöner", "midrange"),
    ("sicke", "schaumstoffsicke", "foam surround", "speaker surround"),
    ("gleichlauf", "gleichlaufschwankungen", "leiert", "jault", "wow and flutter"),
    ("ukw", "fm"),
    ("antenne", "aerial", "antenna"),
    ("tonkopf", "tape head", "playback head"),
    ("andruckrolle", "pinch roller"),
    ("tonwelle", "capstan"),
    ("zwischenrad", "reibrad", "idler"),
    ("tonarm", "tone arm", "pickup arm"),
    ("gleichrichter", "rectifier"),
    ("kühlkörper", "heatsink", "heat sink"),
    ("drossel", "choke"),
    ("spule", "coil"),
    ("heizfaden", "heizung", "filament"),
    ("vorverstärker", "preamplifier"),
    ("endstufe", "output stage", "power amplifier"),
    ("lautstärke", "volume"),
    ("lautstärkeregler", "volume control"),
    ("anzeige", "display"),
    ("kopfhörer", "headphone"),
    ("netzschalter", "power switch", "mains switch"),
    ("netzkabel", "power cord"),
    ("buchse", "socket", "jack"),
    ("knopf", "drehknopf", "knob"),
    ("kanal", "channel"),
    ("linker kanal", "links", "left channel"),
    ("rechter kanal", "rechts", "right channel"),
    ("lade", "schublade", "fach", "drawer", "tray"),
    ("linse", "lens"),
    ("akku", "rechargeable battery", "battery"),
    ("batterie", "battery"),
    ("fernbedienung", "remote control"),
    ("fernseher", "fernsehgerät", "tv", "television"),
    ("beamer", "projektor", "projector"),
    ("verzerrt", "verzerrung", "klirrt", "distortion"),
    ("pfeift", "pfeifen", "whistle"),
    ("verbrannt", "verschmort", "angebrannt", "burnt"),
    ("raucht", "qualmt", "rauch", "smoke"),
    ("korrodiert", "korrosion", "grünspan", "corrosion"),
    ("oxidiert", "oxidized"),
    ("gerissen", "riss", "torn", "cracked"),
    ("gebrochen", "abgebrochen", "broken"),
    ("porös", "zerbröselt", "verhärtet", "perished"),
    ("gereinigt", "gesäubert", "cleaned"),
    ("gefettet", "geölt", "geschmiert", "lubricated", "greased"),
    ("eingestellt", "justiert", "abgeglichen", "adjusted"),
    ("nachgelötet", "verlötet", "gelötet", "resoldered"),
    ("überhitzt", "wird heiss", "overheat"),
    ("lose", "locker", "loose"),
    ("leer", "entladen", "flat battery"),
    ("springt", "bleibt hängen", "skips", "skipping"),
    ("lüfter", "ventilator", "fan"),
    ("zahnrad", "gear"),
    ("feder", "spring"),
    ("tastenkontakt", "key contact"),
    ("aluminium", "aluminum"),
)


@dataclass(frozen=True, slots=True)
class Synonyms:
    """Rows of phrases with one meaning, ready to be looked up by the first word of a phrase.

    ``by_first`` leads from a word to the phrases that begin with it, the longest first, each with all other phrases of
    its row or rows; ``longest`` is the number of words in the longest phrase.
    """

    by_first: Mapping[str, tuple[tuple[Phrase, tuple[Phrase, ...]], ...]]
    longest: int

    def at(self, words: Sequence[str]) -> Iterator[tuple[Phrase, tuple[Phrase, ...]]]:
        """Every known phrase that these words begin with, the longest first, with what means the same."""
        for phrase, same in self.by_first.get(words[0], ()):
            if tuple(words[: len(phrase)]) == phrase:
                yield phrase, same


def build_synonyms(rows: Iterable[Iterable[str]]) -> Synonyms:
    """Make rows of words and phrases ready for use; ``[*TRADE_ROWS, *the_shops_own]`` joins both.

    A phrase in two rows has the meanings of both, but the rows are not joined. Case, accents, plurals and forms don't
    matter. A row with fewer than two different phrases says nothing and does no harm.
    """
    meanings: dict[Phrase, dict[Phrase, None]] = {}
    for row in rows:
        phrases = [phrase for phrase in map(_phrase, row) if phrase]
        for phrase in phrases:
            meanings.setdefault(phrase, {}).update(dict.fromkeys(phrases))
    by_first: dict[str, list[tuple[Phrase, tuple[Phrase, ...]]]] = {}
    for phrase, same in meanings.items():
        others = tuple(other for other in same if other != phrase)
        if others:
            by_first.setdefault(phrase[0], []).append((phrase, others))
    ready = {first: tuple(sorted(found, key=lambda item: -len(item[0]))) for first, found in by_first.items()}
    return Synonyms(MappingProxyType(ready), max(map(len, meanings), default=1))


def _phrase(text: str) -> Phrase:
    return tuple(word for piece in pieces(text) for word in piece.stream)


TRADE = build_synonyms(TRADE_ROWS)

_MORE_WORDS = (
    "aerial antenna azimuth ballast bearing bezel bobbin brush bushing cabinet caddy cam capstan chassis choke coil commutator "
    "crossover crystal detent diode dial earthing erase escutcheon faceplate ferrite filament flywheel gear glass grille grommet "
    "heatsink heater hinge inductor lens lever magnet mains mech mica motor muting neon optocoupler oscillator pawl phono piezo "
    "pinch pinion pitch plate platter plinth pulley reed reel rocker roller rotor servo shaft shim shield sled slider solenoid "
    "solder spindle spring stator strobe suspension switch tacho tag tape terminal thermistor thermostat tonearm triac tuner "
    "varactor varistor washer winding wiper zener crackly crackling sibilant microphonic motorboating "
    "netz spule feder lager walze rolle welle zahnrad andruckrolle tonkopf lautsprecher drehknopf "
    "cathode anode grid flux bulging sticky wobbly warble chatter rumble thump arcing ripple leakage fuzzy muffled tinny "
    "leer voll dunkel hell laut leise warm heiss kalt rot gelb blau schwarz weiss links rechts oben unten vorne hinten schnell "
    "langsam kurz lang locker lose fest schief krumm trocken nass feucht sauber dreckig staubig blind matt stark schwach "
    "dumpf schrill zittert flackert flimmert piept pfeift surrt summt rattert quietscht schleift rutscht ruckelt zuckt "
    "leuchtet blinkt startet stoppt friert spielt liest erkennt"
)
_SAID = [text for row in (*TRADE_ROWS, (_MORE_WORDS,)) for text in row]
TRADE_WORDS = frozenset(
    word for text in _SAID for piece in pieces(text) for word in (piece.typed, *piece.stream)
)
"""Words of the trade, as typed and as stored: nobody who types one meant another."""
