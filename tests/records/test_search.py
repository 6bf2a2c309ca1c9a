"""One box over the whole history: what is typed finds what was written, on SQLite and on PostgreSQL alike.

The corpus below is small enough to be read; what must be found stands beside each question.
"""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.counter.models import Job
from shop.handbook.words import asked_form, matches
from shop.records.models import SearchRow, SearchWords, Synonym
from shop.records.searching.answering import BEST, Asking, ask
from shop.records.searching.engine import engine
from shop.records.searching.question import Filters
from shop.records.searching.rows import BETWEEN
from tests.factories.counter import MakerFactory, UnitModelFactory
from tests.factories.premises import StaffFactory
from tests.factories.records import day, past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def found(history: dict[str, Job], text: str, **more: object) -> list[str]:
    """The names of the jobs found, in order."""
    names = {job.pk: name for name, job in history.items()}
    return [names[hit.job.pk] for hit in ask(Asking(text=text, **more)).hits]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "typed, wanted",
    [
        ("relay", ["relay"]),
        ("relays", ["relay"]),
        ("no output", ["relay"]),  # the trade says no sound
        ("dead channel", ["relay"]),
        ("cap", ["caps"]),
        ("capacitors", ["caps"]),
        ("4.7µF/63V", ["caps"]),
        ("4u7", ["caps"]),
        ("2sc1815", ["stamp"]),
        ("8/14/79", ["stamp"]),
        ("scratchy", ["pot"]),
        ("C-101", ["open"]),
        ("c101", ["open"]),
        ("vx318", ["stamp", "caps", "relay"]),
        ("VX-318", ["stamp", "caps", "relay"]),
        ("vx 318 hum", ["caps"]),
        ("brackwater", ["stamp", "caps", "relay"]),
        ("kestrel vane belt", ["belt"]),
        ("nightjar", ["open", "keys"]),
        ("turntable", ["pot", "belt"]),
        ("a0482137", ["relay"]),
        ("82137", ["relay"]),
        ("osei", ["relay"]),
        ("osei relay", ["relay"]),
        ("dirty", ["relay"]),
    ],
)
def test_what_is_typed_finds_what_was_written_newest_first(
    history: dict[str, Job], typed: str, wanted: list[str]
) -> None:
    assert found(history, typed) == wanted


def test_letter_o_stands_for_zero_in_a_model_number() -> None:
    model = UnitModelFactory(name="R-2040", maker=MakerFactory(name="Fenwick"))
    job = past_job(complaint="Hum", model=model)
    assert [hit.job.pk for hit in ask(Asking(text="R2O4O")).hits] == [job.pk]


@pytest.mark.parametrize(
    "typed",
    [
        '"',
        "*",
        "AND",
        "NOT",
        "a OR",
        "(",
        "C-101",
        "4.7µF/63V",
        "🎛️📻",
        "'; DROP TABLE",
        "^x",
        "NEAR(",
        "a:b",
        "-",
        "\\",
        "%",
        "_",
    ],
)
def test_any_sign_may_be_typed(history: dict[str, Job], typed: str) -> None:
    for order in ("newest", BEST):
        ask(Asking(text=typed, order=order))
        ask(Asking(text=typed, order=order, typing=True))


def test_ten_thousand_characters_are_answered_and_the_cut_is_said(history: dict[str, Job]) -> None:
    answer = ask(Asking(text="relay " * 1667))
    assert answer.question.told.cut


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=60))
def test_no_text_whatever_breaks_the_search(history: dict[str, Job], text: str) -> None:
    ask(Asking(text=text, typing=True))


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    words=st.lists(
        st.sampled_from(
            [
                "relay",
                "hum",
                "cap",
                "left",
                "channel",
                "no",
                "sound",
                "belt",
                "speed",
                "dead",
                "fuse",
                "crackle",
                "volume",
                "black",
                "key",
                "c-101",
                "vx318",
            ]
        ),
        min_size=1,
        max_size=4,
    )
)
def test_the_index_finds_exactly_what_the_handbook_says_matches(
    history: dict[str, Job], words: list[str]
) -> None:
    """The handbook's `matches` over the stored words is the measure; both databases are held against it."""
    asked = asked_form(" ".join(words))
    rows = SearchWords.objects.order_by("-pk")
    wanted = [
        row.pk
        for row in rows
        if matches(
            asked,
            *(text.split() for text in row.words.split(BETWEEN)[1:]),
        )
    ]
    assert engine().newest(asked, 50) == wanted


