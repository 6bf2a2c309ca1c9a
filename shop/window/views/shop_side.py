"""Where the shop opens and closes the customer's page, reads what was said there, and answers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.frame.rooms import open_door
from shop.press.symbols import qr_svg
from shop.window import actions
from shop.window.forms import ReplyForm

staff = for_roles(Role.COUNTER, Role.BENCH)


@require_POST
@staff
def give_key(request: StaffRequest, number: str) -> HttpResponseBase:
    """Make a link for the customer and show it, with its QR code, to be printed or sent. It is shown this once."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = PlainForm(request.POST)
    done = joint.taken(form, lambda key: actions.open_window(job=job, by=request.user, once_key=key))
    if done is None:
        return joint.sent_back(request, form, _job_page(job))
    if done.made is None:
        messages.info(request, "That link was shown already. Make a new one if it is lost.")
        return joint.see_other(request, _job_page(job))
    link = _link(request, done.made)
    response = render(
        request, "window/link.html", {"job": job, "link": link, "code": qr_svg(link, module_mm=1.0)}
    )
    response["Cache-Control"] = "private, no-store"
    return response


@require_POST
@staff
def withdraw(request: StaffRequest, number: str) -> HttpResponseBase:
    """Make every link to this job's page open nothing."""
    job = get_object_or_404(whole_jobs(), number=number)
    count = actions.withdraw_keys(job=job, by=request.user)
    messages.success(request, "The links open nothing any more." if count else "There was no link.")
    return redirect(_job_page(job))


@require_POST
@staff
def reply(request: StaffRequest, number: str) -> HttpResponseBase:
    """Answer the customer on the page; what they said counts as seen."""
    job = get_object_or_404(whole_jobs(), number=number)
    form = ReplyForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.answer_word(
            job=job, text=form.cleaned_data["text"], by=request.user, once_key=key
        ),
        then=f"{_job_page(job)}#words",
        again="That was sent already.",
        page=lambda: _wrong_reply(request, job, form),
    )


def _wrong_reply(request: StaffRequest, job: Job, form: ReplyForm) -> HttpResponse:
    context = {"job": job, "reply_form": form, "standalone": True}
    return render(request, "window/reply.html", context, status=422)


@require_POST
@staff
def seen(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note that what the customer said was read."""
    job = get_object_or_404(whole_jobs(), number=number)
    actions.see_words(job=job, by=request.user)
    return redirect(
        (request.POST.get("next") == "first" and open_door("records:first_screen")) or _job_page(job)
    )


def _job_page(job: Job) -> str:
    return open_door("records:job_card", job.number) or reverse("counter:job", args=[job.number])


def _link(request: StaffRequest, secret: str) -> str:
    """The address as a customer's camera opens it: the profile's own, else that of this very request."""
    base = the_profile().web_address.rstrip("/")
    path = reverse("window:open", args=[secret])
    return f"{base}{path}" if base else request.build_absolute_uri(path)
