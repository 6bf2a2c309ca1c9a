"""What all factories are made of: a factory that is called gives a saved row, and says of which model."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Generic, TypeVar

import factory

Row = TypeVar("Row")

if TYPE_CHECKING:

    class RowFactory(Generic[Row]):
        """As the type checker sees it: factory-boy carries no types for what a call gives."""

        def __new__(cls, **facts: Any) -> Row: ...  # type: ignore[misc]  # the row, not the factory

        @classmethod
        def create(cls, **facts: Any) -> Row: ...
        @classmethod
        def build(cls, **facts: Any) -> Row: ...
        @classmethod
        def create_batch(cls, size: int, **facts: Any) -> list[Row]: ...
        @classmethod
        def build_batch(cls, size: int, **facts: Any) -> list[Row]: ...

else:
    RowFactory = factory.django.DjangoModelFactory
