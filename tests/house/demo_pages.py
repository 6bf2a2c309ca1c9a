"""Every page of the house with addresses of the demo shop to look at: a page that is missing here fails a test."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import Count
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from PIL import Image

from shop.bench import actions as bench
from shop.bench.models import Finding, Meter, Said, Stint
from shop.bench.page import BenchPage
from shop.bench.saying import SayForm
from shop.counter import actions as counter
from shop.counter.models import Customer, InboundParcel, Job, JobPaper, JobPicture, Promise, Unit, UnitModel
from shop.counter.stages import Stage
from shop.dispatch.models import Carrier, Parcel
from shop.frame import clock
from shop.frame.models import Staff
from shop.keeping.models import IssuedPaper, Message, Picture, StoredFile, Task
from shop.keeping.pictures import take_file
from shop.office import actions as office
from shop.office.models import Estimate, Invoice
from shop.planner.actions import make_feed_key
from shop.planner.reckoning import reckon
from shop.records import long_work
from shop.records.bringing_in import batches, kept
from shop.records.library import taking_in
from shop.records.models import Batch, Library, Synonym
from shop.records.taking_out.sheets import SHEETS
from shop.stockroom import actions as stockroom
from shop.stockroom.actions import LineAsked
from shop.stockroom.models import Order, Part, Supplier
from shop.window.actions import open_window, say_word
from tests.working import do_all


@dataclass
class DemoShop:
    """The demo shop, with a little laid out that its book leaves open."""

    owner: Staff
    secret: str = ""
    calendar: str = ""
    at_stage: dict[str, Job] = field(default_factory=dict)

    @property
    def numbers(self) -> list[str]:
        """One job at every stage."""
        return [job.number for job in self.at_stage.values()]


def photograph(*, width: int = 640, height: int = 480) -> SimpleUploadedFile:
    """A picture as a camera sends it."""
    kept = io.BytesIO()
    Image.new("RGB", (width, height), (96, 112, 120)).save(kept, "JPEG")
    return SimpleUploadedFile("photo.jpg", kept.getvalue(), content_type="image/jpeg")


def lay_out(owner: Staff) -> DemoShop:
    """Put on the tables what the demo's book leaves open, so that no page is looked at empty."""
    shop = DemoShop(owner)
    for stage in Stage:
        # the job with the longest story, so that its pages are full
        found = (
            Job.objects.filter(stage=stage).annotate(turns=Count("moves")).order_by("-turns", "-id").first()
        )
        if found is not None:
            shop.at_stage[stage] = found
    job, asked = shop.at_stage[Stage.ON_THE_BENCH], shop.at_stage[Stage.AWAITING_WORD]
    bench.add_pictures(job=job, photos=[photograph()], by=owner, caption="As it came")
    bench.add_pictures(job=asked, photos=[photograph()], by=owner, caption="Burned resistor")
    JobPicture.objects.filter(job=asked).update(for_customer=True)
    if not Stint.objects.filter(stopped_at__isnull=True).exists():
        bench.start_stint(job=job, kind="repair", by=owner)
    take_file(SimpleUploadedFile("note.txt", b"Odd hum at noon."), by=owner)
    say_something(job, owner)
    part = Part.objects.order_by("id").first()
    assert part is not None
    stockroom.open_order(
        supplier=Supplier.objects.order_by("id").first(),
        lines=[LineAsked(part=part, quantity_thousandths=10_000)],
        by=owner,
    )
    ready = shop.at_stage[Stage.READY]
    office.draft_invoice(customer=ready.customer, jobs=[ready], by=owner)
    office.draft_estimate(job=job, by=owner)
    Synonym.objects.create(words="hum, buzz, drone")
    Message.objects.create(to="odalys@fennimore.example", subject="Your estimate", body="It is ready.")
    shop.secret = open_window(job=asked, by=owner)
    say_word(job=asked, text="Is it the belt again?")
    counter.put_on_shelf(job=shop.at_stage[Stage.BOOKED_IN], shelf="A1", by=owner)
    counter.promise(job=job, promised_for=clock.today() + clock.A_DAY, what=Promise.What.WORD, by=owner)
    _, shop.calendar = make_feed_key(label="Phone", names=False, by=owner)
    reckon()
    bring_old_lists_in(owner)
    lay_tasks_out(owner)
    return shop


