"""The doors of the bench."""

from __future__ import annotations

from django.urls import include, path, register_converter
from django.urls.converters import StringConverter

from shop.bench.views import acts, lines, pages


class LineConverter(StringConverter):
    """The kinds of line that can be struck out."""

    regex = "|".join(lines.LINES)


register_converter(LineConverter, "line")

app_name = "bench"
rooms_own = [
    path("", pages.bench, name="bench"),
    path("<str:number>/", pages.job, name="job"),
    path("<str:number>/finding/", lines.finding, name="finding"),
    path("<str:number>/reading/", lines.reading, name="reading"),
    path("<str:number>/evidence/", lines.evidence, name="evidence"),
    path("<str:number>/photos/", lines.photos, name="photos"),
    path("<str:number>/part/", lines.part, name="part"),
    path("<str:number>/want/", lines.want, name="want"),
    path("<str:number>/conclusion/", lines.conclusion, name="conclusion"),
    path("<str:number>/strike/<line:kind>/<int:pk>/", lines.strike, name="strike"),
    path("<str:number>/start/", acts.start, name="start"),
    path("<str:number>/stop/", acts.stop, name="stop"),
    path("<str:number>/take/", acts.take, name="take"),
    path("<str:number>/shelve/", acts.shelve, name="shelve"),
    path("<str:number>/await-parts/", acts.await_parts, name="await_parts"),
    path("<str:number>/ready/", acts.ready, name="ready"),
    path("<str:number>/soak/", acts.soak, name="soak"),
    path("<str:number>/soak/check/", acts.soak_check, name="soak_check"),
    path("<str:number>/soak/end/", acts.soak_end, name="soak_end"),
    path("<str:number>/safety/", acts.safety, name="safety"),
    path("<str:number>/waiver/", acts.waiver, name="waiver"),
]
urlpatterns = [
    path("bench/", include(rooms_own)),
    path("t/<str:number>", pages.tag, name="tag"),
]
