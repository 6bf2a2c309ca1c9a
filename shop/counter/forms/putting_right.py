"""What the counter wrote of a job and its unit, to be put right."""

from __future__ import annotations

from shop.counter.agreed_sums import sums_still_open
from shop.counter.forms.intake import JobFactsForm, UnitFactsForm
from shop.counter.models import Job
from shop.handbook.money import Money

SUMS = {"agreed_value": "agreed_value_minor", "limit": "limit_minor", "bench_fee": "bench_fee_minor"}
SETTLED_LATER = ("limit", "bench_fee")  # once the work has begun, the office records what is agreed


class PutRightForm(UnitFactsForm, JobFactsForm):
    """The questions asked when it was booked in, answered with what is written now."""

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, initial=_as_written(job), **kwargs)
        if not sums_still_open(job):
            for name in SETTLED_LATER:
                del self.fields[name]

    def clean(self) -> dict[str, object]:
        """A kind that was taken away is asked for."""
        data = super().clean() or self.cleaned_data
        self.ask_for_kind()
        return data

    def facts(self) -> dict[str, object]:
        """Fields of `Job` with what they become; call once the form is valid."""
        names = (name for name in JobFactsForm.base_fields if name in self.fields and name != "once")
        return {SUMS.get(name, name): self.cleaned_data[name] for name in names}


def _as_written(job: Job) -> dict[str, object]:
    unit = job.unit
    sums = {name: getattr(job, column) for name, column in SUMS.items()}
    return {
        "maker": unit.model.maker.name,
        "model": unit.model.name,
        "kind": unit.model.kind,
        "serial": unit.serial,
        "mains": unit.mains,
        "line_voltage": unit.line_voltage,
        "protection_class": unit.protection_class,
        "year_made": unit.year_made,
        "complaint": job.complaint,
        "condition": job.condition,
        "wants_parts_back": job.wants_parts_back,
        **{name: None if sum_ is None else Money(sum_, job.currency) for name, sum_ in sums.items()},
    }
