"""What the premises' pages have in common: the tabs beside each other, and the answer to a form that was not taken."""

from __future__ import annotations

from collections.abc import Mapping

from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import render

from shop.frame.doors import StaffRequest
from shop.frame.models import Role
from shop.frame.tabs import Tab, Tabs

TABS = Tabs(
    "The shop itself",
    (
        Tab("Shop", "premises:profile", (Role.OWNER,)),
        Tab("Terms", "premises:terms", (Role.OWNER,)),
        Tab("Bench hours", "premises:hours", (Role.OWNER,)),
        Tab("Numbers", "premises:numbers", (Role.OWNER,)),
        Tab("Staff", "premises:staff", (Role.OWNER,)),
        Tab("Outbox", "premises:outbox", (Role.COUNTER,)),
        Tab("Tasks", "premises:tasks", (Role.COUNTER, Role.BENCH)),
        Tab("Journal", "premises:journal", (Role.OWNER,)),
        Tab("Health", "premises:health", (Role.COUNTER, Role.BENCH)),
        Tab("Your account", "premises:password", (Role.COUNTER, Role.BENCH)),
    ),
)


def page(request: StaffRequest, template: str, context: Mapping[str, object]) -> HttpResponse:
    """Answer with a page of the premises: 422 when any form in `context` was sent and not taken."""
    refused = any(
        isinstance(value, Form) and value.is_bound and bool(value.errors) for value in context.values()
    )
    tabs = TABS.context(request.user, request.path)
    return render(request, template, {**tabs, **context}, status=422 if refused else 200)
