"""What may be typed at the counter, and the sentence for what may not."""

from __future__ import annotations

from shop.counter.forms.here import (
    AccessoryForm,
    MendAccessoryForm,
    PhotosForm,
    PromiseForm,
    ReceiveForm,
    ShelfForm,
    UnopenedForm,
    WordForm,
)
from shop.counter.forms.intake import MOST_UNITS, AnnouncementForm, ArrivalForm, ComingForm, IntakeForm
from shop.counter.forms.people import CustomerForm, NewCustomerForm
from shop.counter.forms.putting_right import PutRightForm

__all__ = [
    "MOST_UNITS",
    "AccessoryForm",
    "AnnouncementForm",
    "ArrivalForm",
    "ComingForm",
    "CustomerForm",
    "IntakeForm",
    "MendAccessoryForm",
    "NewCustomerForm",
    "PhotosForm",
    "PromiseForm",
    "PutRightForm",
    "ReceiveForm",
    "ShelfForm",
    "UnopenedForm",
    "WordForm",
]
