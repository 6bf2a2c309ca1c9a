"""What happens at the door, as events in the shop's log: who was let in, what was refused, from which address.

A name that nobody here has is not written down: people type their password into the wrong field. A line can't be forged
(`front_door/security.py` writes out what is not to be seen).
"""

from __future__ import annotations

import logging

from django.http import HttpRequest

from shop.frame.models import Staff
from shop.premises.signing_in import client_address

log = logging.getLogger("shop.door")


def let_in(request: HttpRequest, staff: Staff) -> None:
    """Somebody signed in."""
    log.info("signed in: %s, from %s", staff.username, client_address(request))


def refused(request: HttpRequest, username: str, what: str) -> None:
    """A wrong password or code was given."""
    known = Staff.objects.filter(username__iexact=username).values_list("username", flat=True).first()
    log.warning("wrong %s: %s, from %s", what, known or "no such name", client_address(request))


def made_to_wait(request: HttpRequest, what: str, seconds: int) -> None:
    """A try came too early after wrong ones and was not looked at."""
    log.warning("too many wrong %s: a try %s s early, from %s", what, seconds, client_address(request))


def ended(staff: Staff, why: str) -> None:
    """A session ended otherwise than by signing out."""
    log.info("session ended: %s, %s", staff.username, why)
