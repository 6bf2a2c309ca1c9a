"""The doors of the window."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "window"
urlpatterns: list[URLPattern] = []
