"""Form fields that take in pictures: photographs from the camera, and signatures drawn in the browser."""

from __future__ import annotations

import base64
from typing import Any, Unpack

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile

from shop.frame.formwork import FieldWords, TextWords
from shop.frame.refusal import Refusal
from shop.keeping.pictures import develop_ahead

MOST_DRAWN = 400_000  # characters of a drawn signature as the browser sends it
DRAWN_AS = "data:image/png;base64,"


class SeveralFilesInput(forms.FileInput):
    """A file control that takes several at once."""

    allow_multiple_selected = True

    def __init__(self, attrs: dict[str, object] | None = None) -> None:
        super().__init__({"multiple": True, **(attrs or {})})

    def value_from_datadict(self, data: object, files: Any, name: str) -> Any:
        """Every upload of that name."""
        return files.getlist(name) if hasattr(files, "getlist") else files.get(name)


class PhotosField(forms.FileField):
    """Photographs, several at once from the camera; the clean value is a list of uploads."""

    def __init__(self, **kwargs: Unpack[FieldWords]) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("widget", SeveralFilesInput(attrs={"accept": "image/*", "capture": "environment"}))
        super().__init__(**kwargs)

    def clean(self, data: object, initial: object = None) -> list[object]:
        """Each upload by itself, developed already, so that what is no picture is said here and no act has to wait."""
        uploads = data if isinstance(data, list | tuple) else [data] if data else []
        clean = [super(PhotosField, self).clean(upload, initial) for upload in uploads]
        try:
            for upload in clean:
                develop_ahead(upload)
        except Refusal as refusal:
            raise ValidationError(refusal.sentence) from refusal
        return clean


class DrawnField(forms.CharField):
    """A signature drawn in the browser; its clean value is a picture for `take_picture`, or None where nothing was drawn.

    `parts/signature.html` shows the box to draw in, `js/signature.js` fills the hidden field; without script it stays empty.
    """

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("required", False)
        kwargs.setdefault("max_length", MOST_DRAWN)
        kwargs.setdefault("widget", forms.HiddenInput)
        super().__init__(**kwargs)

    def clean(self, value: object) -> ContentFile[bytes] | None:
        """Read the picture, developed already, or say in one sentence why it can't be read."""
        drawn = super().clean(value)
        if not drawn:
            return None
        try:
            upload = ContentFile(
                base64.b64decode(drawn.removeprefix(DRAWN_AS), validate=True), name="signature.png"
            )
            develop_ahead(upload)
        except (ValueError, Refusal) as error:
            raise ValidationError("The signature can’t be read; draw it once more.") from error
        return upload
