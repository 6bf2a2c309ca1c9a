"""Sample papers: templates of the tests' own beside the house's."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest

from shop.frame.models import ShopProfile
from tests.factories.premises import ShopProfileFactory


@pytest.fixture
def sample_papers(settings: Any) -> None:
    """Let the press find the sample templates of this folder."""
    engines = copy.deepcopy(settings.TEMPLATES)
    engines[0]["DIRS"] = [*engines[0]["DIRS"], Path(__file__).parent / "papers"]
    settings.TEMPLATES = engines


@pytest.fixture
def shop(db: None) -> ShopProfile:
    """An open shop in California, which prints on Letter."""
    return ShopProfileFactory()
