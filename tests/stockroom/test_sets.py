"""Substitutes have a direction and a condition; measured devices make pairs."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.frame.refusal import Refusal
from shop.handbook.matching import Basis
from shop.stockroom import actions, queries
from shop.stockroom.models import MatchedDevice, Part, PartFitted, Substitute
from shop.stockroom.queries.devices import pairs_of
from tests.factories.stockroom import a_part, left, on_the_bench


def test_a_substitute_stands_in_one_way_only(by) -> None:
    # a part that may replace another need not be replaced by it: common practice, no source
    original = a_part(by, description="Transistor", designation="2SC1815-GR")
    modern = a_part(by, description="Transistor", designation="BC550C", there=3)
    actions.allow_substitute(part=modern, stands_in_for=original, condition="pins turned round", by=by)
    (one,) = queries.replacements_of(original)
    assert (one.part, one.substitute.condition, one.standing.free) == (modern, "pins turned round", 3_000)
    assert queries.replacements_of(modern) == []
    assert [stands.part for stands in queries.stands_in_of(modern)] == [original]


def test_both_ways_is_said_twice_and_taken_back_one_by_one(by) -> None:
    one, other = a_part(by), a_part(by)
    actions.allow_substitute(part=one, stands_in_for=other, both_ways=True, by=by)
    assert Substitute.objects.count() == 2
    actions.withdraw_substitute(substitute=Substitute.objects.get(part=one), by=by)
    assert [stands.part for stands in queries.replacements_of(one)] == [other]


def test_what_is_there_is_offered_before_what_is_not(by) -> None:
    original = a_part(by)
    for there in (0, 5, 0, 2):
        actions.allow_substitute(part=a_part(by, there=there), stands_in_for=original, by=by)
    assert [bool(one.standing.held) for one in queries.replacements_of(original)] == [
        True,
        True,
        False,
        False,
    ]


def test_a_part_is_no_substitute_for_itself(by) -> None:
    part = a_part(by)
    with pytest.raises(Refusal, match="for itself"):
        actions.allow_substitute(part=part, stands_in_for=part, by=by)


# Six devices, and every pair's distance worked by hand as (high - low) / low:
# 231-240 3.90 %, 240-262 9.17 %, 262-288 9.92 %, 288-305 5.90 %, 305-318 4.26 %
MEASURED = {
    "1": (231, "0.612"),
    "2": (240, "0.615"),
    "3": (262, "0.609"),
    "4": (288, "0.611"),
    "5": (305, "0.622"),
    "6": (318, "0.618"),
}


@pytest.fixture
def transistors(by) -> Part:
    part = a_part(by, description="Transistor", designation="2SC1815-GR", there=8)
    for label, (hfe, vbe) in MEASURED.items():
        actions.keep_device(
            part=part, label=label, hfe=Decimal(hfe), vbe_volts=Decimal(vbe), test_current="1 mA", by=by
        )
    return part


def labels(part: Part, within: str, wanted: int = 1, **more: object) -> list[tuple[str, ...]]:
    pairs = pairs_of(
        part,
        within_percent=Decimal(within),
        vbe_within_volt=more.pop("vbe_within_volt", None),
        wanted=wanted,
        basis=Basis.OF_LOWER,
        **more,
    )
    return [tuple(device.label for device in found.devices) for found in pairs]


def test_a_pair_within_5_per_cent_is_found(transistors) -> None:
    assert labels(transistors, "5") == [("1", "2")]
    assert labels(transistors, "5", wanted=3) == [("1", "2"), ("5", "6")]
    assert labels(transistors, "3.8") == []


def test_a_limit_on_v_be_leaves_out_pairs_that_hfe_alone_would_allow(transistors) -> None:
    # worked by hand: 4 and 5 are 5.90 % and 11 mV apart, 1 and 2 are 3 mV
    assert labels(transistors, "6", wanted=3, vbe_within_volt=Decimal("0.0035")) == [("1", "2")]


@pytest.mark.parametrize(
    "within, basis, said",
    [
        ("5", Basis.OF_LOWER, "hFE 231 to 240: 3.90 % of the lower, within the 5 % allowed"),
        # over the 10 % of common practice, within what was asked for: 231 and 262 are 13.42 % apart of the lower
        ("15", Basis.OF_MEAN, "of the mean, within the 15 % allowed"),
    ],
)
def test_a_pair_is_judged_by_what_was_asked_for(transistors, within: str, basis: Basis, said: str) -> None:
    MatchedDevice.objects.exclude(label__in=["1", "2" if within == "5" else "3"]).delete()
    (found,) = pairs_of(
        transistors, within_percent=Decimal(within), vbe_within_volt=Decimal("0.005"), wanted=1, basis=basis
    )
    told = {check.name: check for check in found.report.checks}
    assert said in told["hFE"].sentence
    assert told["hFE"].outcome == "pass"
    assert "within the 5 mV allowed" in told["V_BE"].sentence


@pytest.mark.postgres
def test_a_pair_that_is_fitted_leaves_the_drawer_and_the_list(transistors, by) -> None:
    job = on_the_bench(by)
    pair = list(MatchedDevice.objects.filter(label__in=["1", "2"]).select_related("part").order_by("-pk"))
    (fitted,) = actions.fit_devices(devices=pair, job=job, position="Q701, Q702", by=by)
    assert (fitted.quantity_thousandths, fitted.position, left(transistors)) == (2_000, "Q701, Q702", 6_000)
    assert "1, 2" in fitted.description
    assert labels(transistors, "5", wanted=2) == [("5", "6")]


def test_a_device_is_fitted_once(transistors, by) -> None:
    pair = list(MatchedDevice.objects.filter(label__in=["1", "2"]).select_related("part"))
    actions.fit_devices(devices=pair, job=on_the_bench(by), by=by)
    with pytest.raises(Refusal, match="just now"):
        actions.fit_devices(devices=pair, job=on_the_bench(by), by=by)
    assert PartFitted.objects.count() == 1


def test_a_complementary_pair_is_made_of_opposite_polarities(transistors, by) -> None:
    other = a_part(by, description="Transistor", designation="2SA1015-GR", there=2)
    actions.keep_device(part=other, label="9", hfe=Decimal(236), by=by)
    assert [set(pair) for pair in labels(transistors, "5", other=other)] == [{"2", "9"}]


@pytest.mark.parametrize(
    "facts, said",
    [
        ({"label": " ", "hfe": Decimal(100)}, "label"),
        ({"label": "7"}, "at least its hFE or its V_BE"),
        ({"label": "7", "hfe": Decimal(0)}, "above zero"),
        ({"label": "1", "hfe": Decimal(100)}, "already"),
    ],
)
def test_a_device_that_says_nothing_is_refused(transistors, by, facts, said) -> None:
    with pytest.raises(Refusal, match=said):
        actions.keep_device(part=transistors, by=by, **facts)
    assert MatchedDevice.objects.count() == len(MEASURED)