def test_a_word_being_typed_finds_what_begins_so(history: dict[str, Job]) -> None:
    assert found(history, "rel", typing=True) == ["relay"]
    assert found(history, "capac", typing=True) == ["caps"]
    assert found(history, "vx3", typing=True) == ["stamp", "caps", "relay"]


def test_a_misspelt_word_is_taken_for_the_nearest_one_and_that_is_said(history: dict[str, Job]) -> None:
    answer = ask(Asking(text="capaciter hum"))
    assert [(miss.typed, miss.meant) for miss in answer.near_misses] == [("capaciter", "capacitor")]
    assert [hit.job for hit in answer.hits] == [history["caps"]]
    exact = ask(Asking(text="capaciter", exactly=True))
    assert not exact.near_misses
    assert not exact.hits


def test_a_model_typed_wrong_and_apart_is_found_by_what_was_meant(history: dict[str, Job]) -> None:
    for typed in ("VX-31B", "vx31b", "VX-31B hum"):
        answer = ask(Asking(text=typed))
        assert [miss.meant for miss in answer.near_misses] == ["vx318"]
        assert history["caps"] in [hit.job for hit in answer.hits]


def test_a_place_on_a_board_is_never_taken_for_another(history: dict[str, Job]) -> None:
    answer = ask(Asking(text="C1013"))
    assert answer.near_misses == ()
    assert answer.hits == []


def test_where_nothing_has_all_words_the_word_left_out_is_named(history: dict[str, Job]) -> None:
    answer = ask(Asking(text="relay turntable"))
    assert answer.left_out in (("relay",), ("turntable",))
    assert answer.hits


def test_filters_narrow_and_say_how_many_each_would_leave(history: dict[str, Job]) -> None:
    answer = ask(Asking(filters=Filters(kind="receiver")))
    assert answer.count == 3
    modes = next(facet for facet in answer.facets if facet.name == "mode")
    assert {option.value: option.count for option in modes.options} == {"dirty": 1, "leaky": 1}
    for option in modes.options:
        narrowed = ask(Asking(filters=Filters(kind="receiver", mode=option.value)))
        assert narrowed.count == option.count
    assert found(history, "", filters=Filters(stage="open")) == ["open"]
    assert found(history, "", filters=Filters(evidence=True)) == ["stamp"]
    assert found(history, "", filters=Filters(year="2025")) == []


def test_best_first_puts_the_job_that_says_it_more_above_a_newer_one(history: dict[str, Job]) -> None:
    loud = past_job(
        complaint="Hum, loud hum, hum in the left", findings=["Hum"], at=day(1), model=UnitModelFactory()
    )
    answer = ask(Asking(text="hum", order=BEST))
    assert [hit.job.pk for hit in answer.hits] == [loud.pk, history["caps"].pk]
    assert [hit.job.pk for hit in ask(Asking(text="hum")).hits] == [history["caps"].pk, loud.pk]


def test_pages_go_older_and_newer_by_key_without_loss_or_double() -> None:
    jobs = [past_job(complaint="Hum", at=day(1) + dt.timedelta(hours=7 * at)) for at in range(45)]
    first = ask(Asking(text="hum"))
    second = ask(Asking(text="hum", before=first.older))
    third = ask(Asking(text="hum", before=second.older))
    seen = [hit.job.pk for answer in (first, second, third) for hit in answer.hits]
    wanted = [row.job_id for row in SearchRow.objects.order_by("-pk")]
    assert seen == wanted
    assert len(set(seen)) == len(jobs)
    assert third.older is None
    back = ask(Asking(text="hum", after=third.newer))
    assert [hit.job.pk for hit in back.hits] == [hit.job.pk for hit in second.hits]
    ranked = ask(Asking(text="hum", order=BEST, page=3))
    assert len(ranked.hits) == 5
    assert ranked.older is None


