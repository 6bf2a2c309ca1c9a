"""The doors of the counter."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "counter"
urlpatterns: list[URLPattern] = []
