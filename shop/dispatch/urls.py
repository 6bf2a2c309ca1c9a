"""The doors of dispatch."""

from __future__ import annotations

from django.urls import path

from shop.dispatch.views import inbound, jobs, parcels, tables

app_name = "dispatch"
urlpatterns = [
    path("", jobs.dispatch, name="dispatch"),
    path("jobs/<str:number>/", jobs.job, name="job"),
    path("jobs/<str:number>/box/", jobs.plan, name="plan"),
    path("jobs/<str:number>/accessories/<int:pk>/", jobs.check_accessory, name="check_accessory"),
    path("jobs/<str:number>/pack/", jobs.pack, name="pack"),
    path("jobs/<str:number>/collect/", jobs.collect, name="collect"),
    path("jobs/<str:number>/keep-here/", jobs.keep_here, name="keep_here"),
    path("parcels/<int:pk>/", parcels.parcel, name="parcel"),
    path("parcels/<int:pk>/label/", parcels.label, name="label"),
    path("parcels/<int:pk>/slip/", parcels.issue_slip, name="issue_slip"),
    path("parcels/<int:pk>/hand-over/", parcels.hand_over, name="hand_over"),
    path("parcels/<int:pk>/unpack/", parcels.unpack, name="unpack"),
    path("parcels/<int:pk>/delivered/", parcels.note_delivered, name="note_delivered"),
    path("parcels/<int:pk>/lost/", parcels.note_lost, name="note_lost"),
    path("in/", inbound.inbound, name="inbound"),
    path("in/<int:pk>/", inbound.inbound_parcel, name="inbound_parcel"),
    path("in/<int:pk>/arrived/", inbound.note_arrived, name="note_arrived"),
    path("in/<int:pk>/photographs/", inbound.photograph, name="photograph"),
    path("in/<int:pk>/damage/", inbound.report_damage, name="report_damage"),
    path("boxes/", tables.boxes, name="boxes"),
    path("boxes/<int:pk>/retire/", tables.retire_box, name="retire_box"),
    path("carriers/", tables.carriers, name="carriers"),
    path("carriers/<int:pk>/", tables.carrier, name="carrier"),
    path("carriers/<int:pk>/change/", tables.change_carrier, name="change_carrier"),
    path("carriers/<int:pk>/rules/", tables.add_rule, name="add_rule"),
    path("rules/<int:pk>/withdraw/", tables.withdraw_rule, name="withdraw_rule"),
]
