"""The tabs above a room's pages: which of them somebody sees, and which of them is the page at hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from django.urls import reverse

from shop.frame.models import Role, Staff


class Tab(NamedTuple):
    """One tab: its words, the page it leads to, and whom it is shown to; to all where nobody is named."""

    label: str
    door: str
    roles: tuple[Role, ...] = ()


@dataclass(frozen=True, slots=True)
class Tabs:
    """The tabs of one room; `of` says whose they are to somebody who hears the page."""

    of: str
    tabs: tuple[Tab, ...]

    def context(self, staff: Staff, here: str) -> dict[str, Any]:
        """What `base_tabs.html` shows; `here` is an address, and the tab is current whose own address it goes on from."""
        shown = [
            (tab.label, reverse(tab.door)) for tab in self.tabs if not tab.roles or staff.has_role(*tab.roles)
        ]
        current = max((address for _, address in shown if here.startswith(address)), key=len, default="")
        return {
            "tabs_of": self.of,
            "tabs": [(label, address, address == current) for label, address in shown],
        }
