"""The sums of the bench: what a technician types into them, and what the handbook makes of it.

Where each number comes from is named in `tests/standards/`, and again here where one is expected.
"""

from __future__ import annotations

from urllib.parse import unquote

import pytest
from django.urls import reverse

from shop.bench import models
from shop.bench.sums import GROUPS, SUMS
from tests.factories.premises import StaffFactory
from tests.pages import words_on

LIVE = {"HX-Request": "true"}


def ask(client, slug: str, *, live: bool = True, **typed: str):
    return client.get(reverse("bench:sum", args=[slug]), typed, headers=LIVE if live else {})


# Ohm's law, P = V²/R, the definitions of the decibel forms, Ebers-Moll: circuit theory, worked in
# tests/standards/test_audio.py. Bands, lamps and windings: common practice. Fuses: a fuse maker's guide (looked up).
@pytest.mark.parametrize(
    "slug, typed, words",
    [
        ("offset", {"volt": "50 mV", "ohm": "8"}, ["acceptable", "6.25 mA and 0.313 mW into 8 Ω"]),
        ("offset", {"volt": "-120mV", "ohm": "8"}, ["fault", "15.0 mA"]),
        ("offset", {"volt": "50 mV", "ohm": "8", "maker": "40 mV"}, ["fault against the maker"]),
        ("idle-current", {"volt": "22 mV", "first": "0R22"}, ["100 mA"]),
        ("idle-current", {"volt": "15m", "first": "0R22", "second": "0,22"}, ["34.09 mA"]),
        (
            "idle-current",
            {"volt": "10mV", "first": "0R47", "wanted": "25 to 35 mA"},
            ["21.28 mA", "too low"],
        ),
        (
            "output-power",
            {"volt": "20", "ohm": "8"},
            ["50 W", "+16.99 dBW", "+26.02 dBV", "+28.24 dBu", "6.25 W"],
        ),
        ("output-power", {"volt": "8.005 V", "ohm": "8", "shape": "pp"}, ["1.001 W", "2.83 V"]),
        ("v-be", {"apart": "17,81 mV", "celsius": "25,0"}, ["2.00 to 1", "8.91 K"]),
        ("junction", {"volt": "0.612"}, ["silicon"]),
        ("junction", {"volt": "OL"}, ["open"]),
        ("series-lamp", {"set_kind": "receiver", "watt": "100 W"}, ["60 to 100 W", "833.3 mA", "144 Ω hot"]),
        ("series-lamp", {"set_kind": "receiver", "idle": "35 W", "rated": "220 W"}, ["35 to 110 W"]),
        ("line-voltage", {"line": "123 V", "marked": "117 V"}, ["+5.1 %"]),
        ("fuse", {"original": "T2A L 250V"}, ["time-lag (T)", "UL and IEC ratings differ", "2.7 A"]),
        ("fuse", {"original": "T2AL250V", "candidate": "T3.15AL250V"}, ["must stay 2 A, not 3.15 A"]),
        ("fuse", {"original": "T2AL250V", "candidate": "T2AH250V"}, ["Nothing in the markings"]),
        # 125 V breaks a line of 120 V and nothing above: common practice, no source
        ("fuse", {"original": "T2AL250V", "candidate": "T2AL125V"}, ["not where the set has more"]),
        (
            "discharge",
            {"volt": "60 V", "farad": "10 mF", "ohm": "100"},
            ["1.79 s", "18 J", "36 W", "360 Ω or more"],
        ),
        ("motor", {"ohm": "12 ohm", "volt": "12 V"}, ["usual", "1 A"]),
        ("motor", {"ohm": "OL"}, ["worn brushes or a broken winding"]),
        ("potentiometer", {"letter": "A"}, ["audio (logarithmic) or linear: measure"]),
        ("potentiometer", {"wiper": "7k5", "whole": "50k"}, ["15.0 %: audio"]),
        ("value", {"typed": "4k7"}, ["4.7 kΩ", "4K7", "in E3, E6, E12, E24 and E192"]),
        ("value", {"typed": "473M"}, ["473 MΩ", "47 nF", "±20 %"]),
        ("value", {"typed": "yellow violet red gold"}, ["4.7 kΩ ±5 %", "4.465 kΩ and 4.935 kΩ"]),
        # 1991, week 48 by ISO 8601; the prefix 2S is often left off (owiki.org, looked up)
        ("date", {"marking": "9148"}, ["1991, week 48"]),
        ("device", {"marking": "D965"}, ["2SD965", "BD965", "It does not tell", "ratings and pinout"]),
        ("value", {"typed": "brown black black brown brown red"}, ["1 kΩ", "50 ppm/K"]),
        ("date", {"marking": "1377832"}, ["1978, week 32", "Source 137", "CTS"]),
        ("value", {"typed": "2k6"}, ["Nearest of E24", "2.7 kΩ (+3.85 %)", "2.61 kΩ"]),
    ],
)
def test_a_sum_answers_while_it_is_typed_and_without_scripts(
    bench, slug, typed: dict[str, str], words
) -> None:
    live, whole = ask(bench, slug, **typed), ask(bench, slug, live=False, **typed)
    assert (live.status_code, whole.status_code) == (200, 200)
    for said in words:
        assert said in words_on(live)
        assert said in words_on(whole)
    assert "<html" not in live.content.decode()


