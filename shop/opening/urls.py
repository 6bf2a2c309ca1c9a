"""The one door of the first run."""

from __future__ import annotations

from django.urls import URLPattern, path

from shop.opening import views

app_name = "opening"
urlpatterns: list[URLPattern] = [path("<str:offered>/", views.opening, name="opening")]
