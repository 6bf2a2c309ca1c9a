"""Questions asked at the counter. Nothing here writes."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from shop.counter.keys import model_key, name_key, phone_key, serial_key
from shop.counter.models import Customer, Job, Maker, Unit, UnitModel
from shop.counter.stages import ENDED, OPEN

SHOWN = 8


def known_customers() -> QuerySet[Customer]:
    """Customers that may be chosen: neither forgotten nor merged into another."""
    return Customer.objects.filter(merged_into__isnull=True, forgotten_at__isnull=True)


def find_customers(typed: str, *, limit: int = SHOWN) -> list[Customer]:
    """Customers whose name, organisation, phone or e-mail holds every word typed; those that begin with it first."""
    words = name_key(typed).split()
    digits = phone_key(typed)
    if not words and not digits:
        return []
    matching = known_customers()
    for word in words:
        met = Q(search_key__contains=word) | Q(email__icontains=word)
        if word.isdigit():
            met |= Q(phone_digits__contains=word)
        matching = matching.filter(met)
    by_phone = known_customers().filter(phone_digits__contains=digits) if len(digits) >= 3 else None
    found = {customer.pk: customer for customer in matching.order_by("search_key")[: limit * 3]}
    if by_phone is not None:
        found |= {customer.pk: customer for customer in by_phone[:limit]}
    first = words[0] if words else ""
    return sorted(found.values(), key=lambda c: (not c.search_key.startswith(first), c.search_key))[:limit]


def likely_doubles(*, name: str, phone: str = "", email: str = "") -> list[Customer]:
    """Customers who may be the same person as the one being added: same folded name, same number, or same e-mail."""
    digits = phone_key(phone)
    same = Q(search_key=name_key(name))
    if len(digits) >= 6:
        same |= Q(phone_digits__endswith=digits[-9:])
    if email:
        same |= Q(email__iexact=email)
    return list(known_customers().filter(same)[:SHOWN])


def find_models(typed: str, *, maker: str = "", limit: int = SHOWN) -> list[UnitModel]:
    """Models whose number begins with, else holds, what is typed, however it is punctuated."""
    folded = model_key(typed)
    if not folded and not maker:
        return []
    models = UnitModel.objects.filter(merged_into__isnull=True).select_related("maker")
    if maker:
        models = models.filter(maker__folded=name_key(maker))
    models = models.filter(folded__contains=folded).order_by("folded")[:60]
    return sorted(models, key=lambda model: (not model.folded.startswith(folded), model.folded))[:limit]


def same_units(model: UnitModel, serial: str) -> QuerySet[Unit]:
    """Units of that model with that serial number, however it is punctuated: the same unit back again."""
    folded = serial_key(serial)
    if not folded:
        return Unit.objects.none()
    units = Unit.objects.filter(model=model, serial_folded=folded, merged_into__isnull=True)
    return units.select_related("model__maker", "owner")


def units_like(maker: str, model: str, serial: str) -> list[Unit]:
    """Known units of that maker, model and serial number as typed; empty while the shop does not know the model."""
    known = model_of(maker, model)
    return list(same_units(known, serial)[:SHOWN]) if known is not None else []


def model_of(maker: str, model: str) -> UnitModel | None:
    """The model of that maker and number, however it is typed; None while the shop has not met it."""
    known = UnitModel.objects.filter(maker__folded=name_key(maker), folded=model_key(model)).first()
    return None if known is None else known.merged_into or known


def units_of(customer: Customer) -> QuerySet[Unit]:
    """The customer's units, the one added last first."""
    units = Unit.objects.filter(owner=customer, merged_into__isnull=True)
    return units.select_related("model__maker").order_by("-id")


def open_jobs() -> QuerySet[Job]:
    """Jobs that have not ended, with what a list line shows of them."""
    return Job.objects.filter(stage__among=OPEN).select_related("customer", "unit__model__maker")


def jobs_numbered(sequence: int) -> list[Job]:
    """Jobs with that sequence number, open ones first, then the newest: what a typed short number may mean."""
    jobs = Job.objects.filter(sequence=sequence).select_related("customer", "unit__model__maker")
    return sorted(jobs, key=lambda job: (job.stage in ENDED, -job.year))


def jobs_of(customer: Customer) -> QuerySet[Job]:
    """The customer's jobs, the newest first."""
    return Job.objects.filter(customer=customer).select_related("unit__model__maker").order_by("-id")


def whole_jobs() -> QuerySet[Job]:
    """Jobs with everything that the head of a page says of one."""
    return Job.objects.select_related("customer", "unit__model__maker", "inbound", "accepted_by")


def jobs_that_came_with(pk: int | None) -> list[Job]:
    """The job with that key and those of the customer that were written down in the same act, in their order."""
    first = Job.objects.filter(pk=pk).first() if pk is not None else None
    if first is None:
        return []
    same = whole_jobs().filter(
        customer=first.customer_id, announced_at=first.announced_at, booked_in_at=first.booked_in_at
    )
    return list(same.order_by("id"))


def maker_names() -> list[str]:
    """Makers' names for the form's list, in alphabetical order; at most 400."""
    return list(
        Maker.objects.filter(merged_into__isnull=True).order_by("folded").values_list("name", flat=True)[:400]
    )


def model_like(maker: str, model: str) -> UnitModel | None:
    """The model of that name where the shop knows it."""
    known = UnitModel.objects.filter(maker__folded=name_key(maker), folded=model_key(model)).select_related(
        "maker"
    )
    return known.first()
