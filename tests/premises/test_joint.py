"""The joint between a form and its action: taken, taken before, wrong and refused, with and without htmx."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django import forms
from django.contrib.messages.storage.base import BaseStorage, Message
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.test import RequestFactory

from shop.frame import joint
from shop.frame.formwork import PlainForm
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db


class NameForm(PlainForm):
    name = forms.CharField(max_length=20)


class Told(BaseStorage):
    """Messages of one request, kept in memory."""

    def _get(self, *_args: Any, **_kwargs: Any) -> tuple[list[Message], bool]:
        return [], True

    def _store(self, *_args: Any, **_kwargs: Any) -> list[Message]:
        return []

    @property
    def sentences(self) -> list[str]:
        return [str(one.message) for one in vars(self)["_queued_messages"]]


def sent(*, htmx: bool = False, **typed: str) -> HttpRequest:
    request = RequestFactory().post("/", typed, headers={"HX-Request": "true"} if htmx else None)
    request._messages = Told(request)  # type: ignore[attr-defined]
    return request


def told(request: HttpRequest) -> list[str]:
    storage: Told = request._messages  # type: ignore[attr-defined]
    return storage.sentences


def appoint(name: str, key: uuid.UUID | None) -> Staff:
    with acting(by=None, once=key) as act:
        if name == "Nobody":
            raise Refusal("Nobody can’t work here.", field="name")
        staff = StaffFactory.create(first_name=name)
        act.record("staff.appointed", subject=staff)
    return staff


def post(request: HttpRequest) -> HttpResponseBase:
    form = NameForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: appoint(form.cleaned_data["name"], key),
        then=lambda pk: f"/staff/{pk}/",
        said=lambda staff: f"{staff.first_name} works here.",
        again="That was sent already.",
        page=lambda: HttpResponse(str(form), status=422 if form.is_bound else 200),
    )


def test_a_form_that_is_taken_leads_on_to_what_it_made() -> None:
    request = sent(name="Odalys")
    answer = post(request)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/staff/{Staff.objects.get().pk}/")
    assert told(request) == ["Odalys works here."]


def test_the_same_form_again_is_answered_as_the_first_was() -> None:
    key = str(uuid.uuid4())
    first, request = post(sent(name="Odalys", once=key)), sent(name="Odalys", once=key)
    second = post(request)
    assert (second.status_code, second.headers["location"]) == (303, first.headers["location"])
    assert told(request) == ["That was sent already."]
    assert Staff.objects.count() == 1


@pytest.mark.parametrize("name", ["", "Nobody"])
def test_a_form_that_is_wrong_now_because_it_was_taken_is_answered_as_the_first_was(name: str) -> None:
    """Its choices are gone, or the action would refuse it a second time: the person who clicked twice did nothing wrong."""
    key = str(uuid.uuid4())
    first = post(sent(name="Odalys", once=key))
    assert post(sent(name=name, once=key)).headers["location"] == first.headers["location"]


@pytest.mark.parametrize("name, sentence", [("", "Name is missing."), ("Nobody", "Nobody can’t work here.")])
def test_a_wrong_form_and_a_refused_one_come_back_with_the_sentence_and_what_was_typed(
    name: str, sentence: str
) -> None:
    answer = post(sent(name=name, once=str(uuid.uuid4())))
    assert isinstance(answer, HttpResponse)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert f'value="{name}"' in page or not name
    assert not Staff.objects.exists()


def test_a_form_that_was_not_sent_yet_is_shown() -> None:
    request = RequestFactory().get("/")
    form = NameForm()
    answer = joint.answer(
        request, form, lambda key: appoint("", key), then="/", page=lambda: HttpResponse(str(form))
    )
    assert answer.status_code == 200


def test_htmx_is_sent_on_to_the_page_instead_of_putting_it_into_a_piece_of_this_one() -> None:
    answer = post(sent(name="Odalys", htmx=True))
    assert (answer.status_code, answer.headers["HX-Redirect"]) == (200, f"/staff/{Staff.objects.get().pk}/")


def test_a_list_tells_why_a_button_in_one_of_its_rows_was_refused() -> None:
    request = sent()
    form = PlainForm(request.POST)
    form.is_valid()
    form.refuse(Refusal("It was fitted already."))
    assert joint.sent_back(request, form, "/list/").status_code == 303
    assert told(request) == ["It was fitted already."]