def say_something(job: Job, owner: Staff) -> None:
    """Words that nobody has looked at yet, of several kinds."""
    text = "Relay coil reads open. Replaced C12 with 47u 63V. Sticker says 4/11/88. It was the relay coil."
    form = SayForm({"text": text}, job=job, page=BenchPage.of(job.number, owner))
    assert form.is_valid(), form.errors
    bench.say(job=job, text=text, decided=form.decided(), by=owner)
    bench.bring_talk(
        job=job, text="0:05 lid is off\n1:10 left offset twelve millivolts", clip="take 1", by=owner
    )
    do_all()


def lay_tasks_out(owner: Staff) -> None:
    """A task in each state, one of them half done."""
    for state in Task.State:
        Task.objects.create(
            kind="night.check",
            by=owner,
            state=state,
            done=40,
            total=100,
            began_at=clock.now() - dt.timedelta(minutes=2),
            result={"sentence": "Nothing amiss.", "address": "/premises/health/", "words": "Health"},
        )


def book_taken_out() -> Task:
    """A task that took the book out, with a file where it leaves one."""
    task = Task.objects.create(kind=long_work.TAKE_OUT, state=Task.State.DONE)
    path = long_work.taken_out(task)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"PK\x05\x06" + bytes(18))
    return task


def a_library() -> Library:
    """Records of others, their categories still to be chosen."""
    return taking_in.start_library(name="theirs.csv", file=io.BytesIO(OTHERS), by=None)


OTHERS = b"""id,data_provider,product_category,brand,repair_status,event_date,problem
x_1,Menders of Port Amity,Hi-Fi separates,Quillhaven,Fixed,2019-03-14,Belt gone
x_2,Menders of Port Amity,Toaster,Quillhaven,Repairable,2019-03-15,Lever stuck
"""
OLD_JOBS = b"""Job,Date in,Client,Make,Model,Serial,Fault,Cause,Repair,Result
88,2011-03-14,Ines Quorra,Fenwick,R-1,FW2203,No left channel,Relay contacts,Cleaned,fixed
89,2011-04-02,Ines Quorra,Fenwick,R-1,FW2203,Hum on both channels,Reservoir capacitor,Replaced,fixed
90,2011-04-31,Ines Quorra,Fenwick,R-1,,Dead,,,
"""


def bring_old_lists_in(owner: Staff) -> None:
    """Two lists of an older book: one brought in, and one whose columns are still to be matched."""
    first, _second = (
        kept.start_batch(name=name, file=io.BytesIO(OLD_JOBS), by=owner)
        for name in ("older-book.csv", "to-be-matched.csv")
    )
    batches.match_columns(batch=first, columns=first.columns, by=owner)
    batches.bring_all_in(batch=first, by=owner)


def at(name: str, *args: Any, **query: Any) -> str:
    """The address of a page, with a query behind it."""
    return reverse(name, args=args) + (f"?{urlencode(query)}" if query else "")


def of(name: str, rows: Any) -> list[str]:
    """The address of a page for each of the rows."""
    return [at(name, row.pk) for row in rows]


def once(name: str, **query: Any) -> Callable[[DemoShop], list[str]]:
    """A page of which there is one."""
    return lambda _shop: [at(name, **query)]


def per_stage(name: str) -> Callable[[DemoShop], list[str]]:
    """A page that each job has: looked at with a job at every stage."""
    return lambda shop: [at(name, number) for number in shop.numbers]


def number_at(shop: DemoShop, stage: Stage) -> str:
    """The number of the job that stands for that stage."""
    return shop.at_stage[stage].number


