"""How fast invoices are printed, beside bare WeasyPrint on the same HTML in the same run. Prints JSON.

    python -m tests.benchmarks.paper_speed

An empty shop of its own is made in a temporary folder, and invoices over several lines each are issued in it. Bare WeasyPrint
keeps its style sheets and fonts from one paper to the next, as the house does; it gets the HTML as it was written out, so
what the house adds (facts, template, the deny-all fetcher) is what the ratio shows. Rounds alternate.

Asked for: one invoice warm at most 1.2 × bare; 200 by two printers at most 1.3 × two bare processes, at most 140 MB each.
"""

from __future__ import annotations

import gc
import json
import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

WARM_ROUNDS = 40
BATCH = 200
BATCH_ROUNDS = 3
IN_ONE_ACT = 8
LINES = 8
STYLE = Path(__file__).resolve().parents[2] / "static" / "css" / "paper.css"

_kept: dict[str, Any] = {}


# --- bare WeasyPrint, as anybody would use it well -------------------------------------------------------------------------


def bare_set_up() -> None:
    """Style sheets and fonts loaded once, the heap frozen after a first paper."""
    import weasyprint  # noqa: PLC0415  the house is measured without it first
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts = FontConfiguration()
    _kept.update(weasyprint=weasyprint, fonts=fonts, sheets={})
    _kept["style"] = weasyprint.CSS(filename=STYLE, font_config=fonts)
    bare_print(('<html lang="en"><title>.</title><body class="paper"><p>.</p>', "@page { size: A4 }"))
    gc.collect()
    gc.freeze()


def bare_print(page: tuple[str, str]) -> bytes:
    """The HTML and the CSS of its sheet as tagged PDF."""
    html, css = page
    if css not in _kept["sheets"]:
        _kept["sheets"][css] = _kept["weasyprint"].CSS(string=css, font_config=_kept["fonts"])
    pdf: bytes = (
        _kept["weasyprint"]
        .HTML(string=html)
        .write_pdf(
            stylesheets=[_kept["style"], _kept["sheets"][css]],
            font_config=_kept["fonts"],
            pdf_variant="pdf/ua-1",
        )
    )
    return pdf


def peak_mb(_: int = 0) -> float:
    """The most memory that this process has held, in MB (VmHWM: ru_maxrss of a child begins with its parent's)."""
    time.sleep(0.05)
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM"):
            return round(int(line.split()[1]) / 1024, 1)
    return 0.0


# --- the shop -------------------------------------------------------------------------------------------------------------


def open_shop(folder: str) -> None:
    """An empty book with a shop in it."""
    os.environ["SHOP_DATA"] = folder
    import django  # noqa: PLC0415

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415

    call_command("migrate", verbosity=0)


