"""The doors of the bench."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path, register_converter
from django.urls.converters import StringConverter

from shop.bench.panels import SENT
from shop.bench.views import judging, knowledge, lines, meters, pages, photos, safety, stints, sums, worker
from shop.bench.views.writing import door_of


class LineConverter(StringConverter):
    """The kinds of line that can be struck out."""

    regex = "|".join(lines.LINES)


register_converter(LineConverter, "line")

app_name = "bench"

of_a_job: list[URLPattern] = [
    path("", pages.job, name="job"),
    *(path(one.path, door_of(one), name=one.name) for one in SENT),
    path("reading/judge/", judging.judge_reading, name="judge_reading"),
    path("reading/role/", knowledge.role, name="reading_role"),
    path("evidence/", lines.evidence, name="evidence"),
