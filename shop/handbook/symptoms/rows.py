"""The symptoms and their words.

Source: common practice, no source, for English and the commonest words of German, Dutch and French.
"""

from __future__ import annotations

from dataclasses import dataclass

_NOT = (
    "no not never doesnt doesn dont don wont won wouldnt couldnt cant can't cannot didnt isnt isn without stopped stops refuses "
    "unable fails failed stuck nicht kein keine keinen nichts niet geen pas plus"
)
_BAD = (
    f"{_NOT} broken broke faulty bad loose intermittent dirty jammed jams snapped missing dead worn sticky sticking "
    "defekt kaputt kapot stuk"
)
_DISCS = "disc discs disk disks cd cds dvd dvds"
_CUT = "broken broke loose cut frayed damaged off detached disconnected fallen split chewed los lose"


@dataclass(frozen=True, slots=True)
class Row:
    """A symptom: any of these phrases, or one of the things near one of the states; `beside` must stand somewhere too."""

    name: str
    phrases: str = ""
    things: str = ""
    states: str = ""
    beside: str = ""


ROWS = (
    Row(
        "dead",
        phrases=(
            "dead | lifeless | no power | no life | no lights | no lamps | power issue | geen stroom | geen "
            "spanning | power problem"
        ),
        things=(
            "turn on | switch on | power on | power up | come on | start | start up | geht an | gaat aan | start "
            "niet | allume | demarre"
        ),
        states=_NOT,
    ),
    Row(
        "standby",
        phrases="standby | stand by",
    ),
    Row(
        "fuse",
        phrases="fuse | fuses | sicherung | zekering | fusible | breaker",
    ),
    Row(
        "shuts off",
        phrases=(
            "protection | protect | protect mode | turns itself off | switches itself off | shuts itself off | "
            "schaltet ab"
        ),
        things="turn off | switch off | shut off | shut down | go off | power off | cut out",
        states="itself after randomly suddenly minute minutes seconds while",
    ),
    Row(
        "no sound",
        phrases="silent | stumm | kein ton | geen geluid | pas de son",
        things="sound | audio | output | music | geluid | son | ton",
        states="no not never doesnt doesn wont cant without geen kein pas plus lost",
    ),
    Row(
        "one channel",
        phrases="monaural",
        things="channel | channels | side | speaker | kanal | kanaal | cote | earphone | ear",
        states="one left right single linke rechte linker rechter een un",
    ),
    Row(
        "hum",
        phrases="hum | hums | humming | buzz | buzzes | buzzing | brummt | brummen | bromt",
    ),
    Row(
        "noise",
        phrases=(
            "crackle | crackles | crackling | crackly | scratchy | scratching | static | noisy | hiss | rauscht | "
            "knistert | kraakt | kratzt | ruis | popping | interference"
        ),
    ),
    Row(
        "distorted",
        phrases="distorted | distortion | distorts | muffled | tinny | verzerrt | vervormd",
    ),
    Row(
        "volume",
        phrases="volume | lautstarke | lautstarkeregler",
    ),
    Row(
        "turns not",
        phrases="tourne plus | draait niet | draait | dreht nicht | dreht sich nicht",
        things=(
            "turn | turns | turning | spin | spins | spinning | rotate | rotates | rotating | revolve | go round "
            "| going round | go around | motor"
        ),
        states="no not never doesnt doesn wont wouldnt cant isnt isn stopped stops nicht niet pas plus dead",
    ),
    Row(
        "belt",
        phrases="belt | belts | courroie | riem | riemen | antriebsriemen | rubber band | drive band | snaar",
    ),
    Row(
        "winds not",
        phrases="rewind | fast forward | spult",
    ),
    Row(
        "speed",
        phrases=(
            "slow | slowly | too fast | speed | rpm | wow | flutter | langsam | trager | toerental | vitesse | "
            "drags"
        ),
    ),
    Row(
        "arm",
        phrases="arm | tonearm | tone arm | bras | tonarm | lift",
    ),
    Row(
        "stylus",
        phrases="stylus | needle | cartridge | naald | nadel | tonabnehmer",
    ),
    Row(
        "eats tape",
        phrases="bandsalat",
        things="tape | tapes | cassette | cassettes",
        states=(
            "chews chewed chewing eats ate eating mangles mangled tangles tangled caught breaks broke snaps jams "
            "jammed stuck"
        ),
    ),
    Row(
        "disc unread",
        phrases="no disc | no disk | disc error | disk error | leest niet | liest nicht | lit plus | reconnait plus",
        things="read | reads | reading | recognise | recognize | detect | play | load | gelezen | erkannt",
        states=_NOT,
        beside=_DISCS,
    ),
    Row(
        "skips",
        things=(
            "skip | skips | skipping | jump | jumps | jumping | stutters | springt | verspringt | slaat | saute | "
            "hapert"
        ),
        beside=f"{_DISCS} record records track tracks song songs stylus needle plaat platte",
    ),
    Row(
        "hangs",
        things="stuck | hangs | repeats | sticks",
        beside="track tracks song songs plaat record",
    ),
    Row(
        "tray",
        phrases="eject | ejects | ejecting | tiroir",
        things="tray | drawer | door | lid | lade | schublade | slot | loader | hatch | compartment",
        states=f"{_BAD} open opens opening close closes closing shut shuts opent sluit",
    ),
    Row(
        "no picture",
        phrases=(
            "backlight | goes black | entirely black | black screen | blank screen | screen blank | screen black "
            "| kein bild | geen beeld"
        ),
        things="picture | image | video | beeld | bild",
        states=_NOT,
    ),
    Row(
        "screen broken",
        things="screen | glass | lcd | panel",
        states="cracked crack broken smashed shattered",
    ),
    Row(
        "display",
        things="display | anzeige | afficheur",
        states=f"{_BAD} dim dark blank faint fades",
    ),
    Row(
        "reception",
        phrases="reception | empfang | ontvangst | stations | signal",
    ),
    Row(
        "aerial",
        phrases="aerial | antenna | antenne",
    ),
    Row(
        "dial",
        phrases="dial cord | dial string | tuning knob | tuning dial | curseur | dial",
        things="tuning | tune | tuner | pointer",
        states=f"{_BAD} knob cord string slips slipping",
    ),
    Row(
        "battery leaked",
        phrases="corroded batteries | corroded contacts",
        things="battery | batteries | cells | batterien | batterijen | piles",
        states=(
            "leak leaked leaking leakage corroded corrosion acid rusty rusted ausgelaufen gelekt oxidized "
            "oxidised"
        ),
    ),
    Row(
        "charges not",
        phrases="charging | recharge | laadt niet op | ladt nicht",
        things="charge | charges | charger | battery | akku | batterij",
        states=f"{_NOT} flat drains lasts hold holds empty",
    ),
    Row(
        "power inlet",
        phrases=(
            "power connector | power socket | dc socket | dc jack | power jack | charging port | charging socket "
            "| power inlet | power input | power lead | power cord | power cable | mains lead | mains plug"
        ),
        things="plug | inlet | barrel",
        states=f"{_CUT} touched wiggled moved bent {_NOT}",
    ),
    Row(
        "adapter",
        phrases=(
            "adaptor | adapter | psu | power supply | netzteil | voeding | alimentation | transformer | power "
            "pack"
        ),
    ),
    Row(
        "headphone jack",
        things="headphone | headphones | earphone | earphones | aux",
        states="jack socket plug output port input broken",
    ),
    Row(
        "usb",
        things="usb",
        states=f"{_CUT} port socket connector not",
    ),
    Row(
        "lead",
        phrases=(
            "loose connection | loose connections | loose wire | loose wires | bad connection | wackelkontakt | "
            "faux contact | slecht contact"
        ),
        things="cable | cables | wire | wires | lead | leads | cord | kabel | kabels | connection",
        states=_CUT,
    ),
    Row(
        "intermittent",
        phrases=(
            "intermittent | intermittently | comes and goes | cuts in and out | drops out | cuts out | on and off "
            "| wiggled | sometimes works | valt uit | valt soms uit"
        ),
    ),
    Row(
        "selector",
        phrases=(
            "selector | source switch | input switch | band switch | function switch | input selector | switch "
            "channels"
        ),
    ),
    Row(
        "button",
        things="button | buttons | knob | knobs | bouton | knop | knopje | taster",
        states=f"{_BAD} pushed fell react",
    ),
    Row(
        "switch",
        things="switch | schalter | schakelaar | interrupteur",
        states=_BAD,
    ),
    Row(
        "keys",
        things="key | keys | note | notes | tasten | toetsen | touches",
        states=f"{_BAD} sound play",
    ),
    Row(
        "smoke",
        phrases="smoke | smoked | smoking | burning smell | smells burnt | rook | rauch | qualmt | sparks | bang",
    ),
    Row(
        "hot",
        phrases="overheats | overheating | overheat | too hot | gets hot | runs hot",
    ),
    Row(
        "remote",
        phrases="remote control | remote | afstandsbediening | fernbedienung",
    ),
    Row(
        "wet",
        phrases="spilled | spilt | water damage | got wet | liquid",
    ),
    Row(
        "lamp",
        things="lamp | lamps | bulb | bulbs | dial light",
        states=f"{_BAD} out blown burnt",
    ),
    Row(
        "cone",
        phrases="cone | foam surround | surround | rattle | rattles | rattling | sicke",
    ),
    Row(
        "pairing",
        phrases="pairing",
        things="bluetooth | wifi | wi fi | pair",
        states=f"{_NOT} connect connection lost",
    ),
)
