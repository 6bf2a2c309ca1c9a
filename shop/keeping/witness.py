"""What is known of the journal outside its own chain: its head as each night's report and each backup kept it.

Whoever makes the chain anew from some entry on, with every digest reckoned right, leaves a journal that holds in itself.
What was kept before that tells another digest for the same entry. Reports lie in the same book; backups don't, and the one in
another house can't be changed with it: `manage.py nightly --backup FILE` asks that one. Statements of account tell it on their
foot: whoever holds the paper can have it asked with `manage.py nightly --paper ENTRY:DIGEST`.
"""

from __future__ import annotations

import re
import tarfile
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from shop.frame.clock import day_of
from shop.frame.models import JournalEntry
from shop.frame.refusal import Refusal
from shop.keeping.contents import manifest_of
from shop.keeping.models import IssuedPaper, NightlyReport
from shop.keeping.restoring import opened
from shop.keeping.shelf import backups

BACKUPS_ASKED = 8
AT_ONCE = 500
ON_PAPER = re.compile(r"(\d{1,18}):([0-9a-f]{16,64})")


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


def paper_witness(told: str) -> Witness:
    """What a paper says on its foot, typed as ENTRY:DIGEST; spaces don't matter."""
    found = ON_PAPER.fullmatch("".join(told.split()).lower())
    if found is None:
        raise Refusal(
            "Type what stands on the paper’s foot, the entry and its digest, as 1234:0123456789abcdef…."
        )
    return Witness("the paper in hand", int(found[1]), found[2])


def _asked(packed: Path, name: str) -> Witness:
    try:
        with tarfile.open(packed, "r:") as tar:
            manifest = manifest_of(tar)
    except (tarfile.TarError, OSError) as error:
        raise Refusal(f"The backup can’t be read: {error}") from error
    return Witness(f"the backup {name}", manifest.entries, manifest.digest)


def contradictions(more: Iterable[Witness] = ()) -> list[str]:
    """A sentence for the earliest entry of each kind of witness that is not what it was: reports, papers, backups, and `more`."""
    return [*_first(_reports()), *_first(_papers()), *_first(_backups()), *_first(more)]


def _first(witnesses: Iterable[Witness]) -> Iterator[str]:
    told = iter(sorted((one for one in witnesses if one.sequence), key=lambda each: each.sequence))
    while some := list(islice(told, AT_ONCE)):
        found = JournalEntry.objects.filter(sequence__in=[one.sequence for one in some])
        digests = dict(found.values_list("sequence", "digest"))
        for one in some:
            # a paper tells the first half of a digest
            if not digests.get(one.sequence, "").startswith(one.digest):
                yield (
                    f"Entry {one.sequence} of the journal is not what it was by {one.name}: the chain was made again. "
                    f"Keep {one.name} safe and find out who had access."
                )
                return


def _reports() -> Iterator[Witness]:
    for report in NightlyReport.objects.exclude(digest="").order_by("pk"):
        yield Witness(f"the report of the night of {day_of(report.at)}", report.entries, report.digest)


def _papers() -> Iterator[Witness]:
    """Papers that tell it on their foot: of those that were made at the same entry, the first."""
    told = IssuedPaper.objects.exclude(journal_digest="").order_by("pk")
    seen: set[tuple[int, str]] = set()
    for title, entry, digest in told.values_list("title", "journal_entry", "journal_digest").iterator():
        if (entry, digest) not in seen:
            seen.add((entry, digest))
            yield Witness(f"the paper “{title}”", entry, digest)


def _backups() -> Iterator[Witness]:
    """The oldest backup and the newest few; what is encrypted can't be asked without its key."""
    plain = [one for one in backups() if one.manifest]
    for one in {id(each): each for each in [*plain[: BACKUPS_ASKED - 1], *plain[-1:]]}.values():
        if one.manifest:
            yield Witness(f"the backup {one.path.name}", one.manifest.entries, one.manifest.digest)