PAGES: dict[str, Callable[[DemoShop], list[str]]] = {
    "records:first_screen": once("records:first_screen"),
    "records:jobs": once("records:jobs"),
    "records:job_card": per_stage("records:job_card"),
    "records:like_it": per_stage("records:like_it"),
    "records:models": once("records:models"),
    "records:model": lambda _: of("records:model", UnitModel.objects.order_by("pk")[:2]),
    "records:describe_model": lambda _: of("records:describe_model", UnitModel.objects.order_by("pk")[:2]),
    "records:figures": once("records:figures"),
    "records:across": lambda _: [at("records:across"), at("records:across", kind="amplifier")],
    "records:search": lambda _: [
        at("records:search"),
        at("records:search", q="belt"),
        at("records:search", q="qwertz xyzzy"),
    ],
    "records:synonyms": once("records:synonyms"),
    "records:books": once("records:books"),
    "records:repair_notes": lambda _: [
        at("records:repair_notes"),
        at("records:repair_notes", since="2020-01-01", kinds="receiver", sure="on"),
    ],
    "records:batch": lambda _: of("records:batch", Batch.objects.order_by("-pk")),
    "records:library": lambda _: of("records:library", [a_library()]),
    "records:forget_customer": lambda _: of("records:forget_customer", two_customers()),
    "records:merge": lambda _: [
        at("records:merge", "customer", two_customers()[0].pk, other="an"),
        at("records:merge", "unit", Unit.objects.order_by("pk")[0].pk),
        at("records:merge", "model", UnitModel.objects.order_by("pk")[0].pk, other="a"),
    ],
    "counter:book_in": lambda _: [at("counter:book_in"), at("counter:book_in", who="a", expected=1)],
    "counter:book_in_for": lambda _: of("counter:book_in_for", two_customers()),
    "counter:announce_for": lambda _: of("counter:announce_for", two_customers()),
    "counter:booked": lambda shop: [at("counter:booked", job=number_at(shop, Stage.BOOKED_IN))],
    "counter:customers": lambda _: [at("counter:customers"), at("counter:customers", who="555")],
    "counter:add_customer": once("counter:add_customer"),
    "counter:customer": lambda _: of("counter:customer", two_customers()),
    "counter:change_customer": lambda _: of("counter:change_customer", two_customers()),
    "counter:expected": once("counter:expected"),
    "counter:job": per_stage("counter:job"),
    "counter:put_right": lambda shop: [at("counter:put_right", number_at(shop, Stage.BOOKED_IN))],
    "counter:receive": lambda shop: [at("counter:receive", number_at(shop, Stage.EXPECTED))],
    "stockroom:parts": lambda _: [at("stockroom:parts"), at("stockroom:parts", q="capacitor")],
    "stockroom:add_part": once("stockroom:add_part"),
    "stockroom:part": lambda _: of("stockroom:part", Part.objects.order_by("id")[:3]),
    "stockroom:change_part": lambda _: of("stockroom:change_part", Part.objects.order_by("id")[:1]),
    "stockroom:devices": lambda _: of("stockroom:devices", Part.objects.order_by("id")[:1]),
    "stockroom:labels": once("stockroom:labels"),
    "stockroom:stock_take": lambda _: [
        at("stockroom:stock_take"),
        at("stockroom:stock_take", drawer=Part.objects.exclude(drawer="").order_by("id")[0].drawer),
    ],
    "stockroom:order_list": once("stockroom:order_list"),
    "stockroom:orders": once("stockroom:orders"),
    "stockroom:order": lambda _: of("stockroom:order", Order.objects.all()[:2]),
    "stockroom:send_back": lambda _: of("stockroom:send_back", Part.objects.order_by("id")[:1]),
    "stockroom:returns": once("stockroom:returns"),
    "stockroom:donors": once("stockroom:donors"),
    "stockroom:suppliers": once("stockroom:suppliers"),
    "stockroom:add_supplier": once("stockroom:add_supplier"),
    "stockroom:supplier": lambda _: of("stockroom:supplier", Supplier.objects.order_by("id")[:1]),
    "stockroom:prices": once("stockroom:prices"),
    "bench:bench": once("bench:bench"),
    "bench:job": per_stage("bench:job"),
    "bench:patterns": lambda _: [at("bench:patterns"), at("bench:patterns") + "?of=rows&name=Rails"],
    "bench:meters": once("bench:meters"),
    "bench:add_meter": once("bench:add_meter"),
    "bench:meter": lambda _: of("bench:meter", Meter.objects.order_by("id")[:1]),
    "bench:matched_set": lambda shop: [at("bench:matched_set", number_at(shop, Stage.ON_THE_BENCH))],
    "bench:photo": lambda shop: [
        at("bench:photo", number_at(shop, Stage.ON_THE_BENCH), photo.pk)
        for photo in JobPicture.objects.filter(job=shop.at_stage[Stage.ON_THE_BENCH])
    ],
    "bench:overrule": lambda shop: [at("bench:overrule", number_at(shop, Stage.ON_THE_BENCH), "any-rule")],
    "bench:strike": lambda _: [
        at("bench:strike", finding.job.number, "finding", finding.pk)
        for finding in Finding.objects.select_related("job").order_by("-id")[:1]
    ],
    "bench:said": lambda _: [
        at("bench:said", said.job.number, said.pk)
        for said in Said.objects.select_related("job").order_by("-id")
    ],
    "bench:talks": lambda shop: [at("bench:talks", number_at(shop, Stage.ON_THE_BENCH))],
    "bench:mend_stint": lambda _: [
        at("bench:mend_stint", stint.job.number, stint.pk)
        for stint in Stint.objects.select_related("job").order_by("-id")[:1]
    ],
    "bench:safety": lambda shop: [
        at("bench:safety", number_at(shop, stage))
        for stage in (Stage.ON_THE_BENCH, Stage.READY, Stage.GONE_HOME)
    ],
    "bench:model_file": lambda shop: [at("bench:model_file", number_at(shop, Stage.ON_THE_BENCH))],
    "bench:sums": lambda shop: [at("bench:sums"), at("bench:sums", job=number_at(shop, Stage.ON_THE_BENCH))],
    "bench:sum": lambda shop: [
        at("bench:sum", "idle-current"),
        at("bench:sum", "device-for-device", sort="NPN", new_sort="NPN", old_volt="80", new_volt="60"),
        at("bench:sum", "equalization", curve="riaa", hertz="20"),
        at("bench:sum", "tube-bias"),
        at(
            "bench:sum",
            "fuse",
            original="T2A L 250V",
            candidate="2A",
            job=number_at(shop, Stage.ON_THE_BENCH),
        ),
        at("bench:sum", "series-lamp", set_kind="receiver", watt="100 W"),
        at("bench:sum", "potentiometer"),
    ],
    "bench:limits": lambda shop: [at("bench:limits", number_at(shop, Stage.ON_THE_BENCH))],
    "bench:reservoir": lambda shop: [at("bench:reservoir", number_at(shop, Stage.ON_THE_BENCH))],
    "office:office": once("office:office"),
    "office:job": per_stage("office:job"),
    "office:invoice": lambda _: of(
        "office:invoice", [Invoice.objects.filter(issued_at=None)[0], *Invoice.objects.exclude(number="")[:2]]
    ),
    "office:invoices": once("office:invoices"),
    "office:rules": once("office:rules"),
    "office:rates": once("office:rates"),
    "office:flat_prices": once("office:flat_prices"),
    "office:taxes": once("office:taxes"),
    "office:left_here": lambda shop: [at("office:left_here", number_at(shop, Stage.READY))],
    "office:repair_form": lambda shop: [at("office:repair_form", number_at(shop, Stage.ON_THE_BENCH))],
    "office:month_end": once("office:month_end"),
    "office:figures": once("office:figures"),
    "office:law": once("office:law"),
    "office:account": lambda _: of("office:account", two_customers()),
    "dispatch:plan": lambda shop: [at("dispatch:plan", number_at(shop, Stage.READY))],
    "dispatch:inbound": once("dispatch:inbound"),
    "dispatch:inbound_parcel": lambda _: of(
        "dispatch:inbound_parcel", InboundParcel.objects.order_by("-id")[:2]
    ),
    "dispatch:boxes": once("dispatch:boxes"),
    "dispatch:carriers": once("dispatch:carriers"),
    "dispatch:carrier": lambda _: of("dispatch:carrier", Carrier.objects.order_by("id")[:1]),
    "dispatch:dispatch": once("dispatch:dispatch"),
    "dispatch:job": per_stage("dispatch:job"),
    "dispatch:parcel": lambda _: of("dispatch:parcel", Parcel.objects.order_by("-id")[:2]),
    "window:open": lambda shop: [at("window:open", shop.secret)],
    "planner:evening": lambda _: [at("planner:evening"), at("planner:evening", hours="2.5", begins="19:00")],
    "planner:week": once("planner:week"),
    "planner:keys": once("planner:keys"),
    "planner:reminders": once("planner:reminders"),
    "premises:house": lambda _: [at("premises:house"), f"{at('premises:house')}?bench"],
    "premises:sign_in": once("premises:sign_in"),
    "premises:password": once("premises:password"),
    "premises:second_step": once("premises:second_step"),
    "premises:set_up_second_step": once("premises:set_up_second_step"),
    "premises:profile": once("premises:profile"),
    "premises:terms": once("premises:terms"),
    "premises:hours": once("premises:hours"),
    "premises:numbers": once("premises:numbers"),
    "premises:staff": once("premises:staff"),
    "premises:add_staff": once("premises:add_staff"),
    "premises:member": lambda shop: [at("premises:member", shop.owner.pk)],
    "premises:journal": once("premises:journal"),
    "premises:outbox": once("premises:outbox"),
    "premises:mail": once("premises:mail"),
    "premises:letter_texts": once("premises:letter_texts"),
    "premises:letter_text": lambda _: [reverse("premises:letter_text", args=["parcel_left"])],
    "premises:letter": lambda _: of("premises:letter", Message.objects.order_by("id")[:2]),
    "premises:tasks": once("premises:tasks"),
    "premises:health": once("premises:health"),
}
"""Whole pages, by the name of their door."""

