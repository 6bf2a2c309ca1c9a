"""A fault across models: which models of a kind have it more often than the others, by the shop's own conclusions."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from shop.bench.models import Conclusion, FailureMode
from shop.counter.models import Kind, UnitModel
from shop.handbook.disproportion import Ratio, shrunk_ratio
from shop.handbook.words import stored_tokens

LOOKED_AT = 5_000
"""So many of the newest conclusions of a kind are counted."""

SHOWN = 40


@dataclass(frozen=True, slots=True)
class Excess:
    """One fault that a model has more often than its kind: on how many of its jobs, and how many times as often."""

    model: UnitModel
    failed: str
    mode: str
    jobs: int
    of: int
    ratio: Ratio


@dataclass(frozen=True, slots=True)
class Across:
    """What was found, and how many jobs it rests upon."""

    found: list[Excess]
    jobs: int


def faults_across(kind: Kind) -> Across:
    """The faults of a kind that some model surely has more often than the others, the surest first; two queries."""
    told = (
        Conclusion.objects.filter(job__unit__model__kind=kind, struck_at__isnull=True)
        .exclude(failed="")
        .exclude(mode=FailureMode.NONE_FOUND)
        .order_by("-pk")
        .values_list("job_id", "job__unit__model_id", "failed", "mode")
    )
    seen: dict[tuple[int, frozenset[str], str], int] = {}
    names: dict[tuple[frozenset[str], str], Counter[str]] = {}
    for job, model, failed, mode in told[:LOOKED_AT]:
        fault = (frozenset(stored_tokens(failed)), mode)
        seen[job, *fault] = model
        names.setdefault(fault, Counter())[failed] += 1
    jobs_of = Counter(model for _, model in {(job, model) for (job, _, _), model in seen.items()})
    with_fault = Counter((words, mode) for _, words, mode in seen)
    both = Counter((model, words, mode) for (_, words, mode), model in seen.items())
    jobs = sum(jobs_of.values())
    found = []
    for (model, words, mode), count in both.items():
        ratio = shrunk_ratio(count, jobs_of[model] * with_fault[words, mode] / jobs)
        if ratio is not None and ratio.surely_more:
            found.append((model, names[words, mode].most_common(1)[0][0], mode, count, ratio))
    found.sort(key=lambda one: -one[4].at_least)
    models = UnitModel.objects.select_related("maker").in_bulk([one[0] for one in found[:SHOWN]])
    return Across(
        [
            Excess(models[model], failed, FailureMode(mode).label, count, jobs_of[model], ratio)
            for model, failed, mode, count, ratio in found[:SHOWN]
            if models[model].is_known
        ],
        jobs,
    )
