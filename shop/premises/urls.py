"""The doors of the premises."""

from __future__ import annotations

from django.urls import URLPattern, path

from shop.premises import views_house

app_name = "premises"
urlpatterns: list[URLPattern] = [
    path("house/", views_house.house, name="house"),
    path("theme/", views_house.set_theme, name="theme"),
]
