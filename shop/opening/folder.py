"""The shop's folder: made when a shop is opened, not when somebody reads its settings."""

from __future__ import annotations

import os
from pathlib import Path

from django.conf import settings

from shop.bootstrap.machine import SECRET, kept_secret


def make_shop() -> None:
    """Make the shop's folder, its log and its secret, each for its owner alone, where there are none.

    The secret is no file where SHOP_SECRET_KEY is set.
    """
    for folder in (Path(settings.SHOP_DATA), Path(settings.LOG_DIR)):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not os.environ.get("SHOP_SECRET_KEY"):
        settings.SECRET_KEY = kept_secret(Path(settings.SHOP_DATA) / SECRET)
