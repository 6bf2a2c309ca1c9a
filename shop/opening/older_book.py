"""A book of an earlier program: its tables were made by migrations that this one does not have any more."""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.recorder import MigrationRecorder

SENTENCE = (
    "This book was made by an earlier program, and its tables can’t be changed into those of this one. Nothing was touched. "
    "With the earlier program write it into a whole-book file (python3 manage.py take_out book.zip --with-passwords), then "
    "bring that into a new folder with this one (SHOP_DATA=new-shop python3 manage.py bring_back book.zip)."
)


def is_older(connection: BaseDatabaseWrapper) -> bool:
    """Whether the book was made before the shared facts had a room of their own: it knows the premises, and no frame."""
    rooms = {room for room, _name in MigrationRecorder(connection).applied_migrations()}
    return "premises" in rooms and "frame" not in rooms
