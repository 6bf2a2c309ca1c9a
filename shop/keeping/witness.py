"""What is known of the journal outside its own chain: its head as each night's report and each backup kept it.

Whoever makes the chain anew from some entry on, with every digest reckoned right, leaves a journal that holds in itself.
What was kept before that tells another digest for the same entry. Reports lie in the same book; backups don't, and the one in
another house can't be changed with it: `manage.py nightly --backup FILE` asks that one.
"""

from __future__ import annotations

import tarfile
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from shop.frame.clock import day_of
from shop.frame.models import JournalEntry
from shop.frame.refusal import Refusal
from shop.keeping.contents import manifest_of
from shop.keeping.models import NightlyReport
from shop.keeping.restoring import opened
from shop.keeping.shelf import backups

BACKUPS_ASKED = 8


@dataclass(frozen=True, slots=True)
class Witness:
    """Who says what the digest of an entry was."""

    name: str
    sequence: int
    digest: str


def backup_witness(backup: Path, identity: Path | None = None) -> Witness:
    """What a backup says of the journal, wherever it lies; `identity` is the age key of an encrypted one."""
    with tempfile.TemporaryDirectory(prefix="witness-") as folder:
        return _asked(opened(backup, identity, Path(folder)), backup.name)


def _asked(packed: Path, name: str) -> Witness:
    try:
        with tarfile.open(packed, "r:") as tar:
            manifest = manifest_of(tar)
    except (tarfile.TarError, OSError) as error:
        raise Refusal(f"The backup can’t be read: {error}") from error
    return Witness(f"the backup {name}", manifest.entries, manifest.digest)


def contradictions(more: Iterable[Witness] = ()) -> list[str]:
    """A sentence for the earliest entry of each kind of witness that is not what it was. The reports, backups, and `more`."""
    return [*_first(_reports()), *_first(_backups()), *_first(more)]


def _first(witnesses: Iterable[Witness]) -> Iterator[str]:
    told = [one for one in witnesses if one.sequence]
    found = JournalEntry.objects.filter(sequence__in=[one.sequence for one in told])
    digests = dict(found.values_list("sequence", "digest"))
    for one in sorted(told, key=lambda each: each.sequence):
        if digests.get(one.sequence) != one.digest:
            yield (
                f"Entry {one.sequence} of the journal is not what it was by {one.name}: the chain was made again. "
                "Keep that backup safe and find out who had access."
            )
            return


def _reports() -> Iterator[Witness]:
    for report in NightlyReport.objects.exclude(digest="").order_by("pk"):
        yield Witness(f"the report of the night of {day_of(report.at)}", report.entries, report.digest)


def _backups() -> Iterator[Witness]:
    """The oldest backup and the newest few; what is encrypted can't be asked without its key."""
    plain = [one for one in backups() if one.manifest]
    for one in {id(each): each for each in [*plain[: BACKUPS_ASKED - 1], *plain[-1:]]}.values():
        if one.manifest:
            yield Witness(f"the backup {one.path.name}", one.manifest.entries, one.manifest.digest)
