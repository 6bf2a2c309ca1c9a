"""The house speaks plain American English: the words of `words_not_said` come back nowhere that a person reads.

Spelling: Merriam-Webster's first forms (from memory). The list of stumbled-over words is the shop's own; see WORDS.md.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings

from tests.house.words_not_said import not_said, said_in, shown_by_module, shown_by_template


def test_no_label_button_sentence_or_paper_says_a_word_that_was_given_up() -> None:
    found = [
        f"{name}:{at}: {', '.join(words)} in “{text.strip()[:90]}”"
        for name, at, text in said_in(settings.BASE_DIR)
        if (words := not_said(text))
    ]
    assert found == []


@pytest.mark.parametrize(
    "text, words",
    [
        ("Labour, 2 h", ["labour"]),
        ("Labor, colors and a gray license in meters: checked off", []),
        ("Its colour is grey", ["colour", "grey"]),
        ("The way home, as likely as not", ["way home", "as likely as not"]),
        ("Hold from", ["hold from"]),
        ("They hold it, from then on", []),
        ("Throw the draft away", ["throw the draft away"]),
        ("A stricken ticket", []),
    ],
)
def test_the_list_finds_what_it_is_for_and_nothing_else(text: str, words: list[str]) -> None:
    assert not_said(text) == words


def test_what_a_template_and_a_module_show_is_read_from_them() -> None:
    template = '{% comment %}earth{% endcomment %}<a class="grey" aria-label="Labour of {{ a.labour }}">The <b>tyre</b></a>'
    assert not_said(" ".join(text for _at, text in shown_by_template(template))) == ["tyre", "labour"]
    module = '"""Labour."""\nLABOUR = "labour"\nSAID = f"Labour of {labour}"\n'
    assert not_said(" ".join(text for _at, text in shown_by_module(module))) == ["labour"]


def test_the_share_that_was_read_rightly_is_counted_from_the_lines() -> None:
    """The figures at the head of WORDS_READ.md, and those that WORDS.md takes from there, agree with its lines."""
    here = Path(__file__).parent
    told = (here / "WORDS_READ.md").read_text(encoding="utf-8")
    lines = [line for line in told.splitlines() if line.startswith("- ")]
    right = sum("**No:**" not in line for line in lines)
    share = f"{100 * right / len(lines):.1f} %"
    assert f"**{len(lines)} read, {right} right: {share}.**" in told
    assert f"{right} of {len(lines)} were right,\n{share}" in (here / "WORDS.md").read_text(encoding="utf-8")
    assert right >= 0.95 * len(lines)
