"""Questions asked at dispatch. Nothing here writes."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from shop.counter.models import Accessory, Job
from shop.counter.stages import Stage
from shop.dispatch.models import Collection, CollectionJob, GoingBack, Parcel, ParcelJob

JOB_RELATED = ("customer", "unit__model__maker")


def ready_jobs() -> QuerySet[Job]:
    """Jobs that are ready to go back and lie in no parcel, the longest waiting first."""
    packed = ParcelJob.objects.filter(parcel__unpacked_at__isnull=True, parcel__handed_over_at__isnull=True)
    ready = Job.objects.filter(stage=Stage.READY).exclude(pk__in=packed.values("job"))
    return ready.select_related(*JOB_RELATED).order_by("stage_since")


def ready_together(job: Job) -> list[Job]:
    """This job and the other ready ones of its customer that lie in no parcel."""
    return list(ready_jobs().filter(customer=job.customer).order_by("id"))


def _with_jobs(parcels: QuerySet[Parcel]) -> QuerySet[Parcel]:
    links = ParcelJob.objects.select_related("job__unit__model__maker")
    return parcels.select_related("customer", "carrier", "slip").prefetch_related(
        Prefetch("job_links", links)
    )


def packed_parcels() -> QuerySet[Parcel]:
    """Parcels that stand packed and have not been handed over."""
    return _with_jobs(Parcel.objects.filter(handed_over_at__isnull=True, unpacked_at__isnull=True)).order_by(
        "packed_at"
    )


def parcels_on_the_road() -> QuerySet[Parcel]:
    """Parcels that were handed over and neither delivered nor given up, the oldest first."""
    on_the_road = Parcel.objects.filter(handed_over_at__isnull=False, delivered_at__isnull=True)
    return _with_jobs(on_the_road).order_by("handed_over_at")


def whole_parcels() -> QuerySet[Parcel]:
    """Parcels with everything a page shows of one."""
    return _with_jobs(Parcel.objects.all())


def parcels_of(job: Job) -> list[Parcel]:
    """Every parcel that this job lay in, in order."""
    return list(
        _with_jobs(Parcel.objects.filter(pk__in=ParcelJob.objects.filter(job=job).values("parcel"))).order_by(
            "id"
        )
    )


def collection_of(job: Job) -> Collection | None:
    """How the unit was collected, if it was."""
    link = CollectionJob.objects.filter(job=job).select_related("collection__by").first()
    return link.collection if link is not None else None


def accessories_with_answers(job: Job) -> list[tuple[Accessory, GoingBack | None]]:
    """What came with the unit, and whether it goes back."""
    accessories = Accessory.objects.filter(job=job).order_by("id")
    answers = {answer.accessory_id: answer for answer in GoingBack.objects.filter(accessory__job=job)}
    return [(accessory, answers.get(accessory.pk)) for accessory in accessories]
