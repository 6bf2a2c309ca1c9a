"""Questions asked at the window. Nothing here writes."""

from __future__ import annotations

from collections.abc import Collection

from shop.window.models import Word


def unread_among(jobs: Collection[int]) -> list[int]:
    """Those of these jobs, by id, whose customer said something that nobody has answered or noted as read."""
    said = Word.objects.filter(job_id__in=jobs, from_customer=True, seen_at__isnull=True)
    return list(said.values_list("job_id", flat=True))
