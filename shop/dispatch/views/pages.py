"""What dispatch's pages have in common: who may come in, and the tabs."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.frame.tabs import Tab, Tabs

at_dispatch = for_roles(Role.COUNTER, Role.BENCH)
of_the_owner = for_roles(Role.OWNER)

TABS = Tabs(
    "Dispatch",
    (
        Tab("Going home", "dispatch:dispatch"),
        Tab("Coming in", "dispatch:inbound"),
        Tab("Boxes", "dispatch:boxes"),
        Tab("Carriers", "dispatch:carriers", (Role.OWNER,)),
    ),
)


def page(
    request: StaffRequest,
    template: str,
    context: Mapping[str, object],
    *,
    tab: str = "dispatch:dispatch",
    refused: bool = False,
) -> HttpResponse:
    """Answer with a page of dispatch under its tab; 422 when a form was refused."""
    tabs = TABS.context(request.user, reverse(tab))
    return render(request, template, {**tabs, **context}, status=422 if refused else 200)
