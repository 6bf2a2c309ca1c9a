"""The doors of the house: each room keeps its own list."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("premises/", include("shop.premises.urls")),
    path("counter/", include("shop.counter.urls")),
    path("stockroom/", include("shop.stockroom.urls")),
    path("", include("shop.bench.urls")),  # bench/ and t/, where the tag's QR code leads
    path("office/", include("shop.office.urls")),
    path("dispatch/", include("shop.dispatch.urls")),
    path("planner/", include("shop.planner.urls")),
    path("opening/", include("shop.opening.urls")),
    path("w/", include("shop.window.urls")),
    path("", include("shop.records.urls")),
]

handler400 = "shop.front_door.refusals.bad_request"
handler403 = "shop.front_door.refusals.forbidden"
handler404 = "shop.front_door.refusals.not_found"
handler500 = "shop.front_door.refusals.server_error"
