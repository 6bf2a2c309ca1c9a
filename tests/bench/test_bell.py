"""The bell of the soak tests in a browser: it may never lie over what a hand has to reach."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions
from shop.frame import clock
from shop.frame.models import Staff
from tests.factories.bench import on_the_bench
from tests.factories.counter import UnitFactory

COVERED = """() => {
  const covered = [];
  for (const one of document.querySelectorAll('main button, main a, main summary, main select')) {
    if (!one.checkVisibility() || one.closest('#bench-bell, .bench-dock')) continue;
    one.scrollIntoView({ block: 'nearest', behavior: 'instant' });
    const box = one.getBoundingClientRect();
    const top = document.elementFromPoint(box.x + Math.min(box.width, 30) / 2, box.y + box.height / 2);
    if (top && top.closest('#bench-bell, .bench-dock')) covered.push(one.textContent.trim());
  }
  return covered;
}"""
"""Every control brought into view the shortest way, as a tab key does: which of them lie under the bell or the dock."""


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_two_bells_at_once_lie_over_nothing_that_a_hand_has_to_reach(browse: Any, technician: Staff) -> None:
    job = on_the_bench(technician)
    proving = [on_the_bench(technician, unit=UnitFactory(model=job.unit.model)) for _ in range(2)]
    conclusion = {"failed": "Relay", "mode": "dirty", "remedy": "New relay.", "outcome": "repaired"}
    for other in proving:
        actions.conclude(job=other, by=technician, **conclusion)
        began = clock.now() - dt.timedelta(minutes=40)
        actions.start_soak(job=other, planned_seconds=7200, check_every_seconds=1800, by=technician, at=began)
    page = browse(technician, width=820, height=1180, touch=True)
    for width, height in ((820, 1180), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        page.goto(reverse("bench:job", args=[job.number]))
        for other in proving:
            assert page.get_by_role("link", name=f"Time to check on {other.number}").is_visible()
        assert page.locator("#bench-bell").bounding_box()["height"] < 60  # one line
        assert page.locator(".hazards.is-unread > summary").is_visible()
        assert page.evaluate(COVERED) == []
