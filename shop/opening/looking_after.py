"""What the opening looks after: the certificate of https, which the clock renews, and the shape of the book's tables."""

from __future__ import annotations

import datetime as dt
from itertools import islice
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from shop.bootstrap.machine import own_names
from shop.frame import clock
from shop.frame.models import JournalEntry, ShopProfile
from shop.keeping.health import BAD, GOOD, NEAR, Sign
from shop.keeping.night import Night
from shop.keeping.shelf import way_back
from shop.keeping.tasks import Kind, Result, Work, hang_up
from shop.keeping.tasks.timing import Timed, by_the_clock
from shop.opening import certificates
from shop.opening.older_book import missing_columns, missing_indexes
from shop.opening.updating import what_it_needs

CERTIFICATE = "https.certificate"
BEFORE_DAWN = dt.time(4, 40)
SOON = dt.timedelta(days=30)
MOST_NAMED = 5


def hang_up_all() -> None:
    """Have the clock renew the certificate each day that it is due."""
    hang_up(Kind(CERTIFICATE, "Renew the certificate of https", renew))
    by_the_clock(Timed(CERTIFICATE, daily=BEFORE_DAWN, wanted=_has_certificate))


def renew(_work: Work) -> Result:
    """Make the certificate again where it is due; the server reads it anew for each connection, so nothing is restarted."""
    certificates.ready(_folder(), own_names())
    return Result(f"It lasts until {clock.day_of(certificates.lasts_until(_folder()))}.")


def certificate() -> Sign:
    """Whether the certificate of https lasts."""
    if not _has_certificate():
        return Sign("The certificate", GOOD, "The shop makes none: it is not opened with --https.")
    try:
        until = certificates.lasts_until(_folder())
    except (ValueError, ImportError):
        return Sign("The certificate", BAD, "It can’t be read: start the shop again, which makes another.")
    day = clock.day_of(until)
    if until < clock.now():
        return Sign("The certificate", BAD, f"It ended on {day}: start the shop again, which makes another.")
    if until < clock.now() + SOON:
        return Sign(
            "The certificate", NEAR, f"It ends on {day}: the worker has not renewed it. Start the shop again."
        )
    return Sign("The certificate", GOOD, f"It lasts until {day}.")


def check_tables(night: Night) -> None:
    """Look whether every table and column that the program asks for is in the book."""
    if newer := what_it_needs():
        night.faults.append(newer)
        return
    for name in islice(missing_columns(connection), MOST_NAMED):
        night.faults.append(f"The book has no {name}, which the program needs. {way_back()}")
    for name in islice(missing_indexes(connection), MOST_NAMED):
        night.faults.append(f"The book has lost its index {name}. {way_back()}")
    if not MigrationRecorder(connection).applied_migrations():
        night.faults.append(f"The book’s list of migrations is empty, so it can’t be updated. {way_back()}")
    if not ShopProfile.objects.exists() and JournalEntry.objects.filter(verb__startswith="shop.").exists():
        night.faults.append(f"The shop’s profile is gone. {way_back()}")


def _folder() -> Path:
    return Path(settings.SHOP_DATA) / "https"


def _has_certificate() -> bool:
    return certificates.is_kept(_folder())
