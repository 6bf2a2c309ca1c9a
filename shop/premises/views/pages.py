"""What the premises' pages have in common: the tabs beside each other, and the answer to a form that was not taken."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from shop.premises.doors import StaffRequest
from shop.premises.models import Role

TABS = (
    ("Shop", "premises:profile", (Role.OWNER,)),
    ("Terms", "premises:terms", (Role.OWNER,)),
    ("Numbers", "premises:numbers", (Role.OWNER,)),
    ("Staff", "premises:staff", (Role.OWNER,)),
    ("Outbox", "premises:outbox", (Role.COUNTER,)),
    ("Journal", "premises:journal", (Role.OWNER,)),
    ("Health", "premises:health", (Role.COUNTER, Role.BENCH)),
    ("Your account", "premises:password", (Role.COUNTER, Role.BENCH)),
)


def page(request: StaffRequest, template: str, context: Mapping[str, Any]) -> HttpResponse:
    """Answer with a page of the premises: 422 when any form in `context` was sent and not taken."""
    tabs = [(label, reverse(name)) for label, name, roles in TABS if request.user.has_role(*roles)]
    here = next((address for _label, address in tabs if request.path.startswith(address)), "")
    refused = any(
        isinstance(value, Form) and value.is_bound and bool(value.errors) for value in context.values()
    )
    return render(request, template, {"tabs": tabs, "here": here, **context}, status=422 if refused else 200)
