"""What is said at the bench: cards, one touch for what is sure and never for what a person states, and taken back in one go."""

from __future__ import annotations

import uuid
from html.parser import HTMLParser
from typing import Any

import pytest
from django.http import QueryDict
from django.urls import reverse

from shop.bench import actions
from shop.bench.models import (
    Conclusion,
    Evidence,
    Finding,
    Heard,
    LeftOff,
    Reading,
    Said,
    Stint,
    Taking,
    Temporary,
)
from shop.bench.page import BenchPage
from shop.bench.saying import cards_of
from shop.bench.saying.cards import Numbered
from shop.bench.saying.kinds import KINDS
from shop.counter.models import Job, TestPoint
from shop.frame.models import JournalEntry, Staff
from shop.handbook.spoken import NEVER_IN_ALL, Kind, read_line
from shop.stockroom.models import PartFitted, StockLevel
from tests.factories.stockroom import a_part

pytestmark = pytest.mark.django_db

RELAY = "Relay coil reads open, should be about 650 ohms. Cleaned the volume pot. Replaced C12 with 47u 63V."


def at(job: Job, name: str, *more: object) -> str:
    return reverse(f"bench:{name}", args=[job.number, *more])


def heard(bench: Any, job: Job, text: str) -> str:
    """What the box answers while the words arrive."""
    answer = bench.post(at(job, "hear"), {"text": text})
    assert answer.status_code == 200
    return answer.content.decode()


