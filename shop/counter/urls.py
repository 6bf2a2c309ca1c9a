"""The doors of the counter."""

from __future__ import annotations

from django.urls import path

from shop.counter.views import booking, jobs, people

app_name = "counter"
urlpatterns = [
    path("", booking.book_in, name="book_in"),
    path("own/", booking.book_in_own, name="book_in_own"),
    path("booked/", booking.booked, name="booked"),
    path("models/", booking.model_names, name="model_names"),
    path("customers/", people.customers, name="customers"),
    path("customers/add/", people.add_customer, name="add_customer"),
    path("customers/<int:pk>/", people.customer, name="customer"),
    path("customers/<int:pk>/change/", people.change_customer, name="change_customer"),
    path("customers/<int:pk>/book-in/", booking.book_in_for, name="book_in_for"),
    path("customers/<int:pk>/announce/", booking.announce_for, name="announce_for"),
    path("customers/<int:pk>/<str:way>/another-unit/", booking.another_unit, name="another_unit"),
    path("customers/<int:pk>/recognise/", booking.recognise, name="recognise"),
    path("expected/", jobs.expected, name="expected"),
    path("jobs/<str:number>/", jobs.job, name="job"),
    path("jobs/<str:number>/put-right/", jobs.put_right, name="put_right"),
    path("jobs/<str:number>/receive/", jobs.receive, name="receive"),
    path("jobs/<str:number>/call-off/", jobs.call_off, name="call_off"),
    path("jobs/<str:number>/shelf/", jobs.put_on_shelf, name="put_on_shelf"),
    path("jobs/<str:number>/accessory/", jobs.take_accessory, name="take_accessory"),
    path("jobs/<str:number>/accessory/<int:pk>/", jobs.mend_accessory, name="mend_accessory"),
    path("jobs/<str:number>/photos/", jobs.add_photos, name="add_photos"),
    path("jobs/<str:number>/promise/", jobs.promise, name="promise"),
    path("jobs/<str:number>/promise/word/", jobs.promise_word, name="promise_word"),
    path("jobs/<str:number>/goes-back/", jobs.set_ready_unopened, name="set_ready_unopened"),
    path("jobs/<str:number>/claim-check/", jobs.claim_check, name="claim_check"),
    path("jobs/<str:number>/tag/", jobs.tag, name="tag"),
]