def test_a_question_for_a_model_pages_through_its_own_jobs_and_those_that_speak_of_it() -> None:
    ours = UnitModelFactory(name="VX-318", maker=MakerFactory(name="Brackwater"))
    other = UnitModelFactory(name="KT-90", maker=MakerFactory(name="Fenwick"))
    wanted = []
    for number in range(60):
        about, told = [(ours, "Hum"), (other, "Hum as in the VX-318"), (other, "Hum"), (ours, "Hiss")][
            number % 4
        ]
        job = past_job(complaint=told, model=about, at=day(1) + dt.timedelta(hours=7 * number))
        if number % 4 < 2:
            wanted.insert(0, job.pk)
    first = ask(Asking(text="vx318 hum"))
    second = ask(Asking(text="vx318 hum", before=first.older))
    assert [hit.job.pk for hit in (*first.hits, *second.hits)] == wanted
    back = ask(Asking(text="vx318 hum", after=second.newer))
    assert [hit.job.pk for hit in back.hits] == [hit.job.pk for hit in first.hits]
    assert first.count == len(wanted)
    alone = ask(Asking(text="hum", filters=Filters(model=ours.pk)))
    assert alone.count == 15
    assert len(ask(Asking(text="vx318")).hits) == 20
    ranked = ask(Asking(text="vx318 hum", order=BEST))
    assert {hit.job.pk for hit in ranked.hits} <= set(wanted)


def test_no_phrase_reaches_from_the_complaint_into_the_findings() -> None:
    past_job(complaint="Came with the XK", findings=["4825 turns counted"])
    whole = past_job(complaint="Came with the XK 4825", findings=["Turns counted"])
    assert [hit.job.pk for hit in ask(Asking(text="XK-4825", exactly=True)).hits] == [whole.pk]


def test_the_shops_own_words_count_from_the_next_search_on(history: dict[str, Job]) -> None:
    assert not ask(Asking(text="wibbly", exactly=True)).hits
    Synonym.objects.create(words="wibbly, wavers")
    assert found(history, "wibbly") == ["belt"]


def test_a_search_row_holds_no_name(history: dict[str, Job]) -> None:
    for row in SearchWords.objects.all():
        assert "osei" not in row.words
        assert "marguerite" not in row.words


def test_a_job_number_leads_straight_to_its_job(history: dict[str, Job]) -> None:
    job = history["belt"]
    assert ask(Asking(text=job.number)).numbered == [job]
    assert job in ask(Asking(text=str(job.sequence))).numbered


def test_a_name_is_offered_as_a_customer(history: dict[str, Job]) -> None:
    assert [customer.name for customer in ask(Asking(text="marguerite")).customers] == ["Marguerite Osei"]


def test_best_first_fills_its_page_with_jobs_that_lack_one_word(
    history: dict[str, Job], client: Client
) -> None:
    answer = ask(Asking(text="hum channels", order=BEST))
    assert [hit.job for hit in answer.hits] == [history["caps"]]
    assert (history["relay"], ("hum",)) in [(hit.job, hit.lacks) for hit in answer.nearly]
    assert history["caps"] not in [hit.job for hit in answer.nearly]
    assert ask(Asking(text="hum channels")).nearly == []  # newest first shows what has every word
    client.force_login(StaffFactory())
    page = words_on(client.get(reverse("records:search"), {"q": "hum channels", "order": "best"}))
    assert "These lack some of the words" in page
    assert "Nothing about “hum”" in page


def test_words_inside_the_names_of_makers_and_models_are_found() -> None:
    reverb = past_job(
        complaint="Hum",
        model=UnitModelFactory(maker=MakerFactory(name="Fenwick & Olsen"), name="Twin Reverb"),
    )
    echo = past_job(complaint="Dead", model=UnitModelFactory(name="Space Echo"))
    for typed in ("reverb", "twin", "olsen", "reverb hum"):
        assert [hit.job for hit in ask(Asking(text=typed)).hits] == [reverb], typed
    assert [hit.job for hit in ask(Asking(text="echo")).hits] == [echo]