class _Drawn(HTMLParser):
    """The fields of a drawn form, as a browser would send them untouched."""

    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.area = self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        have = {name: value or "" for name, value in attrs}
        name, value = have.get("name", ""), have.get("value", "")
        if tag == "textarea":
            self.area, self.sent[name] = name, ""
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select and "selected" in have:
            self.sent[self.select] = value
        elif tag == "input" and name:
            ticks = have.get("type") in {"radio", "checkbox"}
            unticked = ticks and "checked" not in have
            self.sent |= {} if unticked else {name: have.get("value", "on" if ticks else "")}

    def handle_data(self, data: str) -> None:
        if self.area:
            self.sent[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        self.area, self.select = (
            "" if tag == one else was for one, was in (("textarea", self.area), ("select", self.select))
        )


def as_drawn(html: str) -> dict[str, str]:
    """The fields of drawn cards as a browser would send them, untouched."""
    drawn = _Drawn()
    drawn.feed(html)
    return drawn.sent


def say(bench: Any, job: Job, text: str, **changed: str) -> Any:
    """Say it, look at the cards, and touch the one button."""
    sent = as_drawn(heard(bench, job, text)) | {"text": text, "once": str(uuid.uuid4())} | changed
    return bench.post(at(job, "say"), sent)


def test_one_touch_takes_what_is_sure_and_leaves_the_part_in_its_drawer(
    bench: Any, job: Job, technician: Staff
) -> None:
    a_part(technician, number="C-47-63", designation="47 µF", rating="63 V", description="Capacitor", there=9)
    say(bench, job, RELAY)
    reading = Reading.objects.get()
    assert (reading.where, reading.typed, reading.over_range, reading.expected) == (
        "relay coil",
        "OL",
        True,
        "650 Ω",
    )
    assert Finding.objects.get().text == "Cleaned the volume pot."
    assert not PartFitted.objects.exists()
    assert [one.kind for one in Heard.objects.filter(taking=None)] == ["part"]


def test_all_parts_that_were_said_are_looked_for_in_one_query(
    bench: Any, job: Job, technician: Staff, django_assert_max_num_queries: Any
) -> None:
    a_part(technician, number="C-47-63", designation="47 µF", rating="63 V", description="Capacitor", there=9)
    a_part(technician, number="R-4K7", designation="4.7 kΩ", rating="0.25 W", description="Resistor", there=9)
    page = BenchPage.of(job.number, technician)
    said = read_line("Replaced C12 with 47u 63V. Replaced R7 with a 4k7. Replaced Q3 with a BC999.")
    page.points, page.meters  # noqa: B018  (asked for by readings)
    numbered = [Numbered(at, one) for at, one in enumerate(said)]
    with django_assert_max_num_queries(1):
        cards = cards_of(page, numbered)
    offered = [[part.number for part in card.form.offered] for card in cards]  # type: ignore[attr-defined]
    assert offered == [["C-47-63"], ["R-4K7"], []]
    typed = QueryDict("h0-choice=take&h0-drawer=R-4K7&h1-choice=take&h1-drawer=4.7+k&h2-choice=later")
    with django_assert_max_num_queries(1):
        taken = cards_of(page, numbered, typed)
        assert not any(card.is_wrong for card in taken)
    assert [card.form.cleaned_data["part"].number for card in taken[:2]] == ["R-4K7", "R-4K7"]


def test_a_taking_is_one_act_and_each_line_has_its_entry(bench: Any, job: Job) -> None:
    before = JournalEntry.objects.count()
    say(bench, job, RELAY)
    entries = list(JournalEntry.objects.order_by("sequence")[before:])
    assert [one.verb for one in entries] == ["words.said", "reading.added", "finding.added", "words.taken"]
    assert len({one.act for one in entries}) == 1


def test_a_line_that_was_taken_keeps_its_sentence(bench: Any, job: Job) -> None:
    say(bench, job, RELAY)
    kept = Heard.objects.get(line_kind="reading")
    assert kept.line == Reading.objects.get().pk
    assert kept.said.text == RELAY
    assert "reads open" in kept.words


@pytest.mark.parametrize(
    "never",
    [
        "Replaced C12 with 47u 63V.",
        "It was the relay coil, measured open.",
        "Soak test passed, two hours.",
        "Spent one and a half hours on it.",
        "Sticker inside the lid says serviced 4/11/88.",
        "C8 ESR 0.4.",
    ],
)
def test_what_a_person_has_to_state_is_never_taken_with_all(bench: Any, job: Job, never: str) -> None:
    say(bench, job, never)
    assert Said.objects.count() == 1
    for table in (PartFitted, Conclusion, Stint, Evidence, Reading, Finding, Taking):
        assert not table._default_manager.exists(), table
    assert Heard.objects.filter(taking=None, dropped_at=None).exists()


def test_every_kind_that_is_never_taken_along_says_why_and_no_other() -> None:
    assert {kind for kind, of in KINDS.items() if of.why_alone} == NEVER_IN_ALL
    assert set(KINDS) == set(Kind)


def test_taken_back_strikes_each_line_of_that_taking_and_returns_the_stock(
    bench: Any, job: Job, technician: Staff
) -> None:
    part = a_part(
        technician, number="C-47-63", designation="47 µF", rating="63 V", description="Capacitor", there=9
    )
    actions.add_finding(job=job, text="There before.", by=technician)
    say(bench, job, RELAY, **{"h2-choice": "take", "h2-part": str(part.pk)})
    assert StockLevel.objects.get(part=part).quantity_thousandths == 8000
    taking = Taking.objects.get()
    sent = {"taking": taking.pk, "once": str(uuid.uuid4())}
    bench.post(at(job, "take_words_back"), sent)
    bench.post(at(job, "take_words_back"), sent)
    assert StockLevel.objects.get(part=part).quantity_thousandths == 9000
    for table in (Reading, PartFitted, Taking):
        assert {one.struck_reason for one in table._default_manager.all()} == {"taken back"}
    assert [(one.text, one.struck_reason) for one in Finding.objects.order_by("id")] == [
        ("There before.", ""),
        ("Cleaned the volume pot.", "taken back"),
    ]


def test_a_card_is_changed_before_it_is_taken_and_another_is_dropped(bench: Any, job: Job) -> None:
    say(bench, job, RELAY, **{"h0-expected": "650 ohm ± 10 %", "h1-choice": "drop"})
    assert Reading.objects.get().verdict == "open"
    assert not Finding.objects.exists()
    assert Heard.objects.get(number=1).dropped_at is not None


def test_what_was_heard_wrong_is_kept_as_a_finding(bench: Any, job: Job) -> None:
    say(bench, job, "Left channel offset 12 mV.", **{"h0-choice": "finding"})
    assert Finding.objects.get().text == "Left channel offset 12 mV"
    assert not Reading.objects.exists()


def test_a_value_at_a_test_point_of_the_model_is_taken_there(bench: Any, job: Job) -> None:
    say(bench, job, "TP4 reads 11.9 volts.")
    reading = Reading.objects.get()
    assert reading.test_point is not None
    assert (reading.test_point.name, reading.expected, reading.verdict) == ("TP4", "12 V ± 5 %", "within")


def test_how_far_off_it_may_be_is_kept_as_the_bench_types_it_and_judged(bench: Any, job: Job) -> None:
    said = (
        "Rail 44 volts, should be 46 volts plus or minus 5 percent. Bias left 13.2 mV, should be 10 plus minus 2. "
        "Offset 1 millivolt, should be zero within two millivolts. Choke input 24 volts, should be between 25 and 26."
    )
    say(bench, job, said)
    assert list(Reading.objects.order_by("id").values_list("expected", "verdict")) == [
        ("46 V ± 5 %", "within"),
        ("10 mV ± 2 mV", "high"),
        ("0 V ± 2 mV", "within"),
        ("25 V to 26 V", "low"),
    ]


def test_a_sign_may_belong_to_the_test_point(bench: Any, job: Job) -> None:
    for name, expected in (("Main filter +", "46 V ± 5 %"), ("Main filter −", "-46 V ± 5 %")):
        TestPoint.objects.create(
            model=job.unit.model, name=name, quantity="voltage_dc", expected=expected, position=9
        )
    say(bench, job, "Main filter plus 45.2 volts. Main filter minus 41 volts. Main filter 12 volts.")
    told = [(one.test_point and one.test_point.name, one.verdict) for one in Reading.objects.order_by("id")]
    assert told == [("Main filter +", "within"), ("Main filter −", "low"), (None, "")]


def test_words_without_cards_wait_whole_and_are_taken_on_their_page(bench: Any, job: Job) -> None:
    bench.post(at(job, "say"), {"text": RELAY, "once": str(uuid.uuid4())})
    said = Said.objects.get()
    assert said.text == RELAY
    assert not Reading.objects.exists()
    page = bench.get(at(job, "said", said.pk)).content.decode()
    bench.post(at(job, "said", said.pk), as_drawn(page))
    assert Reading.objects.count() == Finding.objects.count() == 1
    assert b"1 to confirm" in bench.get(at(job, "job")).content


def test_a_sentence_is_taken_once_however_often_it_is_sent(bench: Any, job: Job) -> None:
    sent = as_drawn(heard(bench, job, RELAY)) | {"text": RELAY, "once": str(uuid.uuid4())}
    for _ in range(3):
        bench.post(at(job, "say"), sent)
    assert Said.objects.count() == Reading.objects.count() == 1


def test_cards_of_other_words_are_not_taken_for_these(bench: Any, job: Job) -> None:
    sent = as_drawn(heard(bench, job, "Left channel offset 12 mV."))
    bench.post(at(job, "say"), sent | {"text": "Right channel offset 47 mV.", "once": str(uuid.uuid4())})
    assert not Reading.objects.exists()
    assert Said.objects.get().text == "Right channel offset 47 mV."


def test_one_wrong_card_keeps_all_of_them_from_being_half_taken(bench: Any, job: Job) -> None:
    answer = say(bench, job, RELAY, **{"h0-typed": "six fifty"})
    assert answer.status_code == 422
    assert not Said.objects.exists()
    assert not Finding.objects.exists()
    assert b"six fifty" in answer.content


def test_a_date_that_reads_two_ways_is_taken_with_both_or_with_the_one_chosen(bench: Any, job: Job) -> None:
    text = "Sticker inside the lid says serviced 4/11/88."
    say(bench, job, text, **{"h0-choice": "take"})
    say(bench, job, text, **{"h0-choice": "take", "h0-chosen": "0"})
    both, chosen = Evidence.objects.order_by("id")
    assert [len(one.candidates) for one in (both, chosen)] == [2, 2]
    assert (str(both.earliest), str(both.latest)) == ("1988-04-11", "1988-11-04")
    assert str(chosen.earliest) == str(chosen.latest) == "1988-04-11"


def test_an_address_is_not_written_down(bench: Any, job: Job) -> None:
    answer = bench.post(at(job, "say"), {"text": "He lives at 12 Elm Street.", "once": str(uuid.uuid4())})
    assert answer.status_code == 422
    assert b"names a person or an address" in answer.content
    assert not Said.objects.exists()


def test_each_kind_stands_where_the_bench_keeps_it(bench: Any, job: Job) -> None:
    said = (
        "Clip lead across the relay contacts for testing. Next time check the belt. "
        "Right driver is an odd one, D45H11. No remote with it. Ask him whether he wants the old relay back."
    )
    say(bench, job, said)
    assert str(Temporary.objects.get()) == "Clip lead, relay contacts"
    assert LeftOff.objects.get().text == "Next time check the belt."
    device = Evidence.objects.get()
    assert (device.kind, device.where, device.marking) == ("device", "right driver", "D45H11")
    assert Finding.objects.count() == 2


def test_time_that_the_clock_counted_is_not_billed_twice(bench: Any, job: Job, technician: Staff) -> None:
    say(bench, job, "Spent one and a half hours on it.", **{"h0-choice": "take"})
    assert Stint.objects.get().seconds == 90 * 60
    answer = say(bench, job, "Spent twenty minutes on it.", **{"h0-choice": "take"})
    assert answer.status_code == 422
    assert b"correct that stint" in answer.content
    assert Stint.objects.count() == 1


@pytest.mark.parametrize(
    "odd", ["\x00", "<script>alert(1)</script>", "𝟜𝟟 mV " * 50, "9" * 400 + " volts", "…", "\u202e12 V"]
)
def test_odd_words_are_answered_and_never_half_taken(bench: Any, job: Job, odd: str) -> None:
    html = heard(bench, job, odd)
    assert "<script>alert" not in html
    answer = say(bench, job, odd)
    assert answer.status_code in {302, 303, 422}
