"""The doors of the stockroom."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "stockroom"
urlpatterns: list[URLPattern] = []
