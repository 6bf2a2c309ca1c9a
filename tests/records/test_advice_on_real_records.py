"""Is the advice apt? Forty complaints, asked of real repair records turned into jobs; what would be apt was written down before.

The records are the Open Repair Alliance's, CC BY-SA 4.0; without `SHOP_OPEN_REPAIR`, which names the folder with its
`*.csv.gz` files, these tests are skipped. See `ADVICE.md`.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from shop.counter.models import Job, Maker, UnitModel
from shop.handbook.words import fold
from shop.records.bringing_in import batches, kept
from shop.records.remedies import Advice, advice_for
from tests.factories.premises import ShopProfileFactory
from tests.records import real_jobs

QUESTIONS = {"advice_questions": 36, "advice_questions_second": 15}
"""The lists, and how many of each must be right at least."""

NUMBERED = "Number in the older book: "

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.soak,
    pytest.mark.timeout(1200),
    pytest.mark.skipif(not real_jobs.DATA, reason="SHOP_OPEN_REPAIR names no folder with the records"),
]


@pytest.fixture(scope="module")
def said(django_db_setup: None, django_db_blocker: Any) -> Iterator[dict[str, tuple[str, str]]]:
    """All records brought in as jobs; the kind and the whole text of each by its job's number."""
    with django_db_blocker.unblock(), transaction.atomic():
        ShopProfileFactory()
        batch = kept.start_batch(name="real.csv", file=io.BytesIO(real_jobs.as_list()), by=None)
        batch = batches.match_columns(batch=batch, columns=batch.columns, by=None)
        batches.bring_all_in(batch=batch, by=None)
        texts = {row["id"]: (real_jobs.kind_of(row), row["problem"]) for row in real_jobs.records()}
        numbers = Job.objects.values_list("number", "condition")
        yield {number: texts[told.removeprefix(NUMBERED).split("\n")[0]] for number, told in numbers}
        transaction.set_rollback(True)


def shown_jobs(advice: Advice) -> list[str]:
    """The numbers of all jobs that an advice points to."""
    return [job.number for one in advice.remedies for job in one.jobs] + [
        one.job.number for one in advice.cases
    ]


def verdict(question: dict[str, Any], shown: list[tuple[str, str]]) -> str:
    """Right, misleading or missed, by what was written down before."""
    apt = question["apt"]
    if any(not apt or kind != question["kind"] or not re.search(apt, fold(text)) for kind, text in shown):
        return "misleading"
    return "right" if bool(shown) == bool(apt) else "missed"


@pytest.mark.parametrize("name", QUESTIONS)
def test_complaints_get_apt_advice_or_silence(name: str, said: dict[str, tuple[str, str]]) -> None:
    maker = Maker(name="Calderby", folded="calderby")
    verdicts: dict[str, list[str]] = {"right": [], "missed": [], "misleading": []}
    for question in json.loads(Path(__file__).with_name(f"{name}.json").read_text("utf-8")):
        model = UnitModel(maker=maker, name="New", folded="new", kind=question["kind"])
        shown = [said[number] for number in shown_jobs(advice_for(model, question["complaint"]))]
        verdicts[verdict(question, shown)].append(question["complaint"])
    assert not verdicts["misleading"]
    assert len(verdicts["right"]) >= QUESTIONS[name], verdicts
