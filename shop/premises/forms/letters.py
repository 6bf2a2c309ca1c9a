"""A letter of the outbox, as it is changed before it goes."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.frame.formwork import PlainForm, TextField
from shop.keeping.letter_texts import LetterKind, wrong_fields
from shop.keeping.mail import ServerNamed
from shop.keeping.models import MailServer
from shop.premises.forms.shop import is_web_address


class LetterFacts(TypedDict):
    """A letter, as `change_message` takes it."""

    to: str
    subject: str
    body: str


class LetterForm(PlainForm):
    """To whom, about what, and what it says."""

    to = forms.EmailField(max_length=254)
    subject = forms.CharField(max_length=200)
    body = TextField(label="Letter", rows=14, max_length=20_000)

    def facts(self) -> LetterFacts:
        """The letter as it was typed."""
        data = self.cleaned_data
        return {"to": data["to"], "subject": data["subject"], "body": data["body"]}


class LetterTextForm(PlainForm):
    """The shop's own words for a kind of letter."""

    subject = forms.CharField(max_length=200, widget=forms.TextInput(attrs={"class": "w-long"}))
    body = TextField(label="Letter", rows=14, max_length=10_000)

    def __init__(self, *args: Any, kind: LetterKind, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind

    def clean(self) -> dict[str, object]:
        """Only fields that this letter has."""
        data = super().clean() or self.cleaned_data
        for name in ("subject", "body"):
            if wrong := wrong_fields(self.kind, str(data.get(name) or "")):
                self.add_error(name, wrong)
        return data


class MailServerForm(PlainForm):
    """The server that letters are sent through. The password is never shown again."""

    host = forms.CharField(label="Server", max_length=253, help_text="Such as mail.provider.example.")
    port = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=65535,
        help_text="Empty: the usual one.",
        widget=forms.TextInput(attrs={"class": "w-short", "inputmode": "numeric"}),
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), "A port is a whole number from 1 to 65,535."
        ),
    )
    security = forms.ChoiceField(
        label="Encryption", choices=MailServer.Security, widget=forms.RadioSelect, initial="starttls"
    )
    user = forms.CharField(
        label="User name",
        max_length=254,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    password = forms.CharField(
        max_length=500,
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    sender = forms.EmailField(
        label="Letters come from", max_length=254, required=False, help_text="Empty: the shop’s own address."
    )

    def __init__(self, *args: Any, password_kept: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["password"].help_text = (
            "Set. Empty: it stays, as long as server and user name stay." if password_kept else "Not set."
        )

    def clean_host(self) -> str:
        """A host's name or address, nothing besides."""
        host = str(self.cleaned_data["host"]).strip()
        if not is_web_address(f"https://{host}") or "/" in host or ":" in host:
            raise ValidationError("Write the server’s name alone, such as mail.provider.example.")
        return host

    def clean(self) -> dict[str, object]:
        """A password needs a user name, and neither goes over the network in the clear."""
        data = super().clean() or self.cleaned_data
        if data.get("password") and not data.get("user"):
            self.add_error("user", "A password needs a user name.")
        if data.get("user") and data.get("security") == MailServer.Security.NONE:
            self.add_error("security", "Without encryption everybody on the way reads the password.")
        return data

    def named(self) -> ServerNamed:
        """The server as it was typed."""
        data = self.cleaned_data
        return {
            "host": data["host"],
            "port": data["port"],
            "security": data["security"],
            "user": data["user"],
            "sender": data["sender"],
        }


class TryMailForm(PlainForm):
    """Where a letter is sent to see whether mail goes out."""

    to = forms.EmailField(label="Send a test letter to", max_length=254)
