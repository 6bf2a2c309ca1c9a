"""Sets that must match: worked percentages, the rules of thumb of the bench, and pairs against brute force."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.handbook.matching import (
    MOST_DEVICES,
    RULES,
    Basis,
    Check,
    Device,
    MatchingError,
    Outcome,
    Rule,
    SetKind,
    SetReport,
    check_set,
    find_pairs,
    percent_apart,
)
from shop.handbook.matching.disjoint import has_disjoint


def device(
    name: str,
    hfe: str | None = None,
    vbe: str | None = None,
    marking: str = "2SC5200-O",
    lot: str = "7832",
    **measured: str,
) -> Device:
    return Device(
        name,
        marking,
        lot,
        Decimal(hfe) if hfe else None,
        Decimal(vbe) if vbe else None,
        **{key: Decimal(value) for key, value in measured.items()},
    )


def check(report: SetReport, name: str) -> Check:
    (found,) = [one for one in report.checks if one.name == name]
    return found


def output_pair(one: Device, other: Device, rule: Rule | None = None) -> SetReport:
    return check_set(SetKind.OUTPUT_PAIR, [one, other], rule)


# --- percent ------------------------------------------------------------------------------------------------


# Computed by hand: (high - low) / low, and (high - low) / ((high + low) / 2).
@pytest.mark.parametrize(
    "low, high, of_lower, of_mean",
    [
        ("200", "215", "7.50", "7.23"),
        ("96", "106", "10.42", "9.90"),
        ("150", "180", "20.00", "18.18"),
        ("100", "100", "0.00", "0.00"),
    ],
)
def test_percent_depends_on_what_it_is_taken_of(low, high, of_lower, of_mean):
    for values in ([Decimal(low), Decimal(high)], [Decimal(high), Decimal(low)]):
        assert str(percent_apart(values, Basis.OF_LOWER)) == of_lower
        assert str(percent_apart(values, Basis.OF_MEAN)) == of_mean


def test_percent_of_three_is_between_the_highest_and_the_lowest():
    values = [Decimal(100), Decimal(130), Decimal(110)]
    assert percent_apart(values, Basis.OF_LOWER) == Decimal("30.00")
    assert percent_apart(values, Basis.OF_MEAN) == Decimal("26.09")


def test_percent_is_rounded_half_up():
    assert percent_apart([Decimal(800), Decimal("800.04")], Basis.OF_LOWER) == Decimal(
        "0.01"
    )  # exactly 0.005


@pytest.mark.parametrize(
    "values", [[], [Decimal(0)], [Decimal(-1), Decimal(2)], [Decimal("NaN")], [Decimal("Infinity")]]
)
def test_percent_needs_values_above_zero(values):
    with pytest.raises(MatchingError):
        percent_apart(values, Basis.OF_LOWER)


# 96 and 106 pass or fail a 10 % rule by the definition alone.
def test_the_definition_alone_can_decide_and_the_check_says_so():
    strict = check(output_pair(device("Q1", "96"), device("Q2", "106")), "hFE")
    assert strict.outcome is Outcome.FAIL
    assert strict.sentence == (
        "hFE 96 to 106: 10.42 % of the lower, more than the 10 % allowed; of the mean it would be 9.90 % and pass."
    )
    by_mean = Rule(Decimal(10), Decimal("0.010"), Basis.OF_MEAN)
    lenient = check(output_pair(device("Q1", "96"), device("Q2", "106"), by_mean), "hFE")
    assert lenient.outcome is Outcome.PASS
    assert lenient.sentence == (
        "hFE 96 to 106: 9.90 % of the mean, within the 10 % allowed; of the lower it would be 10.42 % and fail."
    )


def test_a_spread_on_which_both_definitions_agree_names_only_its_own():
    assert check(output_pair(device("Q1", "200"), device("Q2", "215")), "hFE").sentence == (
        "hFE 200 to 215: 7.50 % of the lower, within the 10 % allowed."
    )
    assert check(output_pair(device("Q1", "150"), device("Q2", "180")), "hFE").sentence == (
        "hFE 150 to 180: 20.00 % of the lower, more than the 10 % allowed."
    )


def test_a_limit_is_met_when_it_is_reached():
    assert check(output_pair(device("Q1", "100"), device("Q2", "110")), "hFE").outcome is Outcome.PASS
    assert check(output_pair(device("Q1", "100"), device("Q2", "110.01")), "hFE").outcome is Outcome.FAIL


# --- the rules of each kind ---------------------------------------------------------------------------------


# hFE within 10 %, 5 % for paralleled, V_BE within 5 to 10 mV: common practice, no source.
def test_paralleled_devices_are_held_to_half_the_spread():
    pair = [device("Q1", "100"), device("Q2", "108")]
    assert check(check_set(SetKind.OUTPUT_PAIR, pair), "hFE").outcome is Outcome.PASS
    assert check(check_set(SetKind.CHANNELS, pair), "hFE").outcome is Outcome.PASS
    assert check(check_set(SetKind.PARALLELED, pair), "hFE").outcome is Outcome.FAIL
    assert RULES[SetKind.PARALLELED].hfe_percent == 5
    assert {rule.vbe_volt for rule in RULES.values()} == {Decimal("0.010")}
    assert {rule.basis for rule in RULES.values()} == {Basis.OF_LOWER}


def test_v_be_is_compared_in_millivolts_without_its_sign():
    near = check(output_pair(device("Q1", vbe="0.612"), device("Q2", vbe="-0.622")), "V_BE")
    assert near.outcome is Outcome.PASS
    assert near.sentence == (
        "V_BE 612 to 622 mV: 10 mV apart, within the 10 mV allowed; "
        "without emitter resistors the currents would be as 1.48 to 1."
    )
    far = check(output_pair(device("Q1", vbe="0.612"), device("Q2", vbe="0.6221")), "V_BE")
    assert far.outcome is Outcome.FAIL
    assert "10.1 mV apart, more than the 10 mV allowed" in far.sentence


# Ebers-Moll at 25 °C, kT/q = 25.69 mV: 17.81 mV for a ratio of 2, 2.45 mV for 1.1.
@pytest.mark.parametrize(
    "millivolt, ratio", [("17.81", "2.00"), ("2.45", "1.10"), ("4.68", "1.20"), ("59.16", "10.00")]
)
def test_the_check_says_what_a_difference_in_v_be_means_in_current(millivolt, ratio):
    other = Decimal("0.6") + Decimal(millivolt).scaleb(-3)
    found = check(output_pair(device("Q1", vbe="0.6"), device("Q2", vbe=str(other))), "V_BE")
    assert f"as {ratio} to 1" in found.sentence


def test_a_hopeless_difference_in_v_be_says_no_ratio():
    assert "as 49." in check(output_pair(device("Q1", vbe="0.6"), device("Q2", vbe="0.7")), "V_BE").sentence
    assert (
        "as " not in check(output_pair(device("Q1", vbe="0.6"), device("Q2", vbe="0.701")), "V_BE").sentence
    )
    assert check(output_pair(device("Q1", vbe="1"), device("Q2", vbe="1e9")), "V_BE").outcome is Outcome.FAIL


@pytest.mark.parametrize(
    "one, other, outcome, words",
    [
        ("2SC5200-O", "2SC5200(O)", Outcome.PASS, "All are 2SC5200."),
        ("C5200", "2SC5200", Outcome.PASS, "All are 2SC5200."),
        ("D965", "BD965", Outcome.PASS, "All are BD965."),
        ("D965", "D965", Outcome.PASS, "All are 2SD965 or BD965."),
        ("2SC5200", "2SC3281", Outcome.FAIL, "The types differ: Q1 2SC5200 and Q2 2SC3281."),
        ("77-1234", "771234", Outcome.PASS, "All are 771234."),
    ],
)
def test_a_set_is_of_one_type_whatever_the_spelling(one, other, outcome, words):
    found = check(output_pair(device("Q1", marking=one), device("Q2", marking=other)), "type")
    assert (found.outcome, found.sentence) == (outcome, words)


@pytest.mark.parametrize(
    "one, other, outcome, words",
    [
        ("2SC5200-O", "2SC5200O", Outcome.PASS, "All carry O."),
        ("2SC5200", "2SC5200", Outcome.PASS, "None carries a suffix or gain group."),
        ("2SC5200-O", "2SC5200-R", Outcome.FAIL, "The suffixes or gain groups differ: Q1 O and Q2 R."),
        ("2SC5200-O", "2SC5200", Outcome.FAIL, "The suffixes or gain groups differ: Q1 O and Q2 none."),
    ],
)
def test_a_set_is_of_one_gain_group(one, other, outcome, words):
    found = check(output_pair(device("Q1", marking=one), device("Q2", marking=other)), "group")
    assert (found.outcome, found.sentence) == (outcome, words)


@pytest.mark.parametrize(
    "one, other, outcome, words",
    [
        ("7832", " 78 32", Outcome.PASS, "All are of the date lot 7832."),
        ("7832 a", "7832A", Outcome.PASS, "All are of the date lot 7832 a."),
        ("7832", "7833", Outcome.FAIL, "The date lots differ: Q1 7832 and Q2 7833."),
        ("7832", "", Outcome.NOT_KNOWN, "No date lot is noted for Q2."),
        ("", " ", Outcome.NOT_KNOWN, "No date lot is noted for Q1 and Q2."),
    ],
)
def test_a_set_is_of_one_date_lot(one, other, outcome, words):
    found = check(output_pair(device("Q1", lot=one), device("Q2", lot=other)), "date lot")
    assert (found.outcome, found.sentence) == (outcome, words)


def test_two_lots_among_three_fail_even_when_one_is_not_noted():
    report = check_set(
        SetKind.PARALLELED, [device("Q1", lot="7832"), device("Q2", lot=""), device("Q3", lot="7901")]
    )
    assert check(report, "date lot").sentence == "The date lots differ: Q1 7832, Q2 not noted and Q3 7901."


def test_a_complementary_pair_is_of_opposite_polarity_and_any_lot():
    report = check_set(
        SetKind.COMPLEMENTARY,
        [device("Q1", "98", "0.55", "2SA1943-O", "7832"), device("Q2", "93", "0.553", "2SC5200-O", "7901")],
    )
    assert report.outcome is Outcome.PASS
    assert [one.name for one in report.checks] == ["opposite polarity", "group", "hFE", "V_BE"]
    assert report.checks[0].sentence == "The polarities are opposite: Q1 PNP and Q2 NPN."


@pytest.mark.parametrize(
    "one, other, outcome, words",
    [
        ("2SK1058", "2SJ162", Outcome.PASS, "The polarities are opposite: Q1 N-channel and Q2 P-channel."),
        ("2SC5200", "2SD1047", Outcome.FAIL, "The polarities are not opposite: Q1 NPN and Q2 NPN."),
        ("2SC5200", "2SJ162", Outcome.FAIL, "The polarities are not opposite: Q1 NPN and Q2 P-channel."),
        ("2N3055", "2SA1943", Outcome.NOT_KNOWN, "The marking of Q1 does not tell the polarity."),
        ("2N3055", "MJ2955", Outcome.NOT_KNOWN, "The marking of Q1 and Q2 does not tell the polarity."),
    ],
)
def test_polarity_is_taken_from_the_designation_only(one, other, outcome, words):
    report = check_set(SetKind.COMPLEMENTARY, [device("Q1", marking=one), device("Q2", marking=other)])
    assert (report.checks[0].outcome, report.checks[0].sentence) == (outcome, words)


def test_a_complementary_pair_has_two_devices():
    three = [device("Q1"), device("Q2"), device("Q3")]
    assert (
        check_set(SetKind.COMPLEMENTARY, three).checks[0].sentence
        == "A complementary pair has two devices, not 3."
    )
    assert check_set(SetKind.COMPLEMENTARY, three).outcome is Outcome.FAIL


# Same temperature and test current: common practice, no source.
@pytest.mark.parametrize(
    "one, other, outcome, words",
    [
        ({"test_ampere": "0.1"}, {"test_ampere": "0.1"}, Outcome.PASS, "All were measured alike."),
        (
            {"test_ampere": "0.1"},
            {"test_ampere": "0.05"},
            Outcome.FAIL,
            "The test currents differ, 50 mA to 100 mA: measure again at one.",
        ),
        ({"celsius": "23"}, {"celsius": "25"}, Outcome.PASS, "All were measured alike."),
        (
            {"celsius": "23"},
            {"celsius": "25.1"},
            Outcome.FAIL,
            "The temperatures differ, 23 to 25.1 °C: let them settle.",
        ),
        (
            {"celsius": "23"},
            {},
            Outcome.NOT_KNOWN,
            "Test current or temperature is noted for some devices only.",
        ),
        (
            {},
            {"test_ampere": "0.1"},
            Outcome.NOT_KNOWN,
            "Test current or temperature is noted for some devices only.",
        ),
    ],
)
def test_values_compare_only_when_measured_alike(one, other, outcome, words):
    found = check(output_pair(device("Q1", **one), device("Q2", **other)), "test current and temperature")
    assert (found.outcome, found.sentence) == (outcome, words)


def test_conditions_that_nobody_noted_are_not_asked_for():
    assert "test current and temperature" not in [
        one.name for one in output_pair(device("Q1"), device("Q2")).checks
    ]


def test_what_was_not_measured_is_not_known():
    report = check_set(SetKind.PARALLELED, [device("Q1", "100"), device("Q2"), device("Q3", vbe="0.6")])
    assert check(report, "hFE").sentence == "hFE was not measured on Q2 and Q3."
    assert check(report, "V_BE").sentence == "V_BE was not measured on Q1 and Q2."
    assert report.outcome is Outcome.NOT_KNOWN


def test_a_set_passes_only_when_all_is_known_and_passes():
    good = output_pair(device("Q1", "100", "0.6"), device("Q2", "105", "0.604"))
    assert (good.outcome, good.names, good.kind) == (Outcome.PASS, ("Q1", "Q2"), SetKind.OUTPUT_PAIR)
    assert output_pair(device("Q1", "100"), device("Q2", "105")).outcome is Outcome.NOT_KNOWN
    assert output_pair(device("Q1", "100"), device("Q2", "150")).outcome is Outcome.FAIL


@pytest.mark.parametrize("count", [0, 1])
def test_a_set_has_at_least_two_devices(count):
    with pytest.raises(MatchingError):
        check_set(SetKind.CHANNELS, [device("Q1")] * count)


@pytest.mark.parametrize(
    "wrong",
    [{"hfe": "0"}, {"hfe": "-5"}, {"hfe": "NaN"}, {"vbe": "Infinity"}, {"celsius": "NaN"}, {"marking": " "}],
)
def test_a_device_with_values_that_no_meter_shows_is_refused(wrong):
    with pytest.raises(MatchingError, match="Q1"):
        device("Q1", **wrong)


# --- finding pairs ------------------------------------------------------------------------------------------


def named(pairs: Sequence) -> list[tuple[str, str]]:
    return [(pair.low.name, pair.high.name) for pair in pairs]


def tray(*values: int, marking: str = "2SC5200-O") -> list[Device]:
    return [device(f"D{place}", str(value), marking=marking) for place, value in enumerate(values, 1)]


def test_the_closest_pair_within_five_percent_is_found():
    (pair,) = find_pairs(tray(150, 96, 106, 200, 208))
    assert named([pair]) == [("D4", "D5")]
    assert (pair.percent, pair.basis) == (Decimal("4.00"), Basis.OF_LOWER)
    assert pair.sentence == "D4 and D5: hFE 200 and 208, 4.00 % of the lower."


def test_two_pairs_are_found_where_the_closest_alone_would_spoil_the_second():
    values = tray(100, 104, 106, 110)
    assert named(find_pairs(values)) == [("D2", "D3")]
    assert named(find_pairs(values, wanted=2)) == [("D3", "D4"), ("D1", "D2")]


def test_as_many_pairs_as_there_are_come_when_more_are_wanted():
    assert named(find_pairs(tray(100, 104, 150, 200), wanted=5)) == [("D1", "D2")]
    assert find_pairs(tray(100, 200, 300), wanted=2) == ()
    assert find_pairs([]) == ()
    assert find_pairs(tray(100)) == ()


def test_the_limit_itself_pairs_and_the_basis_decides():
    assert named(find_pairs(tray(100, 105))) == [("D1", "D2")]
    assert find_pairs(tray(1000, 1051)) == ()
    assert find_pairs(tray(96, 106), within_percent=Decimal(10)) == ()
    (pair,) = find_pairs(tray(96, 106), within_percent=Decimal(10), basis=Basis.OF_MEAN)
    assert pair.percent == Decimal("9.90")


def test_v_be_decides_between_equally_close_pairs_and_can_be_a_limit():
    devices = [device("D1", "100", "0.600"), device("D2", "100", "0.609"), device("D3", "100", "-0.603")]
    (pair,) = find_pairs(devices)
    assert named([pair]) == [("D1", "D3")]
    assert pair.sentence == "D1 and D3: hFE 100 and 100, 0.00 % of the lower; V_BE 3 mV apart."
    assert find_pairs(devices, vbe_within_volt=Decimal("0.002")) == ()
    assert named(find_pairs(devices, vbe_within_volt=Decimal("0.003"))) == [("D1", "D3")]
    unmeasured = [*devices[:1], device("D4", "100")]
    assert named(find_pairs(unmeasured)) == [("D1", "D4")]
    assert find_pairs(unmeasured, vbe_within_volt=Decimal(1)) == ()
    assert named(find_pairs([*unmeasured, device("D5", "100", "0.65")])) == [("D1", "D5")]


def test_devices_without_a_measured_hfe_or_of_another_type_do_not_pair():
    assert find_pairs([device("D1", "100"), device("D2")]) == ()
    assert find_pairs([device("D1", "100"), device("D2", "100", marking="2SC3281")]) == ()
    assert named(find_pairs([device("D1", "100", marking="C5200"), device("D2", "100")])) == [("D1", "D2")]


def test_complementary_pairs_are_of_opposite_polarity():
    npn, pnp = tray(100, 120), [device(f"P{hfe}", str(hfe), marking="2SA1943-O") for hfe in (103, 121)]
    assert named(find_pairs([*npn, *pnp], wanted=2, complementary=True)) == [("D2", "P121"), ("D1", "P103")]
    assert find_pairs(npn, complementary=True, within_percent=Decimal(50)) == ()
    assert find_pairs(tray(100, 100, marking="2N3055"), complementary=True) == ()


def test_names_must_differ_and_a_tray_has_its_limits():
    with pytest.raises(MatchingError, match="D1"):
        find_pairs([device("D1", "100"), device("D1", "101")])
    with pytest.raises(MatchingError):
        find_pairs(tray(100, 101), wanted=0)
    find_pairs(tray(*range(100, 100 + MOST_DEVICES)), wanted=30)
    with pytest.raises(MatchingError):
        find_pairs(tray(*range(100, 101 + MOST_DEVICES)))


def sets_of_pairs(edges: Sequence[tuple[str, str]]) -> Iterator[list[tuple[str, str]]]:
    """Every set of edges without a common end, by brute force."""
    if not edges:
        yield []
        return
    first, *rest = edges
    yield from sets_of_pairs(rest)
    for others in sets_of_pairs([edge for edge in rest if not set(edge) & set(first)]):
        yield [first, *others]


edges_of_seven = st.lists(
    st.sampled_from([(one, other) for one, other in combinations("ABCDEFGH", 2)]), max_size=12, unique=True
)


@given(edges_of_seven, st.integers(-1, 5))
def test_disjoint_edges_are_counted_as_brute_force_counts_them(edges, wanted):
    assert has_disjoint(edges, wanted) == (max(map(len, sets_of_pairs(edges))) >= wanted)


# Odd rings are where a search without Edmonds' shrinking goes wrong: two triangles joined by a bridge, a ring of five
# with tails.
@pytest.mark.parametrize(
    "edges, most",
    [
        ("AB BC CA CD DE EF FD", 3),
        ("AB BC CD DE EA AF CG", 3),
        ("AB BC CA", 1),
        ("AB BC CD DE EA", 2),
        ("AB AC AD AE", 1),
        ("AB BC CD DE EF FG GC", 3),
        ("GA AB BC CD DE EA DH", 3),
    ],
)
def test_odd_rings_are_searched_through(edges, most):
    pairs = [(edge[0], edge[1]) for edge in edges.split()]
    for turned in range(len(pairs)):
        order = [*pairs[turned:], *pairs[:turned]]
        for edges_in_order in (order, order[::-1]):
            assert has_disjoint(edges_in_order, most)
            assert not has_disjoint(edges_in_order, most + 1)


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.integers(100, 130), st.integers(600, 620)), max_size=8),
    st.integers(1, 4),
    st.sampled_from([None, Decimal("0.005")]),
    st.sampled_from(Basis),
    st.randoms(use_true_random=False),
)
def test_chosen_pairs_are_the_most_and_their_worst_is_the_least_possible(
    measured, wanted, vbe_limit, basis, shuffler
):
    devices = [
        device(f"D{place}", str(hfe), str(Decimal(vbe).scaleb(-3)))
        for place, (hfe, vbe) in enumerate(measured)
    ]
    found = find_pairs(devices, basis=basis, vbe_within_volt=vbe_limit, wanted=wanted)
    mixed = list(devices)
    shuffler.shuffle(mixed)
    assert find_pairs(mixed, basis=basis, vbe_within_volt=vbe_limit, wanted=wanted) == found

    apart: dict[tuple[str, str], Fraction] = {}
    for one, other in combinations(devices, 2):
        low, high = sorted((Fraction(one.hfe), Fraction(other.hfe)))
        percent = 100 * (high - low) / (low if basis is Basis.OF_LOWER else (low + high) / 2)
        near = vbe_limit is None or abs(one.vbe_volt - other.vbe_volt) <= vbe_limit
        if percent <= 5 and near:
            apart[one.name, other.name] = percent
    choices = [choice for choice in sets_of_pairs(list(apart)) if len(choice) <= wanted]
    most = max(map(len, choices))
    best = min(max((apart[edge] for edge in choice), default=0) for choice in choices if len(choice) == most)
    assert len(found) == most
    assert max((pair.apart for pair in found), default=0) == best
    used = [name for pair in named(found) for name in pair]
    assert len(used) == len(set(used))
    assert [pair.apart for pair in found] == sorted(pair.apart for pair in found)
