"""Which models have a fault more often than others: against scipy's gamma distribution, and silent below five jobs."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from scipy.stats import gamma

from shop.counter.models import Kind
from shop.handbook.disproportion import shrunk_ratio
from shop.records.across import faults_across
from tests.factories.counter import UnitModelFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on


@pytest.mark.parametrize("observed", [5, 7, 12, 40, 300])
@pytest.mark.parametrize("expected", [0.2, 1.0, 3.7, 50.0])
def test_the_ratio_is_the_mean_of_a_gamma_distribution_and_its_lower_end_near_the_quantile(
    observed: int, expected: float
) -> None:
    told = shrunk_ratio(observed, expected)
    assert told is not None
    posterior = gamma(observed + 0.5, scale=1 / (expected + 0.5))
    assert told.times == pytest.approx(posterior.mean())
    assert told.at_least == pytest.approx(posterior.ppf(0.025), rel=0.07)


def test_fewer_than_five_say_nothing_and_nonsense_is_refused() -> None:
    assert shrunk_ratio(4, 0.01) is None
    for bad in ((-1, 1.0), (5, -1.0), (5, float("nan"))):
        with pytest.raises(ValueError, match="not negative"):
            shrunk_ratio(*bad)


@pytest.mark.django_db
def test_a_model_that_has_it_more_often_is_told_with_what_it_rests_upon(client: Client) -> None:
    ShopProfileFactory()
    weak, sound = (UnitModelFactory(name=name, kind=Kind.RECEIVER) for name in ("VX-318", "QR-7"))
    for at in range(8):
        past_job(
            complaint="No sound",
            failed="Speaker relay" if at % 2 else "speaker relays",
            mode="dirty",
            model=weak,
        )
    for at in range(30):
        past_job(complaint="Hum", failed=f"Capacitor {at}", mode="leaky", model=sound)
    for _ in range(4):  # as much more often, but fewer than five
        past_job(complaint="Dark", failed="Lamp", mode="open", model=weak)
    (one,) = faults_across(Kind.RECEIVER).found
    assert (one.model, one.jobs, one.of, one.mode) == (weak, 8, 12, "Dirty or oxidized")
    assert one.ratio.times == pytest.approx(8.5 / (12 * 8 / 42 + 0.5))
    client.force_login(StaffFactory())
    page = words_on(client.get(reverse("records:across"), {"kind": "receiver"}))
    assert "VX-318" in page
    assert "8 of 12 jobs" in page
    assert "42 jobs" in page
    assert "Nothing stands out" in words_on(client.get(reverse("records:across"), {"kind": "radio"}))
