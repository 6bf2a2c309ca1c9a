"""Places: named spots that a lower room's page leaves for the rooms above to fill.

The intake page leaves `unit-known`; records fills it with earlier jobs, because records stands above the counter and the
counter may not import it. A room registers its function in its own `apps.py`:

    from shop.frame.places import fill
    fill("unit-known", earlier_jobs, order=10)

The function takes the request and keyword facts (ids, model objects) and returns rendered, safe HTML or an empty string.
The template asks with `{% place "unit-known" unit=unit %}`. It all happens on the server: a page is whole without
JavaScript.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

from django.http import HttpRequest
from django.utils.safestring import SafeString, mark_safe

Filler = Callable[..., str]

_fillers: dict[str, list[tuple[int, Filler]]] = defaultdict(list)


def fill(place: str, filler: Filler, *, order: int = 100) -> None:
    """Hang `filler` up in `place`; lower `order` comes first. Registering the same function again changes nothing."""
    if all(known is not filler for _, known in _fillers[place]):
        _fillers[place].append((order, filler))
        _fillers[place].sort(key=lambda pair: pair[0])


def filled(place: str, request: HttpRequest, **facts: object) -> SafeString:
    """What the rooms above put into `place`, joined in order. Each filler escapes its own text (it renders a template)."""
    return mark_safe("".join(filler(request, **facts) for _, filler in _fillers[place]))  # noqa: S308
