"""What the first run asks the book."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from shop.frame.models import Role, ShopProfile, Staff


def is_open() -> bool:
    """True once the shop has its profile and somebody who owns it."""
    return ShopProfile.objects.exists() and owners().exists()


def owners() -> QuerySet[Staff]:
    """Everybody who may do everything and can sign in, the first one first."""
    return (
        Staff.objects.filter(Q(groups__name=Role.OWNER) | Q(is_superuser=True), is_active=True)
        .distinct()
        .order_by("pk")
    )
