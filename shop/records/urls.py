"""The doors of the records."""

from __future__ import annotations

from django.urls import path

from shop.records.views import whole

app_name = "records"
urlpatterns = [
    path("", whole.first_screen, name="first_screen"),
    path("jobs/<str:number>/", whole.job_card, name="job_card"),
]
