"""What the premises hang up in pages of other rooms."""

from __future__ import annotations

from django.http import HttpRequest
from django.template.loader import render_to_string

from shop.frame.models import Staff
from shop.keeping.tasks.queries import to_be_told


def your_tasks(request: HttpRequest) -> str:
    """On the first screen: how far somebody's tasks are, and which are done, until they have noted it."""
    assert isinstance(request.user, Staff)  # noqa: S101  (the login middleware sees to it)
    tasks = to_be_told(request.user)
    if not tasks:
        return ""
    over = any(not one.is_open for one in tasks)
    return render_to_string("premises/places/tasks.html", {"tasks": tasks, "over": over}, request)
