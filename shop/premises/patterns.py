"""Sample facts for the pattern page; all of it invented."""

from __future__ import annotations

import re
from pathlib import Path

from django import forms
from django.conf import settings

from shop.frame.whose_move import WhoseMove

# A grey card instead of a photograph.
PHOTO = (
    "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' width='320' height='240'%3E"
    "%3Crect width='320' height='240' fill='%23a79f8c'/%3E%3C/svg%3E"
)


class PatternForm(forms.Form):
    """Every kind of field once, so that the pattern page shows each with and without its error sentence."""

    name = forms.CharField(
        label="Customer’s name",
        max_length=120,
        help_text="As it should stand on the invoice.",
        widget=forms.TextInput(attrs={"class": "w-long", "autocomplete": "off"}),
        error_messages={"required": "Write the customer’s name, or a word by which you will know them."},
    )
    line_voltage = forms.DecimalField(
        label="Line voltage",
        max_value=480,
        required=False,
        help_text="What the rating plate says.",
        widget=forms.TextInput(attrs={"class": "w-short", "inputmode": "decimal"}),
        error_messages={
            "invalid": "Write the voltage in digits, such as 120.",
            "max_value": "The plate of a unit on AC power says at most 480 V; look again.",
        },
    )
    promised = forms.DateField(
        label="Promised for", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    shelf = forms.ChoiceField(
        label="Shelf",
        required=False,
        choices=[("", "Not shelved yet"), ("B3", "B3, by the window"), ("C1", "C1, heavy things")],
        widget=forms.Select(attrs={"class": "w-middle"}),
    )
    complaint = forms.CharField(
        label="Complaint, in the customer’s words",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"class": "w-long", "rows": 3}),
    )
    class_ = forms.ChoiceField(
        label="Protection class",
        choices=[("I", "Class I, grounded"), ("II", "Class II, double insulated"), ("0", "Not on AC power")],
        widget=forms.RadioSelect,
    )
    came_with = forms.MultipleChoiceField(
        label="Came with",
        required=False,
        choices=[("cord", "Cord"), ("remote", "Remote"), ("feet", "Feet"), ("manual", "Manual")],
        widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-few"}),
    )
    mains = forms.BooleanField(label="Runs on AC power", required=False)
    picture = forms.FileField(label="Photographs", required=False)


def icon_names() -> list[str]:
    """Return the names of all icons, as they stand in the sprite."""
    sprite = Path(settings.BASE_DIR) / "static" / "icons" / "sprite.svg"
    return re.findall(r'<symbol id="([\w-]+)"', sprite.read_text(encoding="utf-8"))


def pattern_context() -> dict[str, object]:
    """Return what the pattern page shows besides the form: stamps, verdicts and icons by name."""
    return {
        "movers": list(WhoseMove),
        "photo": PHOTO,
        "photos": ["Belt, as found", "Rework at Q302", "Label inside the lid", "After cleaning"],
        "icons": icon_names(),
        "verdicts": ["within", "low", "high", "open", "short", "close", "none"],
    }
