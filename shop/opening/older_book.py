"""A book of an earlier program: its tables were made by migrations that this one does not have any more."""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from shop.frame.guards import columns_of

SENTENCE = (
    "This book was made by an earlier program, and its tables can’t be changed into those of this one. Nothing was touched. "
    "With the earlier program write it into a whole-book file (python3 manage.py export_book book.zip --with-passwords; in the "
    "first ones that was take_out), then bring that into a new folder with this one "
    "(SHOP_DATA=new-shop python3 manage.py import_book book.zip)."
)


def is_older(connection: BaseDatabaseWrapper) -> bool:
    """Whether no migration of this program leads from the book's tables to its own.

    It was made before the shared facts had a room of their own: it knows the premises, and no frame. Or it has applied all that
    this program knows, and columns are missing all the same: by migrations of the same names that said something else.
    """
    rooms = {room for room, _name in MigrationRecorder(connection).applied_migrations()}
    if "premises" in rooms and "frame" not in rooms:
        return True
    executor = MigrationExecutor(connection)
    waits = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return bool(rooms) and not waits and any(missing_columns(connection))


def missing_indexes(connection: BaseDatabaseWrapper) -> Iterator[str]:
    """The name of each index that a model has and the book does not."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'index'")
        else:
            cursor.execute("SELECT indexname FROM pg_indexes WHERE schemaname = current_schema()")
        there = {str(name) for (name,) in cursor.fetchall()}
    for model in apps.get_models():
        if model._meta.managed and not model._meta.proxy:
            yield from (one.name for one in model._meta.indexes if one.name not in there)


def missing_columns(connection: BaseDatabaseWrapper) -> Iterator[str]:
    """Each column, or whole table, that a model has and the book does not: `table.column`."""
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
    for model in apps.get_models(include_auto_created=True):
        table = model._meta.db_table
        if not model._meta.managed or model._meta.proxy:
            continue
        if table not in there:
            yield table
            continue
        columns = set(columns_of(connection, table))
        yield from (
            f"{table}.{one.column}" for one in model._meta.local_concrete_fields if one.column not in columns
        )
