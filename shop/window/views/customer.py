"""What the customer opens with a link. Nobody signs in here; the link is the key, and nothing of it is kept anywhere."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import joint
from shop.frame.formwork import PlainForm
from shop.keeping.handing_out import hand_out_paper, hand_out_picture
from shop.office.actions import withdraw_contract as take_back
from shop.premises.signing_in import client_address
from shop.window import actions
from shop.window.forms import AnswerForm, WithdrawForm, WordForm
from shop.window.keys import count_wrong_key, key_of, must_wait
from shop.window.page import WindowPage

P = ParamSpec("P")
Opened = Callable[Concatenate[HttpRequest, str, WindowPage, P], HttpResponseBase]


def with_key(view: Opened[P]) -> Callable[..., HttpResponseBase]:
    """Open the page that the secret in the link belongs to. The answer stays out of caches and search engines."""

    @login_not_required
    @wraps(view)
    def opened(request: HttpRequest, secret: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        key = key_of(secret)
        if key is not None:
            return _private(view(request, secret, WindowPage(key.job), *args, **kwargs))
        if must_wait(request):
            return _private(render(request, "window/closed.html", {"wait": True}, status=429))
        count_wrong_key(request)
        return _private(render(request, "window/closed.html", status=404))

    return opened


def _private(response: HttpResponseBase) -> HttpResponseBase:
    response["Cache-Control"] = "private, no-store"
    # not “no-referrer”: the browser would then send forms as if from nowhere, and they would be refused as a stranger's
    response["Referrer-Policy"] = "same-origin"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


@require_safe
@with_key
def open_page(request: HttpRequest, secret: str, page: WindowPage) -> HttpResponse:
    """Where the unit is, what was asked, what was said."""
    return _page(request, secret, page)


@require_POST
@with_key
def answer(request: HttpRequest, secret: str, page: WindowPage) -> HttpResponseBase:
    """The customer's answer to the estimate that the page showed; to another one it is no answer."""
    if page.estimate is None:
        raise Http404
    if request.POST.get("estimate") != str(page.estimate.pk):
        return _page(request, secret, page, replaced=True)
    form, estimate = _answer_form(page, request.POST), page.estimate
    return joint.answer(
        request,
        form,
        lambda key: actions.answer_estimate(
            job=page.job,
            estimate=estimate,
            **form.facts(),
            address_seen=_address(request),
            once_key=key,
        ),
        then=reverse("window:open", args=[secret]),
        page=lambda: _page(request, secret, page, answer_form=form),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@with_key
def withdraw_contract(request: HttpRequest, secret: str, page: WindowPage) -> HttpResponseBase:
    """Take a contract back that was concluded at a distance: say who, then confirm (Directive 2011/83/EU Art. 11a)."""
    contract = page.contract
    if contract is None:
        return redirect("window:open", secret)
    customer = page.job.customer
    form = WithdrawForm(request.POST or None, initial={"given_by": customer.name, "email": customer.email})
    context = {"secret": secret, "page": page, "job": page.job, "contract": contract, "form": form}
    return joint.answer(
        request,
        form,
        lambda key: take_back(
            job=page.job,
            given_by=form.cleaned_data["given_by"],
            email=form.cleaned_data["email"],
            address_seen=_address(request),
            once_key=key,
        ),
        then=reverse("window:open", args=[secret]),
        page=lambda: render(request, "window/withdraw.html", context, status=422 if form.is_bound else 200),
    )


@require_POST
@with_key
def say_word(request: HttpRequest, secret: str, page: WindowPage) -> HttpResponseBase:
    """A word from the customer."""
    form = WordForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.say_word(job=page.job, text=form.cleaned_data["text"], once_key=key),
        then=reverse("window:open", args=[secret]),
        page=lambda: _page(request, secret, page, word_form=form),
    )


@require_safe
@with_key
def paper(request: HttpRequest, secret: str, page: WindowPage, pk: int) -> HttpResponseBase:
    """One of the papers that the customer was given."""
    one = next((paper for paper in page.papers if paper.pk == pk), None)
    if one is None:
        raise Http404
    return hand_out_paper(request, one)


@require_safe
@with_key
def picture(_request: HttpRequest, _secret: str, page: WindowPage, pk: int, size: str) -> HttpResponseBase:
    """One of the photographs that the shop chose to show."""
    one = next((shown for shown in page.pictures if shown.picture_id == pk), None)
    if one is None:
        raise Http404
    return hand_out_picture(one.picture, size)


def _answer_form(page: WindowPage, data: QueryDict | None = None) -> AnswerForm:
    return AnswerForm(data, lines=page.lines, agreed_before=page.agreed_before, distance=page.distance)


def _page(
    request: HttpRequest,
    secret: str,
    page: WindowPage,
    *,
    answer_form: PlainForm | None = None,
    word_form: PlainForm | None = None,
    replaced: bool = False,
) -> HttpResponse:
    context = {
        "secret": secret,
        "page": page,
        "job": page.job,
        "answer_form": answer_form or _answer_form(page),
        "word_form": word_form or WordForm(),
        "replaced": replaced,
    }
    wrong = answer_form is not None or word_form is not None or replaced
    return render(request, "window/window.html", context, status=422 if wrong else 200)


def _address(request: HttpRequest) -> str | None:
    """The address that an answer came from; nothing when it is no single address."""
    address = client_address(request)
    return address if address and "/" not in address else None
