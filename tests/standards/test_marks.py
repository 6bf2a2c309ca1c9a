"""Marks on parts: colors, source codes, plugs, safety classes; from memory where the table says so."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.handbook.addresses import COUNTRIES
from shop.handbook.marks import colors, plugs, sources
from shop.handbook.marks.colors import Body, read_colors
from shop.handbook.quantities import Kind, parse
from shop.handbook.refusal import Refused

D = Decimal


# worked by the tables that makers printed (from memory)
@pytest.mark.parametrize(
    "words,body,value,percent,volt",
    [
        ("yellow violet gray", Body.BEAD, "0.47E-6", None, None),
        ("brown black brown pink", Body.BEAD, "100E-6", None, "35"),
        ("blue grey black green", Body.BEAD, "68E-6", None, "16"),
        ("brown black yellow white red", Body.FILM, "100E-9", 10, "250"),
        ("yellow violet orange black yellow", Body.FILM, "47E-9", 20, "400"),
        ("red violet green green brown", Body.FILM, "2.7E-6", 5, "100"),
        ("brown black red silver", Body.COIL, "1000E-6", 10, None),
        ("yellow violet gold", Body.COIL, "4.7E-6", 20, None),
    ],
)
def test_colors_of_capacitors_and_coils(words, body, value, percent, volt) -> None:
    found = read_colors(words, body)
    assert (found.value, found.percent) == (D(value), percent)
    assert found.volt == (None if volt is None else D(volt))


@pytest.mark.parametrize(
    "first,second,power",
    [("brown", "black", "red"), ("yellow", "violet", "brown"), ("orange", "orange", "yellow")],
)
def test_figures_and_multiplier_are_a_resistors(first, second, power) -> None:
    # IEC 60062 gives figures and multipliers once for all: the reader of resistors is another piece of code
    other = parse(f"{first} {second} {power}", Kind.RESISTANCE)
    assert read_colors(f"{first} {second} {power}", Body.COIL).value == other.value / 1_000_000


@pytest.mark.parametrize(
    "words,body",
    [
        ("black brown red", Body.COIL),
        ("brown black", Body.COIL),
        ("teal black red", Body.COIL),
        ("brown black brown gold", Body.BEAD),
        ("brown black red white blue", Body.FILM),
        ("", Body.FILM),
    ],
)
def test_an_order_that_no_part_has_is_refused(words, body) -> None:
    with pytest.raises(Refused, match=r"[.]$"):
        read_colors(words, body)


# IEC 60062, from memory
@pytest.mark.parametrize(
    "sixth,ppm",
    [
        ("black", 250),
        ("brown", 100),
        ("red", 50),
        ("orange", 15),
        ("yellow", 25),
        ("green", 20),
        ("blue", 10),
        ("violet", 5),
        ("grey", 1),
    ],
)
def test_the_sixth_band_is_told(sixth, ppm) -> None:
    assert colors.sixth_band(f"brown black black brown brown {sixth}") == ppm
    assert colors.sixth_band("brown black black brown brown") is None


# 137, 220, 285 and 575: dating guides for parts, looked up
@pytest.mark.parametrize(
    "code,name", [("137", "CTS"), ("220", "Jensen"), ("285", "Rola"), ("575", "Heppner")]
)
def test_source_codes_have_their_names(code, name) -> None:
    assert sources.source_name(code) == name


def test_an_unknown_source_is_not_guessed() -> None:
    with pytest.raises(Refused, match="registrar"):
        sources.source_name("999")


def test_every_country_that_a_parcel_goes_to_has_its_plug() -> None:
    assert set(plugs.PLUGS) == set(COUNTRIES)


# IEC's list of world plugs, from memory
@pytest.mark.parametrize(
    "code,letters,volt,hertz",
    [
        ("US", "A, B", 120, "60"),
        ("GB", "G", 230, "50"),
        ("JP", "A, B", 100, "50 or 60"),
        ("AU", "I", 230, "50"),
        ("KR", "C, F", 220, "60"),
        ("DK", "C, E, F, K", 230, "50"),
        ("BR", "C, N", None, "60"),
    ],
)
def test_outlets(code, letters, volt, hertz) -> None:
    found = plugs.outlet(code)
    assert (found.letters, found.volt, found.hertz) == (letters, volt, hertz)


# IEC 60384-14, from memory
@pytest.mark.parametrize(
    "marking,classes",
    [
        ("0.1 µF X2 275V~ MKP", ("X2",)),
        ("Y1/X1 4700pF", ("Y1", "X1")),
        ("X27 250V", ()),
        ("0.1 630V", ()),
        ("MKPX2", ()),
        ("222M X1Y2", ("X1", "Y2")),  # as most disc capacitors of both classes are printed
        ("X1Y1 KX", ("X1", "Y1")),
        ("X7R 104", ()),
        ("Y5V 103Z", ()),
        ("x2", ("X2",)),
    ],
)
def test_safety_classes_are_read_where_they_stand_alone(marking, classes) -> None:
    assert plugs.safety_classes(marking) == classes
