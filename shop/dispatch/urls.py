"""The doors of dispatch."""

from __future__ import annotations

from django.urls import path

from shop.dispatch import views

app_name = "dispatch"
urlpatterns = [
    path("", views.dispatch, name="dispatch"),
    path("jobs/<str:number>/", views.job, name="job"),
    path("jobs/<str:number>/accessories/<int:pk>/", views.check_accessory, name="check_accessory"),
    path("jobs/<str:number>/pack/", views.pack, name="pack"),
    path("jobs/<str:number>/collect/", views.collect, name="collect"),
    path("jobs/<str:number>/keep-here/", views.keep_here, name="keep_here"),
    path("parcels/<int:pk>/", views.parcel, name="parcel"),
    path("parcels/<int:pk>/slip/", views.issue_slip, name="issue_slip"),
    path("parcels/<int:pk>/hand-over/", views.hand_over, name="hand_over"),
    path("parcels/<int:pk>/unpack/", views.unpack, name="unpack"),
    path("parcels/<int:pk>/delivered/", views.note_delivered, name="note_delivered"),
    path("parcels/<int:pk>/lost/", views.note_lost, name="note_lost"),
]
