"""The doors of the office."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "office"
urlpatterns: list[URLPattern] = []
