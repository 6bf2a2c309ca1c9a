"""Questions asked at dispatch. Nothing here writes."""

from __future__ import annotations

import datetime as dt

from django.db.models import F, Prefetch, QuerySet

from shop.counter.models import Accessory, InboundParcel, Job, JobPicture, PackingState
from shop.counter.stages import Stage
from shop.dispatch.models import (
    Carrier,
    CarrierRule,
    Collection,
    CollectionJob,
    DamageReport,
    GoingBack,
    Parcel,
    ParcelJob,
)
from shop.frame.clock import day_of
from shop.handbook.money import CURRENCIES

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
    return parcels.select_related("customer", "carrier", "slip", "box").prefetch_related(
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
    accessories = Accessory.here.filter(job=job).order_by("id")
    answers = {answer.accessory_id: answer for answer in GoingBack.objects.filter(accessory__job=job)}
    return [(accessory, answers.get(accessory.pk)) for accessory in accessories]


# --- coming in ----------------------------------------------------------------------------------------------------


def whole_inbound() -> QuerySet[InboundParcel]:
    """Inbound parcels with everything a page shows of one."""
    return InboundParcel.objects.select_related("customer")


def inbound_coming() -> QuerySet[InboundParcel]:
    """Announced and not here yet, the longest announced first."""
    coming = whole_inbound().filter(arrived_at=None, opened_at=None)
    return coming.exclude(jobs__stage=Stage.CALLED_OFF).distinct().order_by("announced_at")


def inbound_unopened() -> QuerySet[InboundParcel]:
    """Here and not opened yet, the longest here first."""
    return whole_inbound().filter(arrived_at__isnull=False, opened_at=None).order_by("arrived_at")


def inbound_damaged() -> QuerySet[InboundParcel]:
    """Opened and found damaged, the latest first."""
    return whole_inbound().filter(packing_state=PackingState.DAMAGED).order_by("-opened_at")


def jobs_in_inbound(inbound: InboundParcel) -> list[Job]:
    """The jobs whose units came in a parcel."""
    return list(Job.objects.filter(inbound=inbound).select_related(*JOB_RELATED).order_by("id"))


def packing_pictures(inbound: InboundParcel) -> list[JobPicture]:
    """Photographs of packing and units as a parcel came, in the order in which they were taken."""
    shown = (JobPicture.Shows.PACKING, JobPicture.Shows.INTAKE)
    kept = JobPicture.objects.filter(job__inbound=inbound, shows__in=shown, struck_at=None)
    return list(kept.select_related("picture").order_by("id")[:40])


def damage_reports_of(inbound: InboundParcel) -> list[DamageReport]:
    """What went to the carrier about a parcel, the latest first."""
    return list(DamageReport.objects.filter(inbound=inbound).select_related("paper", "by").order_by("-id"))


def paper_of_report(pk: int) -> int:
    """The id of the paper of a damage report."""
    return int(DamageReport.objects.values_list("paper_id", flat=True).get(pk=pk))


def carrier_of(inbound: InboundParcel) -> Carrier | None:
    """The carrier that brought a parcel, where the shop has written it down."""
    return Carrier.objects.filter(name__iexact=inbound.carrier.strip()).first()


def claim_by(inbound: InboundParcel) -> dt.date | None:
    """The day by which damage must be claimed, where the shop knows the carrier and its days."""
    if inbound.arrived_at is None or not inbound.carrier:
        return None
    carrier = carrier_of(inbound)
    if carrier is None or carrier.claim_days is None:
        return None
    return day_of(inbound.arrived_at) + dt.timedelta(days=carrier.claim_days)


def carriers_with_rules(on: dt.date) -> list[tuple[Carrier, CarrierRule | None]]:
    """Every carrier with the rule that holds on a day."""
    rules: dict[int, CarrierRule] = {}
    for rule in CarrierRule.objects.filter(from_date__lte=on).order_by("from_date"):
        rules[rule.carrier_id] = rule
    carriers = Carrier.objects.order_by(F("retired_at").asc(nulls_first=True), "name")[:200]
    return [(carrier, rules.get(carrier.pk)) for carrier in carriers]


def rates_hold_to_currency(old: str, new: str) -> str | None:
    """Why the shop can't reckon in another currency yet: carriers' rates in minor units that the new one has not."""
    if CURRENCIES[old].digits == CURRENCIES[new].digits:
        return None
    carriers = (
        CarrierRule.objects.exclude(rates=[]).values_list("carrier__name", flat=True).distinct().order_by()
    )
    if not (named := sorted(carriers)):
        return None
    return f"{new} has other decimals than {old}: take the rates of {', '.join(named[:4])} away first."