@pytest.mark.parametrize(
    "slug, typed, sentence",
    [
        ("idle-current", {"volt": "lots", "first": "0R22"}, "can’t be read"),
        ("idle-current", {"volt": "22 mV", "first": "0"}, "must be a positive number"),
        ("idle-current", {"volt": "22 mV", "first": "0R22", "wanted": "a bit"}, "can’t be read"),
        ("fuse", {"original": "banana"}, "doesn&#x27;t read as a fuse"),
        ("potentiometer", {"origin": ""}, "Type the letter, or both resistances"),
        ("potentiometer", {"wiper": "60k", "whole": "50k"}, "above the whole track"),
        ("value", {"typed": "4k7x"}, "4k7x"),
        ("v-be", {"apart": "5 mV", "celsius": "900"}, "between -50 and 200"),
        ("date", {"marking": "banana"}, "banana"),
        ("device", {"marking": "---"}, "read"),
    ],
)
def test_what_no_sum_can_be_made_of_is_said_at_its_field(
    bench, slug, typed: dict[str, str], sentence: str
) -> None:
    answer = ask(bench, slug, live=False, **typed)
    assert answer.status_code == 422
    assert sentence in words_on(answer).replace("can&#x27;t", "can’t")


def test_a_field_that_is_still_empty_is_no_mistake_while_one_types(bench) -> None:
    answer = ask(bench, "idle-current", volt="22 mV", first="")
    assert answer.status_code == 200
    assert words_on(answer) == ""
    assert "is in W, but" in words_on(ask(bench, "idle-current", volt="22 mW", first="0R22"))


def test_an_answer_is_noted_on_the_job_it_was_worked_out_for(bench, job) -> None:
    answer = ask(bench, "idle-current", volt="22 mV", first="0R22", job=job.number)
    note = answer.context["note"]
    bench.post(
        reverse("bench:finding", args=[job.number]),
        {"once": note["once"].value(), "text": note["text"].value()},
    )
    text = models.Finding.objects.get(job=job).text
    assert (
        text
        == "Idle current. Voltage across the resistors 22 mV, Emitter resistor 0R22. Idle current: 100 mA."
    )


@pytest.mark.parametrize(
    "asked, slugs",
    [
        ("esr", {"esr"}),
        ("ripple", {"ripple"}),
        ("RIAA", {"equalization"}),
        ("tone arm", {"arm-and-stylus"}),
        ("s/n", {"signal-to-noise"}),
        ("recap", {"capacitor-for-capacitor"}),
        ("valve bias", {"tube-bias"}),
    ],
)
def test_a_sum_is_found_by_any_word_for_it(bench, asked, slugs) -> None:
    for headers in (LIVE, {}):
        page = bench.get(reverse("bench:sums"), {"q": asked}, headers=headers)
        found = {one.slug for _, sums in page.context["groups"] for one in sums}
        assert slugs <= found
        assert len(found) <= 4, found


