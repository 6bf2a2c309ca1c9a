"""The doors of the bench."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path, register_converter
from django.urls.converters import StringConverter

from shop.bench.panels import SENT
from shop.bench.views import (
    judging,
    knowledge,
    lines,
    meters,
    pages,
    patterns,
    photos,
    safety,
    said,
    sheet,
    stints,
    sums,
    talks,
    worker,
)
from shop.bench.views.writing import door_of


class LineConverter(StringConverter):
    """The kinds of line that can be struck out."""

    regex = "|".join(lines.LINES)


register_converter(LineConverter, "line")

app_name = "bench"

of_a_job: list[URLPattern] = [
    path("", pages.job, name="job"),
    *(path(one.path, door_of(one), name=one.name) for one in SENT),
    path("cell/", sheet.cell, name="cell"),
    path("sheet/", sheet.whole, name="sheet"),
    path("rows/", sheet.rows, name="rows"),
    path("reading/judge/", judging.judge_reading, name="judge_reading"),
    path("reading/role/", knowledge.role, name="reading_role"),
    path("say/hear/", said.hear, name="hear"),
    path("said/<int:pk>/", said.said, name="said"),
    path("said/<int:pk>/chapters.txt", talks.chapters, {"form": "txt"}, name="chapters"),
    path("said/<int:pk>/chapters.vtt", talks.chapters, {"form": "vtt"}, name="chapters_vtt"),
    path("said/<int:pk>/stint/", talks.stint, name="talk_stint"),
    path("said/<int:pk>/began/", talks.began, name="talk_began"),
    path("talks/", talks.talks, name="talks"),
    path("talks/record/", talks.record, name="record_talk"),
    path("list/judge/", judging.judge_list, name="judge_list"),
    path("evidence/judge/", judging.judge_evidence, name="judge_evidence"),
    path("calculators/<slug:slug>/", sums.note_sum, name="note_sum"),
    path("set/", knowledge.matched_set, name="matched_set"),
    path("photos/sketch/", photos.sketch, name="sketch"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
    path("photos/<int:pk>/aside/", photos.set_aside, name="set_photo_aside"),
    path("part/offer/", judging.offer_parts, name="offer_parts"),
    path("overrule/<slug:rule>/", lines.overrule, name="overrule"),
    path("strike/<line:kind>/<int:pk>/", lines.strike, name="strike"),
    path("stints/<int:pk>/", stints.mend_stint, name="mend_stint"),
    path("safety/", safety.safety, name="safety"),
    path("safety/<int:pk>/record/", safety.safety_record, name="safety_record"),
    path("waiver/", safety.waiver, name="waiver"),
    path("aside/", knowledge.aside, name="aside"),
    path("model/", knowledge.model_file, name="model_file"),
    path("model/learn/", knowledge.learn, name="learn"),
    path("model/reservoir/", knowledge.reservoir, name="reservoir"),
    path("model/limits/", knowledge.limits, name="limits"),
]

of_the_room: list[URLPattern | URLResolver] = [
    path("", pages.bench, name="bench"),
    path("worker.js", worker.worker, name="worker"),
    path("now/", worker.now, name="now"),
    path("pages/", worker.pages_to_keep, name="pages_to_keep"),
    path("patterns/", patterns.patterns, name="patterns"),
    path("patterns/<int:pk>/drop/", patterns.drop, name="drop_pattern"),
    path("meters/", meters.meters, name="meters"),
    path("meters/add/", meters.meter, name="add_meter"),
    path("meters/<int:pk>/", meters.meter, name="meter"),
    path("meters/<int:pk>/retire/", meters.retire, name="retire_meter"),
    path("sums/", sums.sums, name="sums"),
    path("sums/<slug:slug>/", sums.one_sum, name="sum"),
    path("<str:number>/", include(of_a_job)),
]

urlpatterns = [
    path("bench/", include(of_the_room)),
    path("t/<str:number>", pages.tag, name="tag"),
]
