"""The doors of the premises."""

from __future__ import annotations

from django.urls import URLPattern, path

from shop.premises import views_house
from shop.premises.views import books, doors, hours, letters, second_step, shop, staff, stored, tasks

app_name = "premises"
urlpatterns: list[URLPattern] = [
    path("house/", views_house.house, name="house"),
    path("theme/", views_house.set_theme, name="theme"),
    path("sign-in/", doors.sign_in, name="sign_in"),
    path("sign-in/code/", second_step.sign_in_code, name="sign_in_code"),
    path("sign-out/", doors.sign_out, name="sign_out"),
    path("account/", doors.password, name="password"),
    path("account/sessions/end/", doors.end_sessions, name="end_sessions"),
    path("account/second-step/", second_step.second_step, name="second_step"),
    path("account/second-step/set-up/", second_step.set_up, name="set_up_second_step"),
    path("account/second-step/codes/", second_step.new_spare_codes, name="new_spare_codes"),
    path("account/second-step/drop/", second_step.drop_second_step, name="drop_second_step"),
    path("profile/", shop.profile, name="profile"),
    path("profile/logo/", shop.change_logo, name="change_logo"),
    path("profile/logo/remove/", shop.remove_logo, name="remove_logo"),
    path("terms/", shop.terms, name="terms"),
    path("terms/<int:pk>/withdraw/", shop.withdraw_terms, name="withdraw_terms"),
    path("hours/", hours.hours, name="hours"),
    path("hours/off/", hours.add_days_off, name="add_days_off"),
    path("hours/off/<int:pk>/take-back/", hours.take_back_days_off, name="take_back_days_off"),
    path("hours/promises/", hours.set_promise_rules, name="set_promise_rules"),
    path("numbers/", shop.numbers, name="numbers"),
    path("numbers/set/", shop.set_number, name="set_number"),
    path("staff/", staff.staff, name="staff"),
    path("staff/add/", staff.add, name="add_staff"),
    path("staff/second-step/", second_step.require_second_step, name="require_second_step"),
    path("staff/door/", staff.set_door_rules, name="set_door_rules"),
    path("staff/<int:pk>/", staff.member, name="member"),
    path("staff/<int:pk>/change/", staff.change, name="change_staff"),
    path("staff/<int:pk>/password/", staff.give_password, name="give_password"),
    path("staff/<int:pk>/sessions/end/", staff.end_sessions, name="end_sessions_of"),
    path("staff/<int:pk>/retire/", staff.retire, name="retire_staff"),
    path("staff/<int:pk>/bring-back/", staff.bring_back, name="bring_back_staff"),
    path("staff/<int:pk>/second-step/", second_step.reset_second_step, name="reset_second_step"),
    path("journal/", books.journal, name="journal"),
    path("journal/verify/", books.verify_journal, name="verify_journal"),
    path("outbox/", books.outbox, name="outbox"),
    path("outbox/<int:pk>/", letters.letter, name="letter"),
    path("outbox/wait/", letters.let_letters_wait, name="let_letters_wait"),
    path("outbox/send/", books.send_outbox, name="send_outbox"),
    path("outbox/<int:pk>/again/", books.try_again, name="try_again"),
    path("outbox/<int:pk>/aside/", books.set_aside, name="set_aside"),
    path("tasks/", tasks.tasks, name="tasks"),
    path("tasks/told/", tasks.note_told, name="note_told"),
    path("tasks/<int:pk>/stop/", tasks.stop_task, name="stop_task"),
    path("tasks/<int:pk>/again/", tasks.try_task_again, name="try_task_again"),
    path("health/", books.health, name="health"),
    path("papers/<int:pk>/", stored.paper, name="paper"),
    path("pictures/<int:pk>/<slug:size>/", stored.picture, name="picture"),
    path("files/<int:pk>/", stored.kept_file, name="file"),
]
