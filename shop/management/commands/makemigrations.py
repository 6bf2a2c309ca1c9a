"""`manage.py makemigrations`: Django's own, and a new table is made with its indexes and constraints in one step."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.management.commands import makemigrations
from django.db.migrations import AddConstraint, AddField, AddIndex, CreateModel
from django.db.migrations.operations.base import Operation


class Command(makemigrations.Command):
    """Write migrations that make an empty book in a third of the time: on SQLite, a constraint added later copies its table."""

    def write_migration_files(self, changes: dict[str, list[Any]], *args: Any, **options: Any) -> None:
        """Fold each migration, then write it."""
        for migration in (one for several in changes.values() for one in several):
            migration.operations = folded(migration.operations)
        super().write_migration_files(changes, *args, **options)


def folded(operations: Sequence[Operation]) -> list[Operation]:
    """The same operations, with what is added to a table that they make put into its making.

    A table that gets a column later, as where two point at each other, is left alone: its constraints may speak of that one.
    """
    grown = {one.model_name_lower for one in operations if isinstance(one, AddField)}
    made = {
        one.name_lower: one
        for one in operations
        if isinstance(one, CreateModel) and one.name_lower not in grown
    }
    kept: list[Operation] = []
    for one in operations:
        table = made.get(one.model_name_lower) if isinstance(one, AddConstraint | AddIndex) else None
        if table is None:
            kept.append(one)
        elif isinstance(one, AddConstraint):
            table.options.setdefault("constraints", []).append(one.constraint)
        elif isinstance(one, AddIndex):
            table.options.setdefault("indexes", []).append(one.index)
    return kept
