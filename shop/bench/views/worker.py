"""The service worker that opens bench pages without network, and the list of pages that it keeps."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from django.conf import settings
from django.http import HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe
from django.views.decorators.vary import vary_on_cookie

from shop.bench.sums import SUMS
from shop.bench.views.writing import at_the_bench
from shop.counter.queries import open_jobs
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.profile import the_profile

SOURCE = Path(settings.BASE_DIR) / "static" / "js" / "bench" / "worker.js"
MOST_KEPT = 24


@require_safe
@at_the_bench
def worker(request: StaffRequest) -> HttpResponse:
    """The worker's script. It may look after the bench and the tags' addresses, and nothing else."""
    script = SOURCE.read_text(encoding="utf-8")
    assets = f"{static('css/bench.css')}{static('js/bench/bench.js')}"
    facts = {
        "VERSION": hashlib.sha256(f"{script}{assets}".encode()).hexdigest()[:12],
        "BENCH": reverse("bench:bench"),
        "SIGN_IN": reverse("premises:sign_in"),
        "KEPT_HOURS": the_profile().kept_hours,
        "TAGS": reverse("bench:tag", args=["-"])[:-1],
        "NOT_KEPT": render_to_string("bench/no_network.html", request=request),
    }
    head = "".join(f"const {name} = {json.dumps(fact)};\n" for name, fact in facts.items())
    response = HttpResponse(head + script, content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/"
    response["Cache-Control"] = "no-cache"
    return response


@require_safe
@at_the_bench
def now(_request: StaffRequest) -> JsonResponse:
    """The shop's clock in milliseconds since 1970, by which a tablet reckons when its notes were made."""
    response = JsonResponse({"now": int(clock.now().timestamp() * 1000)})
    response["Cache-Control"] = "no-store"
    return response


@require_safe
@at_the_bench
@vary_on_cookie
def pages_to_keep(_request: StaffRequest) -> JsonResponse:
    """What a tablet keeps: the bench pages of the jobs on the bench, and the calculators, which change with the program alone."""
    on_it = open_jobs().filter(stage__in=(Stage.ON_THE_BENCH, Stage.PROVING)).order_by("-stage_since")
    numbers = on_it.values_list("number", flat=True)[:MOST_KEPT]
    pages = [reverse("bench:bench"), *(reverse("bench:job", args=[number]) for number in numbers)]
    calculators = [reverse("bench:sums"), *(reverse("bench:sum", args=[slug]) for slug in SUMS)]
    response = JsonResponse({"pages": pages, "settled": calculators})
    response["Cache-Control"] = "no-store"
    return response
