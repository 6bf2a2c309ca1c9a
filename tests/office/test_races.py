"""Four writers at one gate, each a process: money is paid back once, a deposit is taken once, a record is charged once.

No source: what the sums must be was worked by hand.
"""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from django.conf import settings

from tests.office.conftest import Place

WRITERS = 4


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "tests.office.racer", *words]


def run(place: Place, *words: str) -> str:
    done = subprocess.run(
        command(*words), check=False, env=place, capture_output=True, text=True, cwd=settings.BASE_DIR
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.postgres
def test_four_writers_at_once_neither_make_money_nor_charge_twice(book: Place) -> None:
    run(book, "prepare", str(WRITERS))
    writers = [
        subprocess.Popen(
            command("race", str(which), str(WRITERS)),
            env=book,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=settings.BASE_DIR,
        )
        for which in range(WRITERS)
    ]
    errors = [writer.communicate()[1] for writer in writers]
    assert [writer.returncode for writer in writers] == [0] * WRITERS, errors
    assert json.loads(run(book, "inspect")) == {
        "refunds": 1,
        "left_to_refund": 40_00,
        "issued_over_deposit": WRITERS,
        "taken_from_deposit": 50_00,
        "left_of_deposit": 0,
        "issued_over_records": 1,
        "charges": 1,
        "agreed": 240_00,
        "in_all": [200_00, 210_00, 220_00, 230_00, 240_00],
    }
