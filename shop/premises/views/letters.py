"""One letter of the outbox: read, changed before it goes, let go; and whether letters wait to be looked at."""

from __future__ import annotations

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.keeping import letter_texts as letter_texts_kept
from shop.keeping import outbox
from shop.keeping.letter_texts import LetterKind
from shop.keeping.models import Message
from shop.premises.forms.letters import LetterForm, LetterTextForm
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
        said="It goes with the next round." if let_go else "Kept. It waits here until you send it.",
        page=lambda: page(request, "premises/letter.html", {"message": message, "form": form}),
    )


@require_safe
@for_roles(Role.OWNER)
def letter_texts(request: StaffRequest) -> HttpResponse:
    """The kinds of letter, and whose words they are in."""
    own = letter_texts_kept.texts().own
    kinds = [(kind, kind.key in own) for kind in letter_texts_kept.all_kinds()]
    return page(request, "premises/letter_texts.html", {"kinds": kinds})


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.OWNER)
def letter_text(request: StaffRequest, key: str) -> HttpResponseBase:
    """What letters of one kind say, for the owner to change."""
    kind, texts = _kind(key), letter_texts_kept.texts()
    subject, body = texts.of(kind)
    form = LetterTextForm(request.POST or None, initial={"subject": subject, "body": body}, kind=kind)
    return joint.answer(
        request,
        form,
        lambda once: letter_texts_kept.write_text(
            kind=kind,
            subject=form.cleaned_data["subject"],
            body=form.cleaned_data["body"],
            by=request.user,
            once_key=once,
        ),
        then=reverse("premises:letter_texts"),
        said="Letters say that from now on.",
        page=lambda: page(
            request,
            "premises/letter_text.html",
            {"form": form, "kind": kind, "is_own": key in texts.own, "fields": kind.all_fields.items()},
        ),
    )


@require_POST
@for_roles(Role.OWNER)
def drop_letter_text(request: StaffRequest, key: str) -> HttpResponseBase:
    """Go back to the program's words."""
    kind, form = _kind(key), PlainForm(request.POST)
    back = reverse("premises:letter_text", args=[key])
    return joint.answer(
        request,
        form,
        lambda once: letter_texts_kept.drop_text(kind=kind, by=request.user, once_key=once),
        then=back,
        said="Letters say what they said at first.",
        page=lambda: joint.sent_back(request, form, back),
    )


def _kind(key: str) -> LetterKind:
    kind = letter_texts_kept.kind_named(key)
    if kind is None:
        raise Http404
    return kind


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
