"""The label on a parcel: the address as it was typed, the sender where there is room, the job number for a reader."""

from __future__ import annotations

from shop.counter.models import Job
from shop.dispatch.models import Parcel
from shop.frame.profile import the_profile
from shop.handbook.barcodes import code128
from shop.handbook.jobnumber import JobNumber
from shop.press.label_sheets import LARGEST_POINT, POINT_MM, SAFE_MM, points_for

ADDRESS_LABEL = "papers/labels/address.html"
ROOMY_MM = 45
"""From this height on a label has room for the sender and the job number."""

BIG_POINT = 26
"""What a carrier's camera reads off a box on a belt without trouble (common practice, no source)."""

BAR_MODULE_MM = 0.375
"""Three dots of a label printer of 203 dpi."""


def address_labels(parcel: Parcel, jobs: list[Job], width: float, height: float) -> list[dict[str, object]]:
    """What stands on the label of a parcel, for a label of so many millimetres. The address is never rewritten."""
    shop = the_profile()
    lines = [line.strip() for line in parcel.address.splitlines() if line.strip()]
    wide, high = width - 2 * SAFE_MM - 2, height - 2 * SAFE_MM
    roomy = height >= ROOMY_MM
    sender = [shop.name, *shop.address.splitlines()] if roomy else []
    code = JobNumber.parse(jobs[0].number).compact if roomy and len(jobs) == 1 else ""
    if code and code128(code).modules_with_quiet * BAR_MODULE_MM > wide:
        code = ""
    note = _note(parcel) if roomy else ""
    taken = (
        (len(sender) * 6.5 * 1.3 * POINT_MM + 4 if sender else 0) + (14 if code else 0) + (8 if note else 0)
    )
    largest = LARGEST_POINT if height < ROOMY_MM else BIG_POINT
    points = points_for(lines, width=wide, height=high - taken, largest=largest)
    one = {
        "lines": lines,
        "css": f"pt-{points}",
        "sender": sender,
        "code": code,
        "module_mm": BAR_MODULE_MM,
        "code_text": jobs[0].number if code else "",
        "note": note,
    }
    return [one]


def _note(parcel: Parcel) -> str:
    return "Lithium mark on the box" if parcel.lithium_needs_mark else ""
