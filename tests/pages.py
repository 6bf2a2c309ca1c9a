"""What a person reads on a page and sends from it, for tests of sentences and not of how a template is laid out."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpResponse


def words_on(answer: HttpResponse) -> str:
    """The page as sent, each run of spaces and line breaks as the one space that a browser shows."""
    return " ".join(answer.content.decode().split())


def once(**more: Any) -> dict[str, Any]:
    """What a form sends, with a key of its own, as each page that was opened has one."""
    return {"once": str(uuid.uuid4()), **more}
