"""One letter of the outbox: read, changed before it goes, let go; and whether letters wait to be looked at."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.keeping import outbox
from shop.keeping.models import Message
from shop.premises.forms.letters import LetterForm
from shop.premises.views.pages import page

OUTBOX = "premises:outbox"


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.COUNTER)
def letter(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A letter as it is or was sent; one that has not gone can be changed."""
    message = get_object_or_404(Message.objects.select_related("paper"), pk=pk)
    facts = {"to": message.to, "subject": message.subject, "body": message.body}
    form = LetterForm(request.POST or None, initial=facts)
    let_go = request.POST.get("go") == "now"
    return joint.answer(
        request,
        form,
        lambda key: outbox.change_message(
            message=message, **form.facts(), let_go=let_go, by=request.user, once_key=key
        ),
        then=reverse(OUTBOX) if let_go else reverse("premises:letter", args=[pk]),
        said="It goes with the next round." if let_go else "Kept. It waits here until you let it go.",
        page=lambda: page(request, "premises/letter.html", {"message": message, "form": form}),
    )


@require_POST
@for_roles(Role.OWNER)
def let_letters_wait(request: StaffRequest) -> HttpResponseBase:
    """Have letters looked at before they go, or go by themselves."""
    form, back, wait = PlainForm(request.POST), reverse(OUTBOX), not the_profile().letters_wait
    return joint.answer(
        request,
        form,
        lambda key: outbox.let_letters_wait(wait=wait, by=request.user, once_key=key),
        then=back,
        said="Letters wait here until you let them go." if wait else "Letters go by themselves.",
        page=lambda: joint.sent_back(request, form, back),
    )
