"""Exactly once: a form that is sent twice, or an entry that a tablet sends again after the network came back, is taken once.

Every form that writes carries a hidden `once` key (a UUID made when the form was drawn, or on the device). The action
claims the key inside its own transaction; a second claim raises `AlreadyTaken`, which views answer by showing what the
first one made.
"""

from __future__ import annotations

import uuid

from django.db import IntegrityError, models, transaction

from shop.frame.models import OnceKey


class AlreadyTaken(Exception):
    """This very form was taken before; `result_id` is what it made."""

    def __init__(self, taken: OnceKey) -> None:
        super().__init__("This was taken already.")
        self.result_type, self.result_id = taken.result_type, taken.result_id


def claim(key: uuid.UUID | None, verb: str) -> OnceKey | None:
    """Claim `key` for this act; None when the caller has no key (commands, fixtures). Call first in the transaction."""
    if key is None:
        return None
    try:
        with transaction.atomic():
            return OnceKey.objects.create(key=key, verb=verb)
    except IntegrityError:
        raise AlreadyTaken(OnceKey.objects.get(key=key)) from None


def settle(claimed: OnceKey | None, result: models.Model) -> None:
    """Note what the claimed act made, so that a repeat can be answered with it."""
    if claimed is not None:
        OnceKey.objects.filter(pk=claimed.pk).update(
            result_type=result._meta.label_lower, result_id=result.pk
        )


def made_by(key: str) -> OnceKey | None:
    """What a form with that key made, where it was taken already: for a page whose form is gone once it was taken."""
    try:
        return OnceKey.objects.filter(key=uuid.UUID(key), result_id__isnull=False).first()
    except ValueError:
        return None
