"""The doors of the records."""

from __future__ import annotations

from django.urls import path

from shop.records.views import books, figures, libraries, lists, monitors, notes, people, search, whole

app_name = "records"
urlpatterns = [
    path("healthz", monitors.healthz, name="healthz"),
    path("", whole.first_screen, name="first_screen"),
    path("news/seen/", whole.news_seen, name="news_seen"),
    path("jobs/", lists.jobs, name="jobs"),
    path("jobs/<str:number>/", whole.job_card, name="job_card"),
    path("jobs/<str:number>/like-it/", whole.like_it, name="like_it"),
    path("jobs/<str:number>/comeback-of/<str:earlier>/", whole.note_comeback, name="note_comeback"),
    path("jobs/<str:number>/no-comeback/", whole.withdraw_comeback, name="withdraw_comeback"),
    path("models/", figures.models, name="models"),
    path("models/<int:pk>/", figures.model, name="model"),
    path("models/<int:pk>/about/", figures.describe_model, name="describe_model"),
    path("figures/", figures.figures, name="figures"),
    path("figures/across/", figures.across, name="across"),
    path("customers/<int:pk>/data/", people.data, name="customer_data"),
    path("customers/<int:pk>/forget/", people.forget, name="forget_customer"),
    path("merge/<str:kind>/<int:pk>/", people.merge, name="merge"),
    path("merge/<int:pk>/undo/", people.undo, name="undo_merge"),
    path("in-and-out/", books.books, name="books"),
    path("in-and-out/start/", books.start, name="start_batch"),
    path("in-and-out/<int:pk>/", books.batch, name="batch"),
    path("in-and-out/<int:pk>/match/", books.match, name="match_batch"),
    path("in-and-out/<int:pk>/header/", books.header, name="batch_header"),
    path("in-and-out/<int:pk>/go-on/", books.go_on, name="go_on_batch"),
    path("in-and-out/<int:pk>/undo/", books.undo, name="undo_batch"),
    path("in-and-out/<int:pk>/throw-away/", books.throw_away, name="throw_batch_away"),
    path("in-and-out/<int:pk>/not-taken.csv", books.errors, name="batch_errors"),
    path("in-and-out/lists/<slug:name>.csv", books.sheet, name="sheet"),
    path("in-and-out/open-repair.csv", books.open_repair, name="open_repair"),
    path("in-and-out/repair-notes/", notes.repair_notes_page, name="repair_notes"),
    path("in-and-out/repair-notes.json", notes.repair_notes_file, name="repair_notes_file"),
    path("in-and-out/repair-notes.schema.json", notes.repair_notes_schema, name="repair_notes_schema"),
    path("in-and-out/book/", books.whole_book, name="whole_book"),
    path("in-and-out/book/<int:pk>.zip", books.fetch_book, name="fetch_book"),
    path("libraries/start/", libraries.start, name="start_library"),
    path("libraries/<int:pk>/", libraries.library, name="library"),
    path("libraries/<int:pk>/choose/", libraries.choose, name="choose_library"),
    path("libraries/<int:pk>/throw-away/", libraries.throw_away, name="throw_library_away"),
    path("search/", search.search, name="search"),
    path("search/found.csv", books.found, name="found"),
    path("search/keep/", search.save_search, name="save_search"),
    path("search/kept/<int:pk>/forget/", search.forget_search, name="forget_search"),
    path("search/words/", search.synonyms, name="synonyms"),
    path("search/words/<int:pk>/", search.change_synonym, name="change_synonym"),
]
