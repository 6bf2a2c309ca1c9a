"""`manage.py walkthrough`: one whole job, its five papers and its record; a refusal ends it with its sentence."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.conf import settings
from stdnum.iso7064 import mod_37_36

PAPERS = {"claim-check", "tag", "estimate", "invoice", "return-slip"}

# The unit is never repaired nor checked, and the scene goes on as if it were.
UNREPAIRED = """
import sys
import django
django.setup()
from django.core.management import execute_from_command_line
from shop.scenes import walkthrough
walkthrough._repair = walkthrough._prove = lambda walk: None
execute_from_command_line(["manage.py", "walkthrough", "--into", sys.argv[1]])
"""


def play(*words: str, data: Path) -> subprocess.CompletedProcess[str]:
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("SHOP_", "DATABASE_", "PYTEST"))
    }
    environ = {**kept, "SHOP_DATA": str(data), "DJANGO_SETTINGS_MODULE": "shop.settings"}
    return subprocess.run(
        [sys.executable, *words],
        cwd=settings.BASE_DIR,
        env=environ,
        capture_output=True,
        text=True,
        timeout=400,
        check=False,
    )


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder in which the command left its papers."""
    folder = tmp_path_factory.mktemp("walk")
    ended = play("manage.py", "walkthrough", "--into", str(folder / "papers"), data=folder / "unused")
    assert ended.returncode == 0, ended.stderr
    return folder / "papers"


@pytest.mark.xdist_group("walkthrough")
def test_it_leaves_the_five_papers_and_the_record(left: Path) -> None:
    assert {path.name for path in left.iterdir()} == {*(f"{name}.pdf" for name in PAPERS), "job.json"}
    number = json.loads((left / "job.json").read_text())["number"]
    for name in PAPERS:
        text = " ".join(page.extract_text() for page in pypdf.PdfReader(left / f"{name}.pdf").pages)
        assert number in text, name


@pytest.mark.xdist_group("walkthrough")
def test_the_record_holds_the_whole_job_and_its_sums_are_those_on_paper(left: Path) -> None:
    record = json.loads((left / "job.json").read_text())
    assert (record["stage"], record["outcome"]) == ("gone_home", "repaired")
    # the check character over the digits alone, by python-stdnum
    year, sequence, check = record["number"].split("-")
    assert mod_37_36.is_valid(year + sequence + check)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(left / "invoice.pdf").pages)
    (invoice,) = record["book"]["office"]["invoice"]
    for minor in (invoice["net_minor"], invoice["tax_minor"], invoice["total_minor"]):
        assert f"{minor / 100:,.2f}" in text
    assert invoice["total_minor"] == invoice["net_minor"] + invoice["tax_minor"]


@pytest.mark.xdist_group("walkthrough")
def test_the_tags_codes_are_read_by_another_librarys_reader(left: Path) -> None:
    number = json.loads((left / "job.json").read_text())["number"]
    document = pypdfium2.PdfDocument(io.BytesIO((left / "tag.pdf").read_bytes()))
    codes = zxingcpp.read_barcodes(document[0].render(scale=300 / 72).to_pil())
    read = {code.format.name: code.text for code in codes}
    assert read["Code128"] == number.replace("-", "")
    assert read["QRCode"] == f"https://halftone.example/t/{number}"


def test_a_refusal_ends_it_with_one_and_the_sentence(tmp_path: Path) -> None:
    ended = play("-c", UNREPAIRED, str(tmp_path / "papers"), data=tmp_path / "data")
    assert ended.returncode == 1
    assert len(ended.stderr.strip().splitlines()) == 1
    assert "Traceback" not in ended.stderr
    assert not (tmp_path / "papers").exists()
