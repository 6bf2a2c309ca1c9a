"""Timed texts against the examples of the W3C's WebVTT and against webvtt-py and pysubs2."""

from __future__ import annotations

from decimal import Decimal
from io import StringIO

import pysubs2
import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.spoken import NoTimedText, read_plain, read_subrip, read_talk, read_timed, read_webvtt

# WebVTT (W3C), section 1: the introductory example with a voice span, and the one with a comment and identifiers.
W3C_VOICES = """WEBVTT

00:11.000 --> 00:13.000
<v Roger Bingham>We are in New York City

00:13.000 --> 00:16.000
<v Roger Bingham>We're actually at the Lucern Hotel, just down the street

NOTE a comment
over two lines

1 - of these
00:16.000 --> 00:18.000 align:start position:10%
from the American Museum of Natural History
"""
SUBRIP = """1
00:00:01,000 --> 00:00:02,500
left offset twelve millivolts

2
00:01:02,250 --> 00:01:04,000
<i>relay coil</i> reads open
should be about 650 ohms
"""


def seconds_of(time: str) -> Decimal:
    hours, minutes, seconds = time.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + Decimal(seconds)


def test_the_examples_of_the_standard_are_read_as_the_library_reads_them():
    ours = read_timed(W3C_VOICES)
    theirs = webvtt.from_buffer(StringIO(W3C_VOICES)).captions
    assert ours.skipped == ()
    assert [(one.start, one.end, one.text) for one in ours.cues] == [
        (seconds_of(one.start), seconds_of(one.end), one.text.replace("\n", " ")) for one in theirs
    ]


def test_subrip_is_read_as_the_library_reads_it():
    theirs = pysubs2.SSAFile.from_string(SUBRIP, format_="srt")
    assert [(one.start * 1000, one.end and one.end * 1000, one.text) for one in read_timed(SUBRIP).cues] == [
        (one.start, one.end, one.plaintext.replace("\n", " ")) for one in theirs
    ]


@given(st.lists(st.tuples(st.integers(0, 10_000_000), st.integers(1, 9_000)), min_size=1, max_size=12))
def test_what_the_library_writes_comes_back(times):
    written = pysubs2.SSAFile()
    written.events = [pysubs2.SSAEvent(start=at, end=at + long, text=f"line {at}") for at, long in times]
    for form in ("srt", "vtt"):
        cues = read_timed(written.to_string(form)).cues
        assert sorted((int(one.start * 1000), one.text) for one in cues) == sorted(
            (at, f"line {at}") for at, _ in times
        )


@pytest.mark.parametrize(
    "bad", ["00:16.000 --> 00:12.000", "00:1x.000 --> 00:12.000", "--> 00:12.000", "16 --> 18"]
)
def test_a_bad_cue_is_skipped_and_named_by_its_line(bad):
    got = read_webvtt(
        f"WEBVTT\n\n00:01.000 --> 00:02.000\ngood\n\n{bad}\nlost\n\n00:20.000 --> 00:21.000\ngood too\n"
    )
    assert [one.text for one in got.cues] == ["good", "good too"]
    assert got.skipped == (6,)


def test_only_a_missing_signature_refuses():
    with pytest.raises(NoTimedText, match="begins with the line WEBVTT"):
        read_webvtt("00:01.000 --> 00:02.000\nhello\n")
    assert read_webvtt("WEBVTT").cues == ()


def test_a_text_without_any_time_and_one_too_long_get_one_sentence():
    with pytest.raises(NoTimedText, match="No line begins with a time"):
        read_timed("hello")
    with pytest.raises(NoTimedText, match="longer than"):
        read_timed("x" * 10_000_001)


def test_a_script_in_a_cue_and_a_nul_are_text_and_nothing_else():
    (one,) = read_webvtt(
        "\ufeffWEBVTT\r\n\r\n00:01.000 --> 00:02.000\r\n<script>alert(1)</script> five\0 volts\r\n"
    ).cues
    assert one.text == "alert(1) five\ufffd volts"


@pytest.mark.parametrize(
    "line,start",
    [("[1:05] hello", 65), ("00:01:05 hello", 65), ("1:05 hello", 65), ("[1:01:05] hello", 3665)],
)
def test_plain_lines_begin_with_their_time(line, start):
    (one,) = read_plain(f"{line}\nand more").cues
    assert (one.start, one.end, one.text) == (start, None, "hello and more")


def test_a_talk_keeps_the_moment_of_each_proposal_and_a_later_line_corrects_it():
    (one,) = read_talk(
        read_subrip(
            SUBRIP.replace("<i>relay coil</i> reads open\nshould be about 650 ohms", "no make that 13")
        ).cues
    )
    assert one.at == 1
    assert one.proposal.value
    assert one.proposal.value.number == Decimal("0.013")
