"""The house's manners: formatted and checked code, migrations that fit the models, and no outside address."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command

HOME: Path = settings.BASE_DIR

# Reserved for examples and documentation (RFC 2606, 3849, 5737, 6761) or for local networks (RFC 1918, 6762), this machine,
# what is no name at all, names of XML vocabularies, and places filled in later.
ALLOWED = re.compile(
    r"(localhost|127\.0\.0\.1|\[::1\]|([\w-]+\.)*(example|test|invalid)|([\w-]+\.)?example\.(com|net|org)"
    r"|192\.0\.2\.\d+|198\.51\.100\.\d+|203\.0\.113\.\d+|[\w-]+\.local|[\w-]*|-.*"
    r"|192\.168\.\d+\.\d+|10\.\d+\.\d+\.\d+|\[2001:db8:[\da-f:]*\]"
    r"|www\.w3\.org|purl\.oclc\.org|json-schema\.org|\{.*\}?|%.*)\.*(:.*)?"
)
# A licence is quoted whole.
LICENCES = {"OFL.txt", "LICENSE.txt", "LICENSE"}
ADDRESS = re.compile(r"https?://([^/\s@]*@)?(?P<host>[^/\s\"'<>)\\`,;#?]*)", re.IGNORECASE)


def tracked_texts() -> list[Path]:
    """Every file that git keeps, or would keep, as far as it is text."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=HOME,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode != 0:
        pytest.skip("this copy of the project is not kept by git")
    paths = [HOME / name for name in listed.stdout.split("\0") if name]
    return [path for path in paths if path.is_file() and b"\0" not in path.read_bytes()[:4096]]


def foreign_addresses(text: str) -> list[str]:
    """The hosts that a text names and that are neither examples nor this machine."""
    return [match["host"] for match in ADDRESS.finditer(text) if not ALLOWED.fullmatch(match["host"])]


def test_no_file_names_a_host_on_the_network() -> None:
    named = {
        str(path.relative_to(HOME)): hosts
        for path in tracked_texts()
        if path.name not in LICENCES
        and (hosts := foreign_addresses(path.read_text(encoding="utf-8", errors="replace")))
    }
    assert named == {}


def test_an_outside_host_is_noticed_and_an_example_is_not() -> None:
    outside = "https:" + "//downloads.somewhere.org/simple"
    assert foreign_addresses(outside) == ["downloads.somewhere.org"]
    assert foreign_addresses("https://bench.example/x http://127.0.0.1:8000/ http://{address}:{port}/") == []


def ruff(*arguments: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "ruff", *arguments]
    return subprocess.run(command, cwd=HOME, capture_output=True, text=True, input=text, check=False)


def test_the_code_passes_the_checks_of_the_house() -> None:
    checked = ruff("check", "--output-format", "concise")
    assert checked.returncode == 0, checked.stdout


def test_the_code_is_laid_out_by_the_formatter() -> None:
    formatted = ruff("format", "--check")
    assert formatted.returncode == 0, formatted.stdout


def test_careless_code_is_noticed() -> None:
    assert ruff("check", "--stdin-filename", "shop/x.py", "-", text="import os\nprint('x')\n").returncode == 1


@pytest.mark.django_db
def test_every_change_of_a_model_has_its_migration() -> None:
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)


def test_the_front_door_passes_djangos_own_checks() -> None:
    call_command("check", fail_level="WARNING")


def test_every_text_field_of_a_form_says_how_much_it_takes() -> None:
    """Otherwise ten megabytes pasted by mistake would be saved; with a limit the field refuses them and keeps them."""
    from django import forms  # noqa: PLC0415

    unlimited = [
        f"{form.__module__}.{form.__qualname__}.{name}"
        for form in _forms(forms.BaseForm)
        for name, field in form.base_fields.items()
        if type(field) is forms.CharField and field.max_length is None
    ]
    assert unlimited == []


def _forms(parent: Any) -> list[Any]:
    """Every form class of the rooms that the doors lead to."""
    from django.urls import get_resolver  # noqa: PLC0415

    assert get_resolver().url_patterns
    assert apps.ready
    found: list[Any] = []
    for child in parent.__subclasses__():
        if child.__module__.startswith("shop.") and hasattr(child, "base_fields"):
            found.append(child)
        found += _forms(child)
    return found
