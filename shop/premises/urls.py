"""The doors of the premises."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "premises"
urlpatterns: list[URLPattern] = []
