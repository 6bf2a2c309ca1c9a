"""The one joint between a form and the action that takes it.

A view says which form, which action, where the shop goes on from there, and which page shows the form again:

    return answer(
        request,
        form,
        lambda key: actions.put_on_shelf(job=job, shelf=form.shelf, by=request.user, once_key=key),
        then=reverse("counter:job", args=[job.number]),
        said="Noted.",
        page=lambda: job_page(request, job.number, wrong=form),
    )

Taken: 303 to `then`. Taken before, by a double click or a tablet that lost the answer: the same answer again. Wrong or refused:
`page`, with what was typed and the sentence at its field. The action is called for a right form only, as a plain call that the
type checker reads: nothing is splatted into an unknown function.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar, cast

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.http import HttpResponseClientRedirect

from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken, taken_before
from shop.frame.refusal import Refusal

T = TypeVar("T")
Key = uuid.UUID | None
LONGEST_BACK = 200


class Sent(Protocol):
    """What a person sends and an action takes: a form, or a sheet of several of which one carries the key."""

    @property
    def is_bound(self) -> bool: ...

    @property
    def once_key(self) -> Key: ...

    @property
    def key_sent(self) -> str: ...

    def is_valid(self) -> bool: ...

    def refuse(self, refusal: Refusal) -> None: ...


@dataclass(frozen=True, slots=True)
class Taken(Generic[T]):
    """A form that its action took: what the action returned, unless this very form was taken before; `pk` is the row it made."""

    pk: int | None
    made: T | None = None
    before: bool = False


def taken(form: Sent, action: Callable[[Key], T]) -> Taken[T] | None:
    """Hand a form to its action, which gets the form's key. None where it isn't taken: the form says why not.

    A form that was taken before may be wrong now, or be refused, just because it was taken: its choices are gone.
    """
    try:
        if form.is_valid():
            made = action(form.once_key)
            return Taken(made.pk if isinstance(made, Model) else None, made)
    except AlreadyTaken as again:
        return Taken(again.result_id, before=True)
    except Refusal as refusal:
        form.refuse(refusal)
    key = taken_before(form.key_sent) if form.is_bound else None
    return Taken(key.result_id, before=True) if key is not None else None


def answer(
    request: HttpRequest,
    form: Sent,
    action: Callable[[Key], T],
    *,
    then: str | Callable[[int], str],
    page: Callable[[], HttpResponseBase],
    said: str | Callable[[T], str | Iterable[str]] = "",
    again: str = "",
) -> HttpResponseBase:
    """Hand a form to its action and answer the person who sent it.

    `then` is an address, or makes one of the id of the row that the action made (and returned). `said` is told on the next page,
    or made of what the action returned; `again` is told instead where the form was taken before. A form that was not sent yet is
    shown by `page` as well.
    """
    done = taken(form, action)
    if done is None:
        return page()
    if done.before:
        say(request, again, messages.INFO)
    else:
        say(request, said(cast("T", done.made)) if callable(said) else said)
    return see_other(request, then if isinstance(then, str) else then(done.pk or 0))


def say(request: HttpRequest, said: str | Iterable[str], level: int = messages.SUCCESS) -> None:
    """Tell a sentence, or several, on the next page."""
    for sentence in [said] if isinstance(said, str) else said:
        if sentence:
            messages.add_message(request, level, sentence)


def see_other(request: HttpRequest, address: str) -> HttpResponse:
    """Go on at `address` with a GET (RFC 9110, section 15.4.4). htmx loads it whole, not into a piece of this page."""
    if "HX-Request" in request.headers:
        return HttpResponseClientRedirect(address)
    response = HttpResponseRedirect(address)
    response.status_code = 303
    return response


BACK = "back"
"""The name under which a page is told where its person came from, and its forms lead back there."""


def way_back(request: HttpRequest, otherwise: str) -> str:
    """The page of this shop that the form's person came from (`{% way_back %}` in the form), else `otherwise`."""
    back = came_from(request)
    return back or otherwise


def came_from(request: HttpRequest) -> str:
    """Where this page's person came from: a path of this shop, or nothing."""
    back = request.POST.get(BACK) or request.GET.get(BACK) or ""
    inside = back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return back if inside and len(back) <= LONGEST_BACK else ""


def sent_back(request: HttpRequest, form: PlainForm, address: str) -> HttpResponse:
    """Back to a page that doesn't show the form again, such as a list with a button in each row; told there why not."""
    say(request, " ".join(str(one) for errors in form.errors.values() for one in errors), messages.ERROR)
    return see_other(request, address)
