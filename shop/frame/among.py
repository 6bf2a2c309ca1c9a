"""The lookup `among`: a code is one of a few, written out in the statement, so that an index of just those is used.

SQLite takes an index that holds a part of a table only where the statement says in the same words which part it is about, and
a value that comes beside the statement is no word of it. The jobs that are open are few and those that ended are many:

    Job.objects.filter(stage__among=OPEN)    with    models.Index(..., condition=Q(stage__in=OPEN))
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django.db.models import Lookup

_CODE = re.compile(r"\w+", re.ASCII)


class Among(Lookup):
    """One of these codes, in this order, as the condition of the index names them. For constants of the program only."""

    lookup_name = "among"
    prepare_rhs = False

    def get_prep_lookup(self) -> tuple[str, ...]:
        """The codes, each a plain word."""
        assert isinstance(self.rhs, Iterable)  # noqa: S101
        codes = tuple(map(str, self.rhs))
        if not codes or not all(_CODE.fullmatch(code) for code in codes):
            raise ValueError(f"Only codes of the program are written into a statement, not {codes}.")
        return codes

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        """The column, and the codes themselves."""
        column, arguments = self.process_lhs(compiler, connection)
        return f"{column} IN ({', '.join(repr(code) for code in self.rhs)})", tuple(arguments)
