"""One box over the whole history: what is typed finds what was written, on SQLite and on PostgreSQL alike.

The corpus below is small enough to be read; what must be found stands beside each question.
"""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.bench.actions import strike
from shop.bench.models import Finding
from shop.counter.actions import change_unit
from shop.counter.models import Job, Kind
from shop.handbook.words import asked_form, matches
from shop.records.models import SavedSearch, SearchRow, SearchState, SearchWords, Synonym, Term
from shop.records.searching import upkeep
from shop.records.searching.answering import BEST, NEWEST, Asking, ask
from shop.records.searching.engine import engine
from shop.records.searching.question import Filters
from shop.records.searching.rows import day_of, id_on
from tests.factories.counter import CustomerFactory, MakerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def day(number: int) -> dt.datetime:
    return dt.datetime(2026, 1, number, 10, tzinfo=dt.UTC)


@pytest.fixture
def history() -> dict[str, Job]:
    """Seven jobs; their names say what is remarkable about each."""
    receiver = UnitModelFactory(name="VX-318", maker=MakerFactory(name="Brackwater"), kind=Kind.RECEIVER)
    deck = UnitModelFactory(name="TT-9", maker=MakerFactory(name="Kestrel & Vane"), kind=Kind.TURNTABLE)
    synth = UnitModelFactory(name="Nightjar 4", maker=MakerFactory(name="Ostrander"), kind=Kind.SYNTHESIZER)
    osei = CustomerFactory(regular=True)
    return {
        "relay": past_job(
            complaint="No sound from the left channel",
            findings=["RY701 contacts black"],
            failed="Speaker relay",
            mode="dirty",
            at=day(2),
            model=receiver,
            serial="A0482137",
            owner=osei,
        ),
        "caps": past_job(
            complaint="Hum in both channels",
            failed="Filter capacitors",
            mode="leaky",
            parts=["Capacitor 4.7µF 63V"],
            at=day(3),
            model=receiver,
        ),
        "stamp": past_job(
            complaint="Distorted when hot", marking="2SC1815-GR 8-14-79", at=day(4), model=receiver
        ),
        "belt": past_job(
            complaint="Speed wavers", failed="Drive belt", mode="hardened", at=day(5), model=deck
        ),
        "pot": past_job(complaint="Crackles when the volume is turned", at=day(6), model=deck),
        "keys": past_job(complaint="Two keys dead, drifts", at=day(7), model=synth),
        "open": past_job(complaint="Blows fuses at C-101", at=day(8), model=synth, home=False),
    }


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
            *(text.split() for text in (row.complaint, row.findings, row.conclusion, row.parts, row.marks)),
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


def test_each_hit_shows_the_words_that_matched(history: dict[str, Job]) -> None:
    (hit,) = ask(Asking(text="black")).hits
    assert [(reason.where, str(reason.text)) for reason in hit.texts.reasons] == [
        ("Finding", "RY701 contacts <mark>black</mark>")
    ]


def test_a_book_whose_rows_are_of_an_older_program_finds_its_jobs_without_filters(
    history: dict[str, Job],
) -> None:
    SearchRow.objects.update(facets="")
    SearchWords.objects.update(tokens="")
    for order in (NEWEST, BEST):
        answer = ask(Asking(text="black", order=order))
        assert [hit.job for hit in answer.hits] == [history["relay"]]
        assert answer.facets == []


def test_parts_are_looked_through_only_for_words_that_the_findings_do_not_say() -> None:
    past_job(complaint="Dead", findings=["Relay welded"], parts=["Relay bracket"], failed="Coil")
    (relay,) = ask(Asking(text="relay")).hits
    assert [reason.where for reason in relay.texts.reasons] == ["Finding"]
    (both,) = ask(Asking(text="relay bracket")).hits
    assert [reason.where for reason in both.texts.reasons] == ["Finding", "Part"]


