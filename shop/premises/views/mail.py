"""The server that letters are sent through: named, tried, forgotten."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.keeping import mail as kept
from shop.premises.forms.letters import MailServerForm, TryMailForm
from shop.premises.views.pages import page

of_the_owner = for_roles(Role.OWNER)
HERE = "premises:mail"


def _form(request: StaffRequest, *, sent: bool) -> MailServerForm:
    server = kept.the_server()
    initial = {
        name: getattr(server, name) for name in ("host", "port", "security", "user", "sender") if server
    }
    return MailServerForm(request.POST if sent else None, initial=initial, password_kept=kept.has_password())


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def mail(request: StaffRequest) -> HttpResponseBase:
    """Name the mail server; whether its password is set is shown, the password never."""
    form = _form(request, sent=request.method == "POST")
    return joint.answer(
        request,
        form,
        lambda key: kept.set_mail_server(
            **form.named(), password=form.cleaned_data["password"], by=request.user, once_key=key
        ),
        then=_here_still(request),
        said="Kept. Send a test letter to see whether it works.",
        page=lambda: _mail_page(request, form=form),
    )


@require_POST
@of_the_owner
def try_mail(request: StaffRequest) -> HttpResponseBase:
    """Send a letter at once and say what came of it."""
    form = TryMailForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: kept.try_mail(to=form.cleaned_data["to"], by=request.user, once_key=key),
        then=joint.way_back(request, reverse(HERE)),
        said="The server took the letter. Look whether it came.",
        page=lambda: _mail_page(request, try_form=form),
    )


@require_POST
@of_the_owner
def forget_mail(request: StaffRequest) -> HttpResponseBase:
    """Name no server any more."""
    form, back = PlainForm(request.POST), reverse(HERE)
    return joint.answer(
        request,
        form,
        lambda key: kept.forget_mail_server(by=request.user, once_key=key),
        then=back,
        said="Server and password are forgotten. Letters wait in the outbox.",
        page=lambda: joint.sent_back(request, form, back),
    )


def _here_still(request: StaffRequest) -> str:
    back = joint.came_from(request)
    return f"{reverse(HERE)}?{urlencode({joint.BACK: back})}" if back else reverse(HERE)


def _mail_page(
    request: StaffRequest, *, form: MailServerForm | None = None, try_form: TryMailForm | None = None
) -> HttpResponse:
    context = {
        "form": form or _form(request, sent=False),
        "try_form": try_form or TryMailForm(initial={"to": request.user.email or the_profile().email}),
        "server": kept.the_server(),
        "password_kept": kept.has_password(),
    }
    return page(request, "premises/mail.html", context)
