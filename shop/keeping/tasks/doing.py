"""Doing one task, in whatever process this is; the end is written down whatever it is."""

from __future__ import annotations

import logging

from django.db import DatabaseError, connection

from shop.frame.faults import fault_in
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.keeping.tasks import claiming
from shop.keeping.tasks.kinds import GIGABYTE, Lost, Stopped, Work, kind_of

log = logging.getLogger(__name__)


def do(task: Task) -> None:
    """Do a task that was claimed. Its end, or why it is tried again, stands in the table afterwards."""
    kind = kind_of(task.kind)
    if kind is None:
        claiming.refused(task, "This program does not know how to do it.")
        return
    try:
        claiming.finish(task, kind.run(Work(task)))
    except Stopped:
        claiming.stopped(task)
    except Lost:
        log.warning("Task %s was taken up by somebody else.", task.pk)
    except Refusal as refusal:
        claiming.refused(task, refusal.sentence)
    except MemoryError:
        _forget_the_connection()
        most = kind.memory / GIGABYTE
        claiming.refused(task, f"It needs more memory than the {most:.2g} GB that such a task may take.")
    except Exception as error:  # whatever a kind of task runs into, the table must say so
        log.exception("Task %s (%s) failed", task.pk, task.kind)
        if isinstance(error, DatabaseError):
            _forget_the_connection()
        claiming.broke(task, _why(error))


def _why(error: Exception) -> str:
    """What a person is told of an error: the machine's fault in its sentence, else what the program calls it."""
    if fault := fault_in(error):
        return f"{fault.title}. {fault.sentence}"
    words = " ".join(str(error).split())
    return f"{type(error).__name__}: {words}" if words else type(error).__name__


def _forget_the_connection() -> None:
    """Ask with a new one: what broke may have left the old one in the middle of something."""
    if not connection.in_atomic_block:
        connection.close()
