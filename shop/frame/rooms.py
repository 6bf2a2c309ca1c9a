"""The rooms as the tabs at the top of each page show them: name, door, and whose work is done there.

Doors are named by URL name, so that premises knows the rooms above without importing them. A room whose door
does not open yet is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from shop.frame.models import Role, Staff


@dataclass(frozen=True, slots=True)
class Room:
    """One room: the URL namespace it answers to, its name on the tab, the page its tab leads to, and its roles."""

    namespace: str
    label: str
    door: str
    roles: tuple[str, ...]


ROOMS = (
    Room("counter", "Counter", "counter:book_in", (Role.COUNTER,)),
    Room("bench", "Bench", "bench:bench", (Role.BENCH,)),
    Room("stockroom", "Stockroom", "stockroom:parts", (Role.BENCH, Role.COUNTER)),
    Room("office", "Office", "office:office", (Role.COUNTER,)),
    Room("dispatch", "Dispatch", "dispatch:dispatch", (Role.COUNTER,)),
    Room("planner", "Planner", "planner:evening", (Role.COUNTER, Role.BENCH)),
    Room("records", "Records", "records:search", (Role.COUNTER, Role.BENCH)),
)


def open_door(name: str, *args: object) -> str:
    """The address that the URL name leads to, or an empty string when no such page has been hung yet."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""


def rooms_for(staff: Staff) -> list[tuple[Room, str]]:
    """The rooms that `staff` works in, each with the address of its tab, in the order a unit passes through."""
    pairs = [(room, open_door(room.door)) for room in ROOMS if staff.has_role(*room.roles)]
    return [(room, address) for room, address in pairs if address]
