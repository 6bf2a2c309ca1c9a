"""Somebody at dispatch, and a way home on which only dispatch's own guard stands."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import pytest

from shop.counter import moving
from shop.counter.stages import Stage
from shop.dispatch.leaving import holds_back
from shop.frame.models import Staff
from tests.factories.premises import ShopProfileFactory, StaffFactory


@pytest.fixture
def by(db: None) -> Staff:
    ShopProfileFactory()
    return StaffFactory(username="odile", roles=["counter"])


@pytest.fixture
def dispatch(client: Any, by: Staff) -> Any:
    client.force_login(by)
    return client


@pytest.fixture
def owner(client: Any, by: Staff) -> Any:
    client.force_login(StaffFactory(username="ottoline"))
    return client


@pytest.fixture
def own_guard_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bench and office have guards and tests of their own."""
    monkeypatch.setattr(moving, "_guards", defaultdict(list, {Stage.GONE_HOME: [holds_back]}))
