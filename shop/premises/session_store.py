"""Sessions in the book, as Django keeps them; what a browser sends for a key is looked up only where it can be one."""

from __future__ import annotations

from django.contrib.sessions.backends import db


class SessionStore(db.SessionStore):
    """Django's own, under its own name, by which what is kept in a session is signed."""

    def _validate_session_key(self, key: str) -> bool:
        """Whether it is of the signs of a key: PostgreSQL takes no null, and a cookie can carry one in quotes."""
        # django-stubs leave the method out
        return bool(super()._validate_session_key(key) and key.isascii() and key.isalnum())  # type: ignore[misc]