def test_what_no_sum_goes_by_is_said(bench) -> None:
    assert "No calculator matches “perpetuum”" in words_on(
        bench.get(reverse("bench:sums"), {"q": "perpetuum"})
    )


def test_four_taps_lead_from_a_job_to_a_note_with_the_result(bench, job) -> None:
    """The sums, the sum, a choice or a field at most, and the note; each is a link or a button on the page before."""
    on_job = bench.get(reverse("bench:job", args=[job.number])).content.decode()
    to_sums = f"{reverse('bench:sums')}?job={job.number}"
    assert f'href="{to_sums}"' in on_job
    to_sum = f"{reverse('bench:sum', args=['esr'])}?job={job.number}"
    assert f'href="{to_sum}"' in bench.get(to_sums).content.decode()
    answer = ask(bench, "esr", old="470 µF 25 V", series="general purpose", reading="2.1", job=job.number)
    before_details = answer.content.decode().split("<details")[0]
    assert f"Note it on {job.number}</button>" in before_details
    note = answer.context["note"]
    bench.post(
        reverse("bench:finding", args=[job.number]),
        {"once": note["once"].value(), "text": note["text"].value()},
    )
    assert "451.5 mΩ" in models.Finding.objects.get(job=job).text


def test_a_sum_that_was_typed_without_network_is_worked_out_and_noted_once(bench, job) -> None:
    door = reverse("bench:note_sum", args=[job.number, "idle-current"])
    entry = "3f1e9a52-54f1-4a40-9d0a-3a6f5f3b7d10"
    sent = {"once": entry, "volt": "22 mV", "first": "0R22"}
    for _ in range(2):
        answer = bench.post(door, sent, headers={"X-Bench-Entry": entry})
        assert (answer.status_code, answer["X-Bench-Entry"]) == (200, entry)
    text = models.Finding.objects.get(job=job).text
    assert (
        text
        == "Idle current. Voltage across the resistors 22 mV, Emitter resistor 0R22. Idle current: 100 mA."
    )


def test_a_sum_that_cannot_be_worked_out_is_refused_with_its_reason_and_kept_on_the_tablet(
    bench, job
) -> None:
    door = reverse("bench:note_sum", args=[job.number, "idle-current"])
    answer = bench.post(door, {"volt": "lots", "first": "0R22"}, headers={"X-Bench-Entry": "e"})
    assert answer.status_code == 422
    assert "lots" in unquote(answer["X-Bench-Reason"])
    assert bench.post(door, {"volt": "", "first": ""}).status_code == 422
    assert not models.Finding.objects.exists()
    assert bench.post(reverse("bench:note_sum", args=[job.number, "none-such"])).status_code == 404


def test_no_job_is_offered_that_has_gone_home_or_never_was(bench, job) -> None:
    for number in ("26-9999-X", "", "'; --"):
        assert ask(bench, "idle-current", volt="22 mV", first="0R22", job=number).context["note"] is None


def test_every_sum_stands_in_the_list_and_opens(bench) -> None:
    page = words_on(bench.get(reverse("bench:sums")))
    for _, sums in GROUPS:
        for one in sums:
            assert one.about in page
            assert ask(bench, one.slug, live=False).status_code == 200
    assert len(SUMS) == sum(len(sums) for _, sums in GROUPS)
    assert ask(bench, "perpetual-motion").status_code == 404


def test_the_sums_are_the_benchs_own(client, db) -> None:
    client.force_login(StaffFactory(roles=["counter"]))
    assert client.get(reverse("bench:sums")).status_code == 403
    assert ask(client, "fuse").status_code == 403