def test_what_a_customer_wrote_is_never_taken_for_html() -> None:
    past_job(complaint="<script>alert(1)</script> hum & <b>buzz</b>")
    (hit,) = ask(Asking(text="hum")).hits
    assert "<script>" not in hit.texts.complaint
    assert "&lt;script&gt;" in hit.texts.complaint
    assert "<mark>hum</mark>" in hit.texts.complaint


def test_a_row_follows_every_act_in_its_own_transaction() -> None:
    job = booked_in(complaint="Buzzes at the zyxwvut")
    row = SearchRow.objects.get(job=job)
    assert Term.objects.get(word="zyxwvut").documents == 1
    finding = Finding.objects.create(job=job, text="Qwghlm leaks", by=job.accepted_by)
    upkeep.refresh([job.pk])
    assert [hit.job.pk for hit in ask(Asking(text="qwghlm")).hits] == [job.pk]
    strike(line=finding, reason="wrong unit", by=job.accepted_by)
    assert not ask(Asking(text="qwghlm", exactly=True)).hits
    assert Term.objects.get(word="qwghlm").documents == 0
    change_unit(unit=job.unit, serial="77-NEW", by=job.accepted_by)
    assert [hit.row for hit in ask(Asking(text="77new")).hits] == [row.pk]
    state = SearchState.objects.get()
    assert state.documents == SearchRow.objects.count() == 1


def test_old_jobs_brought_in_later_stand_where_their_day_puts_them() -> None:
    new = past_job(complaint="Hum", at=dt.datetime(2026, 5, 1, 9, tzinfo=dt.UTC))
    old = past_job(complaint="Hum", at=dt.datetime(2011, 5, 1, 9, tzinfo=dt.UTC))
    assert [hit.job.pk for hit in ask(Asking(text="hum")).hits] == [new.pk, old.pk]
    assert day_of(SearchRow.objects.get(job=old).pk) == dt.date(2011, 5, 1)
    assert id_on(dt.date(2011, 5, 1), 16_777_215) < id_on(dt.date(2011, 5, 2), 1)


def test_building_anew_gives_the_same_rows_and_goes_on_where_it_stopped(history: dict[str, Job]) -> None:
    def kept() -> tuple[list[object], ...]:
        words = ("pk", "tokens", "complaint", "findings", "conclusion", "parts", "marks")
        return (
            list(SearchRow.objects.order_by("pk").values_list("pk", "job_id", "model_id", "facets")),
            list(SearchWords.objects.order_by("pk").values_list(*words)),
            list(Term.objects.filter(documents__gt=0).order_by("word").values_list("word", "documents")),
            list(SearchState.objects.values_list("documents", "words")),
        )

    before = kept()
    upkeep.begin_building()
    steps = upkeep.build_on(at_once=3)
    assert next(steps) == 3
    assert upkeep.is_stale()
    booked_in(complaint="came while it was being built")
    assert sum(upkeep.build_on(at_once=3)) == 5
    assert not upkeep.is_stale()
    Job.objects.filter(complaint__startswith="came while").update(complaint="")
    late = Job.objects.get(complaint="")
    upkeep.refresh([late.pk])
    assert found(history, "relay") == ["relay"]
    row = SearchRow.objects.get(job=late)
    assert [one for one in kept()[0] if one[0] != row.pk] == before[0]  # type: ignore[index]
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("INSERT INTO records_fts(records_fts, rank) VALUES ('integrity-check', 1)")


def test_the_shops_own_words_count_from_the_next_search_on(history: dict[str, Job]) -> None:
    assert not ask(Asking(text="wibbly", exactly=True)).hits
    Synonym.objects.create(words="wibbly, wavers")
    assert found(history, "wibbly") == ["belt"]


def test_a_search_row_holds_no_name(history: dict[str, Job]) -> None:
    for row in SearchWords.objects.all():
        kept = " ".join((row.tokens, row.complaint, row.findings, row.conclusion, row.parts, row.marks))
        assert "osei" not in kept
        assert "marguerite" not in kept


