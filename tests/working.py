"""The worker of tests: in this very process and transaction, without a memory limit of its own."""

from __future__ import annotations

from shop.keeping.tasks.claiming import claim
from shop.keeping.tasks.doing import do
from shop.keeping.tasks.kinds import kinds


def do_all() -> int:
    """Do what is due, one after the other; how many were done."""
    done = 0
    while task := claim(kinds()):
        do(task)
        done += 1
    return done