def test_a_capital_inside_a_name_begins_a_word_of_its_own() -> None:
    job = past_job(complaint="Dead", model=UnitModelFactory(name="EchoBox Deluxe"))
    for typed in ("box", "echobox", "deluxe", "echo"):
        assert [hit.job for hit in ask(Asking(text=typed)).hits] == [job], typed


def test_german_forms_and_the_trades_german_words_are_found() -> None:
    blinking = past_job(complaint="LEDs blinken rot")
    tweeter = past_job(complaint="Hochtöner ohne Ton")
    supply = past_job(complaint="Ausgangsübertrager wird heiß")
    for typed, wanted in (("Lampe blinkt rot", blinking), ("tweeter", tweeter), ("Übertrager", supply)):
        answer = ask(Asking(text=typed, order=BEST))
        assert [*answer.hits, *answer.nearly][0].job == wanted, typed


def test_words_of_the_book_and_of_the_shop_are_never_taken_for_others() -> None:
    """Nobody wrote them about a job yet: a maker's name, a row of the shop's own words, a German word like an English one."""
    past_job(complaint="The lever is bent, dunked in water, Hollow sound")
    MakerFactory(name="Quistgaard & Hollis")
    Synonym.objects.create(words="wonkle, wonky")
    past_job(complaint="A wonder")
    for typed in ("hollis", "leer", "dunkel", "wonkle"):
        answer = ask(Asking(text=typed))
        assert (answer.near_misses, answer.hits) == ((), []), typed
    assert [one.meant for one in ask(Asking(text="levre")).near_misses] == ["lever"]
    assert ask(Asking(text="levitation")).near_misses == ()


def test_of_a_phrase_that_no_job_has_whole_each_word_still_counts() -> None:
    wanted = past_job(complaint="Oxidized volume regulator")
    for number in range(4):
        past_job(complaint=f"Oxidized lid {number}", at=day(20 + number))
    answer = ask(Asking(text="oxidised volume control", order=BEST))
    assert answer.nearly[0].job == wanted


def test_a_german_compound_is_found_by_what_it_is_in_the_end_and_by_the_trades_other_word() -> None:
    trafo = past_job(complaint="Netztrafo brummt stark")
    joint = past_job(complaint="Kalte Lötstelle am Netzschalter")
    assert [hit.job for hit in ask(Asking(text="Trafo")).hits] == [trafo]
    assert [hit.job for hit in ask(Asking(text="Transformator")).hits] == [trafo]
    assert [hit.job for hit in ask(Asking(text="Schalter")).hits] == [joint]
    assert [hit.job for hit in ask(Asking(text="dry joint")).hits] == [joint]
    assert [hit.job for hit in ask(Asking(text="Loetstelle")).hits] == [joint]


def test_a_word_of_the_trade_is_never_taken_for_another_and_a_driver_is_no_speaker() -> None:
    past_job(complaint="The pitch control does nothing")
    past_job(complaint="Graphics driver missing")
    past_job(complaint="A crack in the lid")
    for typed in ("pinch", "crackly", "speaker"):
        answer = ask(Asking(text=typed))
        assert (answer.near_misses, answer.hits) == ((), []), typed


def test_what_has_the_most_of_a_question_comes_first_however_long_its_report_is() -> None:
    """Of six words one job has four, the others only the one that stands everywhere; and none has all."""
    for number in range(30):
        past_job(complaint=f"Radio {number}: no sound")
    wanted = past_job(
        complaint="Thermal compound under the heatsink dried out, radio stopped after minutes. "
        + "It was heard. " * 80
    )
    answer = ask(Asking(text="radio heatsink thermal minutes quits unsteadily", order=BEST))
    assert answer.hits == []
    assert answer.nearly[0].job == wanted
    assert answer.nearly[0].lacks == ("quits", "unsteadily")
    newest = ask(Asking(text="radio heatsink thermal minutes quits Unsteadily"))
    assert ([hit.job for hit in newest.hits], newest.left_out) == ([wanted], ("quits", "Unsteadily"))
