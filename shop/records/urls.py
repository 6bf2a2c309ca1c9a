"""The doors of the records."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "records"
urlpatterns: list[URLPattern] = []
