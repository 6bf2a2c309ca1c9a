"""The shop's own time zone and ways of writing, for the length of a request or of a paper.

Screens speak English. Numbers, sums and dates follow the language of the profile, or the customer's on a paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from babel import Locale, UnknownLocaleError
from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone, translation
from django.utils.functional import SimpleLazyObject

from shop.frame import profile
from shop.frame.clock import zone_of
from shop.frame.models import ShopProfile

SPOKEN = "en"
"""The language that screens are written in; a variety of it (en-GB) is taken from the profile."""

_locale: ContextVar[Locale | None] = ContextVar("locale", default=None)


def locale() -> Locale:
    """The way of writing in force: the paper's or the profile's while one is active, else the settings'."""
    return _locale.get() or locale_of(settings.LANGUAGE_CODE)


def locale_of(language: str) -> Locale:
    """Return Babel's locale for a BCP 47 tag; a language it does not know is written as English."""
    return known_locale(language) or Locale("en")


def known_locale(language: str) -> Locale | None:
    """Babel's locale for a BCP 47 tag, None where it knows no such language or no such country.

    A language that CLDR has no variety of in that country (English in Japan) is written as it is written internationally,
    `en-001`, else as the language itself.
    """
    try:
        return Locale.parse(language, sep="-")
    except ValueError:
        return None
    except UnknownLocaleError:
        spoken, _, country = language.partition("-")
        if country.upper() not in Locale("en").territories:
            return None
        return next((locale for tag in (f"{spoken}-001", spoken) if (locale := _parsed(tag))), None)


def _parsed(language: str) -> Locale | None:
    try:
        return Locale.parse(language, sep="-")
    except (ValueError, UnknownLocaleError):
        return None


@contextmanager
def writing_in(language: str) -> Iterator[None]:
    """Write sums, numbers and dates as `language` (a BCP 47 tag) does."""
    token = _locale.set(locale_of(language))
    try:
        yield
    finally:
        _locale.reset(token)


@contextmanager
def customs_of(shop: ShopProfile) -> Iterator[None]:
    """Keep to the shop's time zone and ways of writing."""
    spoken = shop.language if shop.language.lower().startswith(SPOKEN) else SPOKEN
    with (
        timezone.override(zone_of(shop.time_zone)),
        translation.override(spoken.lower()),
        writing_in(shop.language),
    ):
        yield


class LocalCustoms:
    """Middleware: reads the profile once in each request and keeps to its customs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with profile.kept(), customs_of(profile.the_profile()):
            return self.get_response(request)


def shop_profile(_request: HttpRequest) -> dict[str, object]:
    """Context processor: `shop_profile` in every template, read when first used, so that error pages need no database."""
    return {"shop_profile": SimpleLazyObject(profile.the_profile)}
