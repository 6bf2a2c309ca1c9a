"""The doors of the premises."""

from __future__ import annotations

from django.urls import URLPattern, path

from shop.premises import views_house
from shop.premises.views import stored

app_name = "premises"
urlpatterns: list[URLPattern] = [
    path("house/", views_house.house, name="house"),
    path("theme/", views_house.set_theme, name="theme"),
    path("papers/<int:pk>/", stored.paper, name="paper"),
    path("pictures/<int:pk>/<slug:size>/", stored.picture, name="picture"),
    path("files/<int:pk>/", stored.kept_file, name="file"),
]