PIECES: dict[str, Callable[[DemoShop], list[str]]] = {
    "counter:model_names": once("counter:model_names", unit=0, **{"u0-model": "V"}),
    "counter:recognise": lambda _: [
        at(
            "counter:recognise",
            unit.owner_id,
            unit=0,
            **{"u0-maker": unit.model.maker.name, "u0-model": unit.model.name, "u0-serial": unit.serial},
        )
        for unit in Unit.objects.select_related("model__maker").exclude(serial="")[:3]
    ],
    "bench:worker": once("bench:worker"),
    "bench:now": once("bench:now"),
    "bench:aside": per_stage("bench:aside"),
    "bench:pages_to_keep": once("bench:pages_to_keep"),
    "bench:judge_reading": lambda shop: [
        at("bench:judge_reading", number_at(shop, Stage.ON_THE_BENCH), typed="4k7", quantity="resistance")
    ],
    "bench:judge_evidence": lambda shop: [
        at(
            "bench:judge_evidence",
            number_at(shop, Stage.ON_THE_BENCH),
            kind="date_code",
            marking="9148",
            where="IC1",
        )
    ],
    "bench:judge_list": lambda shop: [
        at("bench:judge_list", number_at(shop, Stage.ON_THE_BENCH), text="C1 47u")
    ],
    "bench:rows": lambda shop: [at("bench:rows", number_at(shop, Stage.ON_THE_BENCH), rows="learnt")],
    "bench:offer_parts": lambda shop: [
        at("bench:offer_parts", number_at(shop, Stage.ON_THE_BENCH), drawer="capacitor")
    ],
}
"""What scripts put into a page."""


