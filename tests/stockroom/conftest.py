"""Somebody in the stockroom."""

from __future__ import annotations

from typing import Any

import pytest

from shop.frame.models import Staff
from tests.factories.premises import ShopProfileFactory, StaffFactory


@pytest.fixture
def by(db: None) -> Staff:
    ShopProfileFactory()
    return StaffFactory(username="odile", roles=["bench"])


@pytest.fixture
def stockroom(client: Any, by: Staff) -> Any:
    client.force_login(by)
    return client


@pytest.fixture
def owner(client: Any, db: None) -> Any:
    ShopProfileFactory()
    client.force_login(StaffFactory(username="ottoline"))
    return client
