"""The doors of the bench."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "bench"
urlpatterns: list[URLPattern] = []