def talked_through(name: str) -> list[str]:
    """Doors of a repair that was talked through."""
    return [at(name, one.job.number, one.pk) for one in Said.objects.filter(timed=True).select_related("job")]


FILES: dict[str, Callable[[DemoShop], list[str]]] = {
    "premises:paper": lambda _: of("premises:paper", IssuedPaper.objects.order_by("-id")[:2]),
    "premises:picture": lambda _: [
        at("premises:picture", picture.pk, size)
        for picture in Picture.objects.all()[:1]
        for size in ("full", "medium", "thumbnail")
    ],
    "premises:file": lambda _: of("premises:file", StoredFile.objects.all()[:1]),
    "bench:chapters": lambda _: talked_through("bench:chapters"),
    "bench:chapters_vtt": lambda _: talked_through("bench:chapters_vtt"),
    "counter:tag": lambda shop: [at("counter:tag", number_at(shop, Stage.BOOKED_IN))],
    "stockroom:print_labels": lambda _: [
        at("stockroom:print_labels", part=Part.objects.order_by("id")[0].pk, on="roll")
    ],
    "stockroom:print_outlines": once("stockroom:print_outlines"),
    "office:preview_estimate": lambda _: [
        at("office:preview_estimate", estimate.job.number)
        for estimate in Estimate.objects.filter(given_at=None).select_related("job")[:1]
    ],
    "office:preview_invoice": lambda _: of(
        "office:preview_invoice", Invoice.objects.filter(issued_at=None)[:1]
    ),
    "office:figures_csv": once("office:figures_csv"),
    "office:invoices_csv": once("office:invoices_csv"),
    "office:papers_zip": once("office:papers_zip", kind="invoices", starts="2026-01-01", ends="2026-12-31"),
    "office:preview_report": lambda shop: [at("office:preview_report", number_at(shop, Stage.ON_THE_BENCH))],
    "dispatch:label": lambda _: [
        at("dispatch:label", parcel.pk, on="roll") for parcel in Parcel.objects.order_by("-id")[:1]
    ],
    "planner:feed": lambda shop: [at("planner:feed", shop.calendar)],
    "records:batch_errors": lambda _: of("records:batch_errors", Batch.objects.order_by("-pk")),
    "records:found": lambda _: [at("records:found", q="belt")],
    "records:sheet": lambda _: [at("records:sheet", name) for name in SHEETS],
    "records:open_repair": once("records:open_repair"),
    "records:repair_notes_file": lambda shop: [at("records:repair_notes_file", job="26-0001-0")],
    "records:repair_notes_schema": once("records:repair_notes_schema"),
    "records:fetch_book": lambda _: [at("records:fetch_book", book_taken_out().pk)],
    "window:paper": lambda shop: [
        at("window:paper", shop.secret, filed.paper_id)
        for filed in JobPaper.objects.filter(job=shop.at_stage[Stage.AWAITING_WORD], paper__kind="estimate")[
            :1
        ]
    ],
    "window:picture": lambda shop: [
        at("window:picture", shop.secret, shown.picture_id, "medium")
        for shown in JobPicture.objects.filter(job=shop.at_stage[Stage.AWAITING_WORD])[:1]
    ],
}
"""What is handed out as a file."""

