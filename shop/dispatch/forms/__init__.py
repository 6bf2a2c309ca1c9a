"""What may be typed at dispatch, and the sentence for what may not."""

from __future__ import annotations

from shop.dispatch.forms.leaving import (
    AccessoryForm,
    CollectForm,
    HandOverForm,
    KeepHereForm,
    LostForm,
    PackForm,
    PlanForm,
)

__all__ = [
    "AccessoryForm",
    "CollectForm",
    "HandOverForm",
    "KeepHereForm",
    "LostForm",
    "PackForm",
    "PlanForm",
]
