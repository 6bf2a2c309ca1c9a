"""The doors of the planner."""

from __future__ import annotations

from django.urls import path

from shop.planner import views

app_name = "planner"
urlpatterns = [
    path("", views.evening, name="evening"),
    path("reckon/", views.reckon_now, name="reckon"),
    path("queue/<str:number>/", views.move, name="move"),
    path("week/", views.week_page, name="week"),
    path("calendar/", views.feed_keys, name="keys"),
    path("calendar/make/", views.make_key, name="make_key"),
    path("calendar/<int:pk>/withdraw/", views.withdraw_key, name="withdraw_key"),
    path("calendar/<str:secret>.ics", views.feed, name="feed"),
    path("reminders/", views.reminders, name="reminders"),
    path("reminders/<slug:key>/send/", views.send_reminder, name="send_reminder"),
    path("reminders/<slug:key>/leave/", views.leave_reminder, name="leave_reminder"),
]
