"""What a person reads on a page, for tests that look for a sentence and not for how its template is laid out."""

from __future__ import annotations

from django.http import HttpResponse


def words_on(answer: HttpResponse) -> str:
    """The page as sent, each run of spaces and line breaks as the one space that a browser shows."""
    return " ".join(answer.content.decode().split())
