"""The Open Repair Data Standard v0.3, as its text and the alliance's published data have it (looked up).

Source of fields, required ones, statuses and categories: repository openrepair/datastandard, standard.rst, and
openrepair/data, categories.csv.
"""

from __future__ import annotations

import pytest

from shop.handbook import openrepair

REQUIRED = {
    "id",
    "partner_product_category",
    "problem",
    "repair_status",
    "event_date",
    "data_provider",
    "country",
}
STATUSES = {"Unknown", "Fixed", "Repairable", "End of life"}
CATEGORIES = {
    2: "Battery/charger/adapter", 4: "Desktop computer", 8: "Flat screen", 10: "Handheld entertainment device",
    11: "Headphones", 12: "Hi-Fi integrated", 13: "Hi-Fi separates", 18: "Misc", 20: "Musical instrument",
    23: "Portable radio", 33: "TV and gaming-related accessories",
}  # fmt: skip


def test_no_required_field_is_missing_and_none_stands_twice():
    assert set(openrepair.FIELDS) >= REQUIRED
    assert len(set(openrepair.FIELDS)) == len(openrepair.FIELDS)


def test_the_columns_are_those_of_the_published_data_in_their_order():
    assert openrepair.FIELDS == (
        "id", "data_provider", "country", "partner_product_category", "product_category", "product_category_id",
        "brand", "year_of_manufacture", "product_age", "repair_status", "repair_barrier_if_end_of_life",
        "group_identifier", "event_date", "problem",
    )  # fmt: skip


@pytest.mark.parametrize("kind", [*openrepair.CATEGORIES, "", "kettle"])
def test_every_kind_of_unit_has_a_category_under_its_number(kind):
    number, name = openrepair.category(kind)
    assert CATEGORIES[number] == name


@pytest.mark.parametrize(
    "kind,number", [("turntable", 13), ("synthesizer", 20), ("radio", 23), ("kettle", 18)]
)
def test_audio_goes_where_the_alliance_counts_it(kind, number):
    assert openrepair.category(kind)[0] == number


def test_outcomes_become_statuses_of_the_standard_and_back():
    assert set(openrepair.STATUS.values()) <= STATUSES
    assert {openrepair.STATUS[outcome].lower() for outcome in openrepair.OUTCOMES.values()} == set(
        openrepair.OUTCOMES
    )


# ISO 3166-1 (from memory)
@pytest.mark.parametrize(
    "two,three", [("US", "USA"), ("DE", "DEU"), ("GB", "GBR"), ("NL", "NLD"), ("JP", "JPN")]
)
def test_a_country_is_written_with_three_letters(two, three):
    assert openrepair.ALPHA_3[two] == three


# "Personal data removed" is the standard's; what counts as personal in a fault text: common practice, no source
@pytest.mark.parametrize(
    "text,names,wanted",
    [
        ("R101 burnt, 4k7, 47 µF 63 V", ["Crewe"], "R101 burnt, 4k7, 47 µF 63 V"),
        ("mail me@shop.example or ring +1 (555) 555-0142", [], "mail [left out] or ring [left out]"),
        ("see www.shop.example/x", [], "see [left out]"),
        ("CREWE’s deck, Crewe brought it", ["Dashiell Crewe"], "[left out] deck, [left out] brought it"),
        ("Al's amplifier, all dead", ["Al Crewe"], "Al's amplifier, all dead"),
    ],
)
def test_what_tells_of_a_person_is_left_out_and_what_tells_of_the_fault_stays(text, names, wanted):
    assert openrepair.without_personal(text, names) == wanted
