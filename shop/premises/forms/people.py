"""What may be typed at the door and on the pages about the people who work here."""

from __future__ import annotations

from typing import Any, TypedDict

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shop.frame.formwork import PlainForm
from shop.frame.models import Role, Staff
from shop.premises.second_step import CODE_DIGITS, SPARE_DIGITS


class SignInForm(forms.Form):
    """Name and password."""

    username = forms.CharField(
        label="Name",
        max_length=150,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "autofocus": True}
        ),
        error_messages={"required": "Write your sign-in name."},
    )
    password = forms.CharField(
        label="Password",
        max_length=1000,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Write your password."},
    )


def _new_password(label: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=1000,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class RolesField(forms.MultipleChoiceField):
    """What somebody may do; at least one role."""

    def __init__(self) -> None:
        super().__init__(
            label="May work at",
            choices=[
                (Role.COUNTER, "Counter: customers, booking in, prices, parcels"),
                (Role.BENCH, "Bench: findings, parts, safety checks"),
                (Role.OWNER, "Owner: everything, and this page"),
            ],
            widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-list"}),
            error_messages={"required": "Choose at least one place to work at."},
        )


def _own_password(words: str) -> forms.CharField:
    return forms.CharField(
        label="Your own password",
        required=False,
        max_length=1000,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        help_text=words,
    )


class StaffFacts(TypedDict):
    """Somebody who works here, as `add_staff` and `change_staff` take them."""

    first_name: str
    last_name: str
    employee_number: str
    email: str
    roles: list[str]


class StaffForm(PlainForm):
    """Somebody who works here, and what they may do."""

    first_name = forms.CharField(label="First name", max_length=150, required=False)
    last_name = forms.CharField(label="Last name", max_length=150)
    employee_number = forms.CharField(
        label="Employee number",
        max_length=20,
        required=False,
        widget=forms.TextInput(attrs={"class": "w-short", "autocomplete": "off"}),
        help_text="Stands beside the name on papers where the law asks for one.",
    )
    email = forms.EmailField(
        label="E-mail", required=False, max_length=254, error_messages={"invalid": "Write the whole address."}
    )
    roles = RolesField()
    own = _own_password("Only where you make somebody an owner: an owner may do everything.")

    @classmethod
    def facts_of(cls, staff: Staff) -> dict[str, object]:
        """What the form starts with."""
        names = ("first_name", "last_name", "employee_number", "email")
        return {**{name: getattr(staff, name) for name in names}, "roles": sorted(staff.roles)}

    def facts(self) -> StaffFacts:
        """What was typed of the person."""
        data = self.cleaned_data
        return {
            "first_name": data["first_name"],
            "last_name": data["last_name"],
            "employee_number": data["employee_number"],
            "email": data["email"],
            "roles": data["roles"],
        }


class PasswordTwiceForm(PlainForm):
    """A new password, typed twice; `user` is whom it is for."""

    password = _new_password("New password")
    again = _new_password("New password, once more")

    def __init__(self, *args: object, user: Staff | None = None, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.user = user
        self.fields["password"].help_text = "At least ten characters; a few words in a row are easy to keep."

    def clean(self) -> dict[str, object]:
        """Both alike, and not one that is guessed at once."""
        cleaned = super().clean() or self.cleaned_data
        password, again = cleaned.get("password"), cleaned.get("again")
        if password and again and password != again:
            self.add_error("again", "The two passwords differ; write the same one twice.")
        elif password:
            try:
                validate_password(password, self.user)
            except ValidationError as error:
                self.add_error("password", error.messages[0])
        return cleaned


class GivenPasswordForm(PasswordTwiceForm):
    """A new password for somebody else; for an owner's account with one's own."""

    own = _own_password("This is an owner’s account.")

    def __init__(self, *args: object, user: Staff | None = None, **kwargs: object) -> None:
        super().__init__(*args, user=user, **kwargs)
        if not (self.user and self.user.is_owner):
            del self.fields["own"]


class NewStaffForm(StaffForm, PasswordTwiceForm):
    """A new account."""

    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        validators=[Staff.username_validator],
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    field_order = (
        "first_name",
        "last_name",
        "username",
        "employee_number",
        "email",
        "roles",
        "password",
        "again",
        "own",
    )


class OwnPasswordForm(PlainForm):
    """One's own password, asked again before something about one's account is changed."""

    old = forms.CharField(
        label="Your password",
        max_length=1000,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class ChangePasswordForm(OwnPasswordForm, PasswordTwiceForm):
    """One's own password, and another for it."""

    field_order = ("old", "password", "again")

    def __init__(self, *args: object, user: Staff | None = None, **kwargs: object) -> None:
        super().__init__(*args, user=user, **kwargs)
        self.fields["old"].label = "Current password"


class DoorRulesForm(PlainForm):
    """How long one stays signed in, and how long a tablet keeps bench pages."""

    idle_hours_owner = forms.IntegerField(label="Owners, hours", min_value=1, max_value=336)
    idle_hours_counter = forms.IntegerField(label="Counter, hours", min_value=1, max_value=336)
    idle_hours_bench = forms.IntegerField(
        label="Bench, hours",
        min_value=12,
        max_value=336,
        help_text="At least 12, so that a tablet at the bench lasts a working day.",
    )
    kept_hours = forms.IntegerField(
        label="Tablets keep bench pages, hours",
        min_value=1,
        max_value=336,
        help_text="What opens without network is put away by then, signed in or not. Notes that wait to be sent stay.",
    )

    def __init__(self, *args: object, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.IntegerField):
                field.widget.attrs["class"] = "w-short"


# --- the second step ------------------------------------------------------------------------------------------


class CodeForm(PlainForm):
    """A code of the second step: six digits of the app, or the ten of a spare code. Blanks and dashes are left aside."""

    code = forms.CharField(
        label="Code",
        max_length=20,
        widget=forms.TextInput(
            attrs={"class": "w-short", "autocomplete": "one-time-code", "inputmode": "numeric"}
        ),
        error_messages={"required": "Write the code that your app shows."},
    )

    def clean_code(self) -> str:
        """The bare digits."""
        code = "".join(sign for sign in str(self.cleaned_data["code"]) if sign not in " -\N{NO-BREAK SPACE}")
        if not (code.isascii() and code.isdigit() and len(code) in {CODE_DIGITS, SPARE_DIGITS}):
            raise ValidationError("A code of the app has six digits, a spare code has ten.")
        return code


class FirstCodeForm(CodeForm, OwnPasswordForm):
    """What sets the second step up: a code that proves that the app has the key, and one's password."""

    field_order = ("code", "old")
