"""Long work: how far it is, what is left, and a way to stop it. Everybody sees what they asked for, an owner everything."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.keeping import tasks as work
from shop.keeping.models import Task
from shop.keeping.tasks import queries
from shop.premises.views.pages import page

PIECE = "tasks"


@require_safe
def tasks(request: StaffRequest) -> HttpResponse:
    """The last tasks, newest first; the list draws itself anew as long as something is being done."""
    shown = queries.tasks_of(request.user)
    context = {"shown": shown, "going": any(one.is_open for one in shown), "form": PlainForm()}
    if request.headers.get("HX-Target") == PIECE:
        return render(request, "premises/parts/tasks.html", context)
    return page(request, "premises/tasks.html", {**context, "alone": queries.nobody_works()})


@require_POST
def stop_task(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Stop a task."""
    task, form = _touched(request, pk), PlainForm(request.POST)
    back = joint.way_back(request, reverse("premises:tasks"))
    return joint.answer(
        request,
        form,
        lambda key: work.stop(task=task, by=request.user, once_key=key),
        then=back,
        said="It stops as soon as it can.",
        page=lambda: joint.sent_back(request, form, back),
    )


@require_POST
def try_task_again(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Have a task that failed or was stopped go on."""
    task, form, back = _touched(request, pk), PlainForm(request.POST), reverse("premises:tasks")
    return joint.answer(
        request,
        form,
        lambda key: work.try_again(task=task, by=request.user, once_key=key),
        then=back,
        said="It goes on.",
        page=lambda: joint.sent_back(request, form, back),
    )


@require_POST
def note_told(request: StaffRequest) -> HttpResponseBase:
    """Somebody has read on the first screen what is done."""
    work.note_told(staff=request.user)
    messages.info(request, "Noted.")
    return joint.see_other(request, reverse("records:first_screen"))


def _touched(request: StaffRequest, pk: int) -> Task:
    task = get_object_or_404(Task, pk=pk)
    if not queries.may_touch(task, request.user):
        raise Http404
    return task
