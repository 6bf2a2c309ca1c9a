"""Sentences for the next page, in a cookie named as the shop's others are."""

from __future__ import annotations

from django.conf import settings
from django.contrib.messages.storage.cookie import CookieStorage
from django.contrib.messages.storage.fallback import FallbackStorage
from django.contrib.messages.storage.session import SessionStorage


class NamedCookie(CookieStorage):
    """Django's, by a name of the shop's own: the demo beside it has another, and over https no other machine can set it."""

    cookie_name = f"{settings.SESSION_COOKIE_NAME}-told"


class Told(FallbackStorage):
    """In the cookie where they fit, else in the session."""

    storage_classes = (NamedCookie, SessionStorage)
