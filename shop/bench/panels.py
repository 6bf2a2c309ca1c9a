"""The panels of the bench page and its buttons: each is declared here once, and doors, forms, titles and sections follow."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass
from typing import Any, Generic, TypedDict, TypeVar

from shop.bench import actions, forms, queries
from shop.bench.page import BenchPage
from shop.bench.saying import SayForm
from shop.counter.models import Job, JobPicture
from shop.counter.stages import Stage
from shop.frame import joint
from shop.frame.models import Staff
from shop.stockroom import actions as stockroom

F = TypeVar("F", bound=forms.BenchForm)


class Stamp(TypedDict):
    """What every action of the bench takes besides its own facts: on which job, by whom, which entry, and when."""

    job: Job
    by: Staff
    entry: joint.Key
    at: dt.datetime | None


@dataclass(frozen=True)
class Button(Generic[F]):
    """One touch on the bench page. Its name is that of its door (`bench:name`) and begins the ids of its fields."""

    name: str
    form: type[F]
    take: Callable[[F, Stamp], object]
    """Hands the clean form to its action."""
    _: KW_ONLY
    said: str = ""
    """Told on the next page."""
    words: str = ""
    """On the button that moves the job, or on the door that opens a panel."""
    when: Callable[[BenchPage], bool] = lambda page: True
    """Whether the page has a use for it now."""
    then: Callable[[F], str] = lambda form: ""
    """The address to go on at; the bench page itself where it is empty."""
    given: Callable[[BenchPage], dict[str, Any]] = lambda page: {}
    """What the form is made with besides its job."""
    sections: tuple[str, ...] = ()
    """What is written by it, as sections of the page: the templates `bench/record/name.html`."""
    stays: bool = False
    """Whether it stays open for the next one of its kind."""

    @property
    def door(self) -> str:
        """The name of its door."""
        return f"bench:{self.name}"

    @property
    def path(self) -> str:
        """The address of its door, below that of the job."""
        return self.name.replace("_", "-") + "/"


@dataclass(frozen=True)
class Panel(Button[F]):
    """A form that opens on the bench page, drawn by the template `bench/panels/name.html`."""

    _: KW_ONLY
    title: str
    icon: str = ""
    """Its picture in the dock; a panel without one is opened from "Where it goes next"."""
    key: str = ""
    """The key that opens it."""
    dress: Callable[[BenchPage, F], None] = lambda page, form: None
    """Gives the form what only its drawing needs; taking it does without these questions."""

    @property
    def template(self) -> str:
        """The template of its fields."""
        return f"bench/panels/{self.name}.html"


def stands_at(*stages: Stage) -> Callable[[BenchPage], bool]:
    """Of use while the job stands at one of these stages."""
    return lambda page: page.job.stage in stages


def is_proved(page: BenchPage) -> bool:
    """Of use while a soak test runs."""
    return page.soak is not None


def is_at_hand(*stages: Stage) -> Callable[[BenchPage], bool]:
    """Of use at one of these stages unless a soak test runs."""
    return lambda page: page.soak is None and page.job.stage in stages


def _dress_reading(page: BenchPage, form: forms.ReadingForm) -> None:
    form.mark_measured(page.record.readings)
    form.initial.setdefault("after_repair", queries.conclusion_stands(page.record))


def _likely_to_show(page: BenchPage) -> dict[str, object]:
    """Before, until anything is written; after, once something was measured after the repair or a conclusion stands."""
    record = page.record
    standing = [one for one in record.readings if one.struck_at is None]
    if any(one.after_repair for one in standing) or queries.conclusion_stands(record):
        return {"initial": {"shows": JobPicture.Shows.AFTER}}
    if not standing and not record.findings and not record.pictures:
        return {"initial": {"shows": JobPicture.Shows.BEFORE}}
    return {}


def _offer_likely(page: BenchPage, form: forms.FitForm | forms.WantForm) -> None:
    if not form.offered:
        form.offer([one.part for one in page.arrived] or page.likely_parts)


def _warranty(page: BenchPage) -> dict[str, object]:
    """A comeback is worked on under warranty, unless somebody says otherwise."""
    return {"initial": {"under_warranty": page.job.comeback_of_id is not None}}


SPOKEN = ("said", "readings", "suggested", "findings", "evidence", "parts", "conclusions", "stints")
"""What can be written by saying it."""

PANELS: tuple[Panel[Any], ...] = (
    Panel(
        "say",
        SayForm,
        lambda form, stamp: form.keep(
            actions.say(text=form.cleaned_data["text"], decided=form.decided(), **stamp)
        ),
        said="Kept.",
        title="Say it",
        icon="mic",
        key="v",
        words="Say or type",
        sections=SPOKEN,
        stays=True,
        then=lambda form: form.waits_at,
        given=lambda page: {"page": page},
    ),
    Panel(
        "reading",
        forms.ReadingForm,
        lambda form, stamp: actions.add_reading(**form.facts(), **stamp),
        said="Noted.",
        title="Reading",
        icon="gauge",
        key="r",
        words="Reading",
        sections=("readings", "suggested"),
        stays=True,
        given=lambda page: {"points": page.points, "meters": page.meters},
        dress=_dress_reading,
    ),
    Panel(
        "finding",
        forms.FindingForm,
        lambda form, stamp: actions.add_finding(
            text=form.cleaned_data["text"], beyond=form.cleaned_data["beyond"], **stamp
        ),
        said="Noted.",
        title="Finding",
        icon="notebook-pen",
        key="f",
        words="Finding",
        sections=("findings",),
        stays=True,
    ),
    Panel(
        "part",
        forms.FitForm,
        lambda form, stamp: stockroom.fit_part(**form.facts(), **stamp),
        said="Fitted.",
        title="Part fitted",
        icon="package",
        key="p",
        words="Part",
        sections=("parts",),
        stays=True,
        given=_warranty,
        dress=_offer_likely,
    ),
    Panel(
        "list",
        forms.ListForm,
        lambda form, stamp: actions.fit_list(**form.facts(), **stamp),
        said="Fitted.",
        title="Several parts",
        words="Several parts",
        sections=("parts",),
        stays=True,
        given=_warranty,
    ),
    Panel(
        "evidence",
        forms.EvidenceForm,
        lambda form, stamp: actions.add_evidence(**form.facts(), **stamp),
        said="Noted.",
        title="Evidence of earlier work",
        icon="scan-search",
        key="e",
        words="Earlier work",
        sections=("evidence",),
        stays=True,
    ),
    Panel(
        "photos",
        forms.PhotosForm,
        lambda form, stamp: actions.add_pictures(
            photos=form.cleaned_data["photos"],
            shows=form.cleaned_data["shows"],
            caption=form.cleaned_data["caption"],
            **stamp,
        ),
        said="Kept with the job.",
        title="Take photographs",
        icon="camera",
        key="c",
        words="Photo",
        sections=("photos",),
        stays=True,
        given=_likely_to_show,
    ),
    Panel(
        "temporary",
        forms.TemporaryForm,
        lambda form, stamp: actions.put_in_temporarily(
            what=form.cleaned_data["what"], where=form.cleaned_data["where"], **stamp
        ),
        said="Noted: it holds the job back until it is put back.",
        title="Temporarily installed",
        icon="unlink",
        key="i",
        words="Temporary part",
        stays=True,
    ),
    Panel(
        "checklist",
        forms.ChecklistForm,
        lambda form, stamp: actions.tick(**form.facts(), **stamp),
        said="Checked off.",
        title="Checklists",
        words="Checklists",
        stays=True,
        given=lambda page: {"checklists": page.checklists},
    ),
    Panel(
        "conclusion",
        forms.ConclusionForm,
        lambda form, stamp: actions.conclude(**form.facts(), **stamp),
        said="Concluded.",
        title="Conclusion",
        words="Write the conclusion",
        sections=("conclusions",),
    ),
    Panel(
        "soak",
        forms.SoakForm,
        lambda form, stamp: actions.start_soak(
            planned_seconds=int(form.cleaned_data["hours"] * 3600),
            check_every_seconds=form.cleaned_data["check_every"] * 60,
            unattended=form.cleaned_data["unattended"],
            **stamp,
        ),
        said="On soak test.",
        title="Soak test",
        words="Soak test",
        sections=("soaks",),
        when=is_at_hand(Stage.ON_THE_BENCH),
    ),
    Panel(
        "soak_check",
        forms.SoakCheckForm,
        lambda form, stamp: actions.check_running_soak(
            temperature=form.cleaned_data["temperature"],
            dc_offset=form.cleaned_data["dc_offset"],
            came_back=form.cleaned_data["came_back"],
            note=form.cleaned_data["note"],
            **stamp,
        ),
        said="Noted.",
        title="Soak-test check",
        words="Log a check",
        when=is_proved,
    ),
    Panel(
        "soak_end",
        forms.SoakEndForm,
        lambda form, stamp: actions.end_running_soak(
            result=form.cleaned_data["result"], note=form.cleaned_data["note"], **stamp
        ),
        said="The soak test has ended.",
        title="End of the soak test",
        words="End the soak test",
        when=is_proved,
    ),
    Panel(
        "want",
        forms.WantForm,
        lambda form, stamp: (
            actions.want_and_await(**form.facts(), **stamp)
            if form.cleaned_data["set_aside"]
            else stockroom.want_part(**form.facts(), **stamp)
        ),
        said="On the order list. Nothing is ordered yet: that is done in the stockroom, under To order.",
        title="Part to order",
        words="Order a part",
        dress=_offer_likely,
    ),
    Panel(
        "ready",
        forms.ReadyForm,
        lambda form, stamp: actions.call_ready(outcome=form.cleaned_data["outcome"] or None, **stamp),
        said="Ready to go back.",
        title="Ready to go back",
        words="Mark it ready",
        when=is_at_hand(Stage.ON_THE_BENCH, Stage.AWAITING_PARTS),
    ),
)

SECTIONS = (
    "said",
    *dict.fromkeys(
        name for panel in PANELS for name in panel.sections if panel.sections is not SPOKEN and name != "said"
    ),
    *("safety", "stints", "moves"),
)
"""What is written on a job, in the order of the page."""

BUTTONS: tuple[Button[Any], ...] = (
    Button(
        "start",
        forms.StartForm,
        lambda form, stamp: actions.start_stint(
            kind=form.cleaned_data["kind"], under_warranty=form.cleaned_data["under_warranty"], **stamp
        ),
        said="The clock runs.",
        given=lambda page: {
            "initial": {"kind": page.likely_kind, "under_warranty": page.job.comeback_of_id is not None}
        },
    ),
    Button(
        "stop",
        forms.StopForm,
        lambda form, stamp: actions.stop_running_stint(text=form.cleaned_data["text"], **stamp),
        said="The clock is paused.",
    ),
    Button(
        "caption",
        forms.CaptionForm,
        lambda form, stamp: actions.caption_pictures(
            of=form.cleaned_data["of"],
            caption=form.cleaned_data["caption"],
            shows=form.cleaned_data["shows"],
            **stamp,
        ),
        said="Noted.",
    ),
    Button(
        "left_off",
        forms.LeftOffForm,
        lambda form, stamp: actions.leave_off(text=form.cleaned_data["text"], **stamp),
        said="Noted.",
    ),
    Button(
        "put_back",
        forms.PutBackForm,
        lambda form, stamp: actions.put_back(
            temporary=form.cleaned_data["temporary"], by=stamp["by"], entry=stamp["entry"], at=stamp["at"]
        ),
        said="Put back.",
    ),
    Button(
        "take_back",
        forms.TakeBackForm,
        lambda form, stamp: actions.take_list_back(
            fitted=form.cleaned_data["fitted"], by=stamp["by"], entry=stamp["entry"], at=stamp["at"]
        ),
        said="Taken back.",
    ),
    Button(
        "take_words_back",
        forms.TakeWordsBackForm,
        lambda form, stamp: actions.take_words_back(
            taking=form.cleaned_data["taking"], by=stamp["by"], entry=stamp["entry"], at=stamp["at"]
        ),
        said="Taken back.",
    ),
    Button(
        "cautions",
        forms.CautionsForm,
        lambda form, stamp: actions.read_cautions(keys=form.cleaned_data["key"], **stamp),
    ),
)
"""Clock, cautions, and what is put or taken back, wherever the job stands."""

MOVES: tuple[Button[forms.BenchForm], ...] = (
    Button(
        "take",
        forms.BenchForm,
        lambda _, stamp: actions.take_to_bench(**stamp),
        said="On the bench.",
        words="Take it to the bench",
        when=stands_at(Stage.BOOKED_IN, Stage.READY),
    ),
    Button(
        "shelve",
        forms.BenchForm,
        lambda _, stamp: actions.put_back_on_shelf(**stamp),
        said="Back on its shelf.",
        words="Back on its shelf",
        when=stands_at(Stage.ON_THE_BENCH),
    ),
    Button(
        "await_parts",
        forms.BenchForm,
        lambda _, stamp: actions.set_aside(**stamp),
        said="It waits for its parts.",
        words="Wait for parts",
        when=lambda page: page.job.stage == Stage.ON_THE_BENCH and bool(page.wanted),
    ),
)
"""The moves that are one touch from the bench page."""

SENT: tuple[Button[Any], ...] = (*PANELS, *BUTTONS, *MOVES)
"""All that is sent from the bench page: each has its door."""
