"""What README and DEVELOPERS name is there: files, commands, pictures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import get_commands

HOME = Path(settings.BASE_DIR)
DOCUMENTS = ["README.md", "DEVELOPERS.md"]
BOOTSTRAPS = {"check_house", "draw_floors", "test", "lock", "version"}  # done before Django is there
MADE_LATER = {".venv/", ".demo/", ".shop/"}
FOLDERS = "shop|templates|static|fixtures|tests|premises|papers|parts|press"
ROOMS = ("bench", "premises")  # whose own sections name files from where they stand


def text_of(document: str) -> str:
    return (HOME / document).read_text(encoding="utf-8")


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_command_that_is_named_exists(document: str) -> None:
    named = set(re.findall(r"manage\.py ([a-z_]+)", text_of(document)))
    assert named
    assert named - set(get_commands()) - BOOTSTRAPS == set()


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_file_that_is_named_exists(document: str) -> None:
    quoted = re.findall(rf"`((?:{FOLDERS})/[A-Za-z0-9_./-]+|\.[a-z]+/[a-z]*)`", text_of(document))
    linked = re.findall(r"\]\(([^)#]+)\)", text_of(document))
    inside = (HOME / folder / room for folder in ("shop", "templates") for room in ROOMS)
    starts = (HOME, HOME / "shop", HOME / "templates", *inside)
    named = {*quoted, *linked} - MADE_LATER
    assert [name for name in sorted(named) if not any((start / name).exists() for start in starts)] == []
    assert len(named) > 3


def test_the_pictures_of_the_readme_are_small() -> None:
    pictures = re.findall(r"\]\((static/pictures/[^)]+)\)", text_of("README.md"))
    assert len(pictures) == 4
    assert all((HOME / picture).stat().st_size < 150_000 for picture in pictures)
