"""Many processes issue invoices at once and some of them die: no gap, no repeat, no half invoice.

Source: Directive 2006/112/EC Article 226(2), a sequential number that uniquely identifies the invoice; that a dead process
leaves nothing behind is what a transaction promises (SQLite and PostgreSQL documentation on atomic commit).
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import threading
from typing import Any

import pytest
from django.conf import settings

from tests.office.conftest import Place


def run(place: Place, *words: str) -> str:
    command = [sys.executable, "-m", "tests.office.issuer", *words]
    done = subprocess.run(
        command, check=True, env=place, capture_output=True, text=True, cwd=settings.BASE_DIR
    )
    return done.stdout


def play(place: Place, *, issuers: int, each: int, killed: int) -> tuple[dict[str, Any], int]:
    """Let `issuers` processes issue `each` invoices and kill `killed` of them mid-way; what stands then, what was said."""
    run(place, "prepare", str(issuers))
    chance = random.Random(4)  # noqa: S311  which word is the last, not a secret
    last_words = {which: chance.randint(1, max(1, each - 2)) for which in range(killed)}
    said: list[str] = []
    processes = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.office.issuer", "issue", str(which), str(each)],
            env=place,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=settings.BASE_DIR,
        )
        for which in range(issuers)
    ]

    def listen(which: int, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        for at, line in enumerate(process.stdout, 1):
            said.append(line.strip())
            if at == last_words.get(which):
                process.kill()

    ears = [threading.Thread(target=listen, args=pair) for pair in enumerate(processes)]
    for ear in ears:
        ear.start()
    for ear in ears:
        ear.join()
    errors = [process.communicate()[1] for process in processes]
    ends = [process.returncode for process in processes]
    assert ends == [-9] * killed + [0] * (issuers - killed), errors
    return json.loads(run(place, "inspect")), len(said)


def is_whole(found: dict[str, Any], said: int) -> None:
    count = len(found["sequences"])
    assert found["sequences"] == list(range(1, count + 1)), "a gap or a repeat"
    assert len(set(found["numbers"])) == count
    assert found["half"] == []
    assert found["numbered_drafts"] == 0
    assert found["next"] == [count + 1]
    assert found["chain"] == []
    assert count >= said, "an invoice that was announced is not in the book"


@pytest.mark.postgres
def test_issuers_that_die_mid_way_leave_no_gap_and_no_half_invoice(book: Place) -> None:
    found, said = play(book, issuers=4, each=4, killed=1)
    is_whole(found, said)
    assert len(found["sequences"]) >= 3 * 4 + 1


@pytest.mark.soak
@pytest.mark.postgres
def test_sixteen_issuers_of_fifty_invoices_a_third_of_them_killed(book: Place) -> None:
    found, said = play(book, issuers=16, each=50, killed=6)
    is_whole(found, said)
    assert len(found["sequences"]) >= 10 * 50 + 6
