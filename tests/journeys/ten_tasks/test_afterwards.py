"""Tasks 9 and 10: found again two years later, and a day's work copied, restored and opened."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command

from shop.frame import clock
from tests.factories.counter import UnitFactory, UnitModelFactory
from tests.factories.records import day, past_job

pytestmark = [pytest.mark.browser, pytest.mark.soak, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("task_named", ["9 history"])
def test_what_fixed_it_is_found_two_years_later(at_desk, set_up, task, task_named: str) -> None:
    job = past_job(
        complaint="Goes sharp while it warms up, then voice four drops out.",
        findings=["Regulator of the negative rail drifts with heat."],
        failed="−15 V regulator",
        remedy="New regulator, tuned warm.",
        at=day(3),
        unit=UnitFactory(model=UnitModelFactory(name="Halo 3", kind="synthesizer"), serial="3107"),
    )
    desk = at_desk(set_up, task)
    asked = {
        "by model": "halo 3",
        "by fault words": "regulator drifts",
        "by a misspelt word": "reglator",
        "by the number without its check letter": job.number.rpartition("-")[0],
    }
    for how, words in asked.items():
        desk.page.locator("#find").fill(words)
        task.fields += 1
        desk.click(".drawer-search button")
        task.known[how] = bool(desk.page.locator("main").get_by_role("link", name=job.number).count()) or (
            job.number in desk.page.url
        )
    desk.page.locator("#find").fill("halo 3")
    task.fields += 1
    desk.click(".drawer-search button")
    desk.click(desk.page.locator("main").get_by_role("link", name=job.number))
    assert desk.reads("New regulator, tuned warm.")
    assert all(yes for how, yes in task.known.items() if "check letter" not in how)


@pytest.mark.skipif("sqlite" not in settings.DATABASES["default"]["ENGINE"], reason="restored into SQLite")
@pytest.mark.parametrize("task_named", ["10 backup"])
def test_a_days_work_is_copied_elsewhere_and_restored(
    at_desk, set_up, task, tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch, task_named: str
) -> None:
    settings.MEDIA_ROOT = tmp_path / "kept"
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "usual"))
    job = past_job(complaint="Hums.", at=clock.now(), home=False)
    call_command("backup", into=tmp_path / "elsewhere", verbosity=0)
    (made,) = (tmp_path / "elsewhere").iterdir()
    call_command("restore", made, into=tmp_path / "anew", verbosity=0)
    (book,) = [one for one in (tmp_path / "anew").iterdir() if one.suffix == ".sqlite3"]
    with sqlite3.connect(book) as restored:
        assert restored.execute(
            "SELECT count(*) FROM counter_job WHERE number = ?", [job.number]
        ).fetchone() == (1,)
    desk = at_desk(set_up, task)
    desk.click(".drawer-person a")
    desk.link("Health", within="main .tabs")
    said = desk.page.get_by_role("row", name=re.compile("^The backup ")).inner_text()
    task.known["the health page knows"] = "good" in said