ELSEWHERE: dict[str, tuple[Callable[[DemoShop], list[str]], int]] = {
    # without a backup no shop is well
    "records:healthz": (once("records:healthz"), 503),
    "bench:tag": (lambda shop: [at("bench:tag", number_at(shop, Stage.BOOKED_IN))], 302),
    # the demo's shop knows no right to withdraw
    "window:withdraw_contract": (lambda shop: [at("window:withdraw_contract", shop.secret)], 302),
    # the code is asked of whoever gave the right password just before
    "premises:sign_in_code": (once("premises:sign_in_code"), 302),
    # an open shop has no opening page any more
    "opening:opening": (lambda _: [at("opening:opening", "any-code")], 404),
}
"""Doors that lead on, and what they answer."""


def every_door() -> Iterator[tuple[str, URLPattern]]:
    """Each address pattern of the house with the name it goes by."""

    def walk(resolver: URLResolver, room: str) -> Iterator[tuple[str, URLPattern]]:
        for one in resolver.url_patterns:
            if isinstance(one, URLResolver):
                yield from walk(one, one.namespace or room)
            else:
                yield f"{room}:{one.name}" if room else str(one.name), one

    yield from walk(get_resolver(), "")


def some_address(name: str) -> str:
    """An address that fits the door's pattern, whether or not anything is there."""
    *rooms, door = name.split(":")
    resolver = get_resolver()
    for room in rooms:
        resolver = resolver.namespace_dict[room][1]
    _pattern, _text, _defaults, converters = resolver.reverse_dict.getlist(door)[0]
    kinds = {key: type(converter).__name__ for key, converter in converters.items()}
    made = {"IntConverter": 1, "LineConverter": "finding", "SecretConverter": "x" * 32}
    return reverse(name, kwargs={key: made.get(kind, "x") for key, kind in kinds.items()})


def two_customers() -> list[Customer]:
    """The customer with the most jobs, and the one added last."""
    return [
        Customer.objects.annotate(stays=Count("jobs")).order_by("-stays")[0],
        Customer.objects.order_by("-id")[0],
    ]