def drafts(count: int) -> tuple[list[Any], Any]:
    """So many drafts over a job each, and who made them."""
    from shop.office.models import LineKind  # noqa: PLC0415
    from tests.factories.counter import CustomerFactory  # noqa: PLC0415
    from tests.factories.office import another_job, drafted, item, rates, rules, sales_tax  # noqa: PLC0415
    from tests.factories.premises import ShopProfileFactory, StaffFactory  # noqa: PLC0415

    ShopProfileFactory()
    by = StaffFactory()
    rules()
    rates()
    sales_tax()
    customer = CustomerFactory()
    items = [item(price=f"{20 + n}.00", description=f"Work no. {n}") for n in range(LINES // 2)] + [
        item(LineKind.PART, f"{3 + n}.50", description=f"Capacitor C{n}") for n in range(LINES // 2)
    ]
    return [drafted(another_job(customer, by=by), items, by=by) for _ in range(count)], by


def seconds(act: Callable[[], object]) -> float:
    """How long it takes."""
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def warm(invoices: Sequence[Any], by: Any) -> dict[str, Any]:
    """One invoice after the other, from its rows to its PDF, beside its HTML through bare WeasyPrint."""
    from shop.frame.profile import kept  # noqa: PLC0415
    from shop.office.papers import invoice_sheet  # noqa: PLC0415
    from shop.press.drawing import render_pdf  # noqa: PLC0415

    ours: list[float] = []
    bare: list[float] = []
    bare_set_up()

    def house(invoice: Any) -> bytes:
        sheet = invoice_sheet(invoice, by=by)
        return render_pdf(
            sheet.template, sheet.context, title=sheet.title, heading=sheet.heading, number=sheet.number
        )

    with kept():
        pages = [written_out(invoice, by) for invoice in invoices[:WARM_ROUNDS]]
        house(invoices[0])
        for invoice, page in zip(invoices, pages, strict=False):
            ours.append(seconds(lambda invoice=invoice: house(invoice)))  # type: ignore[misc]
            bare.append(seconds(lambda page=page: bare_print(page)))  # type: ignore[misc]
    return compared(bare, ours, 1000, "ms", 1.2)


def written_out(invoice: Any, by: Any) -> tuple[str, str]:
    """The invoice as HTML, and the CSS of its sheet."""
    from shop.office.papers import invoice_sheet  # noqa: PLC0415
    from shop.press.drawing import write_out  # noqa: PLC0415

    sheet = invoice_sheet(invoice, by=by)
    page = write_out(
        sheet.template, sheet.context, title=sheet.title, heading=sheet.heading, number=sheet.number
    )
    return page.html, page.sheet.css


def batch(issued: Sequence[Any], by: Any) -> dict[str, Any]:
    """All invoices by the house's printers, from their rows to the PDF, beside two bare processes on their HTML."""
    from shop.frame.profile import kept  # noqa: PLC0415
    from shop.office.papers import invoice_sheet  # noqa: PLC0415
    from shop.press.drawing import write_out  # noqa: PLC0415
    from shop.press.printers import Printers  # noqa: PLC0415

    ours: list[float] = []
    bare: list[float] = []
    with kept(), Printers() as printers, ProcessPoolExecutor(2, get_context("spawn"), bare_set_up) as pool:
        pages = [written_out(invoice, by) for invoice in issued]

        def house() -> None:
            for start in range(0, len(issued), IN_ONE_ACT):
                sheets = [invoice_sheet(one, by=by) for one in issued[start : start + IN_ONE_ACT]]
                printers.print(
                    [
                        write_out(
                            one.template,
                            one.context,
                            title=one.title,
                            heading=one.heading,
                            number=one.number,
                        )
                        for one in sheets
                    ]
                )
                say(f"house: {min(start + IN_ONE_ACT, len(issued))} of {len(issued)}")

        def bare_pair() -> None:
            list(pool.map(bare_print, pages))

        printers.print([])
        list(pool.map(peak_mb, range(4)))
        for _ in range(BATCH_ROUNDS):
            bare.append(seconds(bare_pair))
            ours.append(seconds(house))
        memory = list(printers._pool.map(peak_mb, range(6)))
    return {
        **compared(bare, ours, 1, "s", 1.3),
        "papers": len(issued),
        "most_mb_of_a_printer": max(memory),
        "asked_for_mb": 140,
        "small_enough": max(memory) <= 140,
    }


def command(waiting: int) -> dict[str, Any]:
    """The whole act as the shop does it, `manage.py month_end drafts`: checks, numbers, papers, hashes, journal."""
    from django.core.management import call_command  # noqa: PLC0415

    from tests.factories.premises import StaffFactory  # noqa: PLC0415

    by = StaffFactory()
    took = seconds(lambda: call_command("month_end", "drafts", by=by.username, stdout=sys.stderr))
    return {"invoices_issued": waiting, "s": round(took, 2)}


def compared(bare: list[float], ours: list[float], scale: int, unit: str, most: float) -> dict[str, Any]:
    """Both medians, their ratio, and whether it is small enough."""
    ratio = statistics.median(ours) / statistics.median(bare)
    return {
        f"bare_{unit}": round(statistics.median(bare) * scale, 2),
        f"house_{unit}": round(statistics.median(ours) * scale, 2),
        "ratio": round(ratio, 3),
        "asked_for": most,
        "enough": ratio <= most,
    }


def say(line: str) -> None:
    """Progress, beside the answer."""
    sys.stderr.write(f"\r{line}  ")


def main() -> None:
    """Measure in a shop of its own, which is thrown away."""
    with tempfile.TemporaryDirectory() as folder:
        open_shop(folder)
        waiting, by = drafts(BATCH)
        whole = command(len(waiting))
        from shop.office.models import Invoice  # noqa: PLC0415

        issued = list(Invoice.objects.filter(issued_at__isnull=False).order_by("id"))
        report = {
            "python": platform.python_version(),
            "load": os.getloadavg(),
            "one_invoice_warm": warm(issued, by),
            "batch_of_two_printers": batch(issued, by),
            "the_whole_act": whole,
            "load_after": os.getloadavg(),
        }
    print(json.dumps(report, indent=2))  # noqa: T201 - a script whose answer is printed


if __name__ == "__main__":
    main()
