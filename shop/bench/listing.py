"""What a list of parts means here: which of them lie in a drawer, which are words, what they cost. Nothing here writes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shop.bench import stock
from shop.counter.models import Job, OriginalPart
from shop.frame import spelling
from shop.frame.profile import the_profile
from shop.handbook.money import MoneyError, UnitPrice
from shop.handbook.parts_list import Listed, ListError, read_list
from shop.stockroom.models import Part

NO_VALUE = "no value told"


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part of a list: from which drawer, or in which words; `price` in ten-thousandths, None for the rule's."""

    listed: Listed
    part: Part | None = None
    words: str = ""
    price: int | None = None
    several: int = 0

    @property
    def says(self) -> str:
        """What becomes of it, for who is about to send the list."""
        if self.part is not None:
            return f"{self.part.number}, {stock.left_of(self.part)}"
        if not self.listed.what:
            return f"{NO_VALUE}: takes no stock and no price"
        if self.several:
            return f"{self.several} kinds in the drawers match: kept in words"
        return "in words, not from a drawer"


def parts_of(text: str, job: Job) -> list[ListedPart]:
    """Read a list and look for each of its parts in the drawers. Raises ListError with the sentence for who typed it."""
    listed = _opened(read_list(text), job)
    found = {
        what: stock.parts_like(_as_looked_for(what), limit=4) for what in {one.what for one in listed} if what
    }
    return [_meant(one, found.get(one.what, [])) for one in listed]


def _opened(listed: Sequence[Listed], job: Job) -> list[Listed]:
    """Positions that were only said to be renewed get their value from the model's parts list, where it has one."""
    if not any(one.opens for one in listed):
        return list(listed)
    known = OriginalPart.objects.filter(model_id=job.unit.model_id)
    values = {one.position.casefold(): one.designation for one in known}
    return [
        Listed(one.position, values.get(one.position.casefold(), ""), one.quantity, one.price, opens=True)
        if one.opens
        else one
        for one in listed
    ]


def spelled_out(listed: Iterable[ListedPart]) -> str:
    """The list with every position and value on a line of its own, to be looked over before it is sent."""
    return "\n".join(f"{one.listed.position} {one.listed.what}".strip() for one in listed)


def _as_looked_for(what: str) -> str:
    """`47u63` as the drawers are looked through: 47 µF that takes at least 63 V. Elsewhere u stands for the decimal point."""
    for unit in ("u", "n", "p", "µ"):
        whole, letter, volts = what.partition(unit)
        if letter and whole.isdigit() and volts.isdigit() and len(volts) >= 2:
            return f"{whole}{unit} {volts}V"
    return what


def _meant(one: Listed, found: Sequence[Part]) -> ListedPart:
    price = _price(one)
    if not one.what:
        return ListedPart(one, words=f"{one.position}, {NO_VALUE}".removeprefix(", "), price=0)
    exact = [part for part in found if part.number.casefold() == one.what.casefold()]
    chosen = exact or _lowest_rated(found)
    if len(chosen) == 1:
        return ListedPart(one, part=chosen[0], price=price)
    return ListedPart(one, words=one.what, price=price, several=len(found) if len(found) > 1 else 0)


def _lowest_rated(found: Sequence[Part]) -> list[Part]:
    """Of parts that will all do, the one that is in the drawer alone; several that are there are not guessed between."""
    there = [part for part in found if getattr(part, "level", None) and part.level.quantity_thousandths > 0]
    return there if len(there) == 1 else list(found)


def _price(one: Listed) -> int | None:
    if not one.price:
        return None
    try:
        price = UnitPrice.parse(one.price, the_profile().currency, spelling.decimal_mark())
    except MoneyError as error:
        raise ListError(f"{one.position or one.what}: {error}") from error
    if price.ten_thousandths < 0:
        raise ListError(f"{one.position or one.what}: a price can’t be less than nothing.")
    return price.ten_thousandths
