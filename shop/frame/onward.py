"""Where to go on: an address that a page was told by its visitor, so long as it lies in this house."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

LONGEST = 2_000


def within_the_house(request: HttpRequest, address: str) -> str:
    """The same address where it is a path of this shop, or a whole address of it; else nothing.

    What is neither, such as a bare word, is no address: Django would take it for the name of a page.
    """
    if not address.startswith(("/", "https://", "http://")) or len(address) > LONGEST:
        return ""
    allowed = url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return address if allowed and address.isprintable() else ""