def test_a_job_number_leads_straight_to_its_job(history: dict[str, Job]) -> None:
    job = history["belt"]
    assert ask(Asking(text=job.number)).numbered == [job]
    assert job in ask(Asking(text=str(job.sequence))).numbered


def test_a_name_is_offered_as_a_customer(history: dict[str, Job]) -> None:
    assert [customer.name for customer in ask(Asking(text="marguerite")).customers] == ["Marguerite Osei"]


# --- the page ----------------------------------------------------------------------------------------------------


def test_the_page_asks_the_same_number_of_queries_for_one_hit_and_for_a_full_page(
    client: Client,
) -> None:
    client.force_login(StaffFactory())
    past_job(complaint="Hum one", findings=["Hum"], parts=["Hum"], marking="hum", failed="Hum")
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as one:
            page = client.get(reverse("records:search"), {"q": "hum"})
        assert page.status_code == 200
        counts.append(len(one))
        for at in range(24):
            past_job(
                complaint="Hum many", findings=["Hum"], at=day(1 + at), marking="hum", unit=UnitFactory()
            )
    assert counts[0] == counts[1] < 25


def test_while_typing_only_the_results_are_sent(client: Client, history: dict[str, Job]) -> None:
    client.force_login(StaffFactory())
    page = client.get(
        reverse("records:search"), {"q": "rel"}, headers={"HX-Request": "true", "HX-Target": "search-results"}
    )
    assert page.content.lstrip().startswith(b'<div class="stack" id="search-results">')
    assert history["relay"].number.encode() in page.content


def test_a_search_is_kept_under_a_name_and_let_go_again(client: Client, history: dict[str, Job]) -> None:
    staff = StaffFactory()
    client.force_login(staff)
    kept = client.post(reverse("records:save_search"), {"name": "Relays", "query": "q=relay&kind=receiver"})
    assert kept.status_code == 302
    assert kept["Location"].endswith("?q=relay&kind=receiver")
    assert b"Relays" in client.get(reverse("records:search")).content
    nameless = client.post(reverse("records:save_search"), {"name": "", "query": "q=relay"})
    assert nameless.status_code == 422
    other = Client()
    other.force_login(StaffFactory())
    assert other.post(reverse("records:forget_search", args=[staff_search(staff)])).status_code == 404
    assert client.post(reverse("records:forget_search", args=[staff_search(staff)])).status_code == 302


def staff_search(staff: object) -> int:
    return SavedSearch.objects.get(staff=staff).pk


def test_a_row_of_words_needs_two_that_differ(client: Client) -> None:
    client.force_login(StaffFactory())
    bad = client.post(reverse("records:synonyms"), {"words": "buzz, Buzz"})
    assert bad.status_code == 422
    assert "Type two words or more that differ" in bad.content.decode()
    assert not Synonym.objects.exists()
    assert client.post(reverse("records:synonyms"), {"words": "wibbly, wavers"}).status_code == 302
    row = Synonym.objects.get()
    assert client.post(reverse("records:change_synonym", args=[row.pk]), {"words": ""}).status_code == 422
    client.post(reverse("records:change_synonym", args=[row.pk]), {"words": "wibbly, wobbly"})
    row.refresh_from_db()
    assert row.words == "wibbly, wobbly"
    client.post(reverse("records:change_synonym", args=[row.pk]), {"drop": "1"})
    assert not Synonym.objects.exists()


def test_best_first_fills_its_page_with_jobs_that_lack_one_word(
    history: dict[str, Job], client: Client
) -> None:
    answer = ask(Asking(text="hum channels", order=BEST))
    assert [hit.job for hit in answer.hits] == [history["caps"]]
    assert history["relay"] in [hit.job for hit in answer.nearly]
    assert history["caps"] not in [hit.job for hit in answer.nearly]
    assert ask(Asking(text="hum channels")).nearly == []  # newest first shows what has every word
    client.force_login(StaffFactory())
    page = words_on(client.get(reverse("records:search"), {"q": "hum channels", "order": "best"}))
    assert "These lack one of the words" in page
