"""A repair that was talked through: the forms that bring its text or its recording, and note its runs of talk."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from shop.bench import hearing
from shop.bench.forms import BenchForm
from shop.bench.forms.time import MomentField
from shop.frame.formwork import TextField
from shop.handbook.spoken import NoTimedText, read_timed
from shop.handbook.spoken.timed import LARGEST


class BeganField(MomentField):
    """When a recording began."""

    def __init__(self, *, required: bool = False) -> None:
        super().__init__(
            label="The recording began",
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}),
            required=required,
            help_text="So that the time talked through can be saved as bench time.",
            error_messages={
                "required": "Say when it began.",
                "invalid": "Type the date and the time of day.",
            },
        )


class TalkForm(BenchForm):
    """The timed text of a repair that was talked through, pasted or as a file."""

    file = forms.FileField(
        label="File",
        required=False,
        help_text="Subtitles of the recording (.vtt, .srt), or text whose lines begin with a time, such as [1:05].",
        widget=forms.FileInput(attrs={"accept": ".vtt,.srt,.txt,text/plain,text/vtt"}),
        error_messages={"empty": "This file is empty."},
    )
    text = TextField(
        label="Or its text",
        required=False,
        rows=6,
        max_length=LARGEST,
        error_messages={"max_length": "The text is longer than 10 MB; give it in pieces."},
        help_text="Paste it here instead. Each line begins with its time: 0:02 lid is off",
    )
    clip = forms.CharField(
        label="Name of the footage",
        max_length=200,
        required=False,
        help_text="Each line that is saved names its moment in it.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    began_at = BeganField()

    def clean(self) -> dict[str, object]:
        """One text, of a form that can be read: said at its field where it can't."""
        data = super().clean() or self.cleaned_data
        name = "file" if data.get("file") else "text"
        if name in self.errors:
            return data
        try:
            text = self._text(data)
            told = bool(read_timed(text).cues)
        except NoTimedText as error:
            self.add_error(name, str(error))
        else:
            if not told:
                self.add_error(name, "Nothing in it could be read: no line has a time and words.")
            data["text"] = text
            data["clip"] = data.get("clip") or getattr(data.get("file"), "name", "")[:200]
        return data

    def _text(self, data: dict[str, Any]) -> str:
        """What was pasted, or what the file holds."""
        file = data.get("file")
        if file is None:
            text = str(data.get("text") or "")
            if not text.strip():
                raise NoTimedText("Choose a file, or paste its text.")
            return text.replace("\0", "\ufffd")
        if file.size > LARGEST:
            raise NoTimedText("The file is larger than 10 MB; give it in pieces.")
        try:
            text = file.read().decode("utf-8-sig")
        except UnicodeDecodeError:
            raise NoTimedText("This file is no text in UTF-8.") from None
        return str(text).replace("\0", "\ufffd")


class RunForm(BenchForm):
    """One run of talk, to be noted as bench time."""

    run = forms.IntegerField(min_value=0, max_value=100_000, widget=forms.HiddenInput)


_HEADS: tuple[tuple[int, bytes], ...] = (
    (8, b"WAVE"),
    (0, b"ID3"),
    (0, b"\xff\xfb"),
    (0, b"\xff\xf3"),
    (0, b"\xff\xf2"),
    (0, b"\xff\xf1"),
    (0, b"\xff\xf9"),
    (0, b"fLaC"),
    (0, b"OggS"),
    (4, b"ftyp"),
    (0, b"\x1aE\xdf\xa3"),
)
"""How recordings begin: WAV (RIFF), MP3, AAC, FLAC (RFC 9639), Ogg (RFC 3533), MP4, and WebM or Matroska (RFC 8794, 9559)."""


class RecordingForm(BenchForm):
    """A recording that this machine is to hear."""

    recording = forms.FileField(
        label="Recording",
        help_text="Sound or video of up to 200 MB; it is heard on this machine and not kept.",
        widget=forms.FileInput(attrs={"accept": "audio/*,video/*"}),
        error_messages={"required": "Choose a recording.", "empty": "This file is empty."},
    )
    began_at = BeganField()

    def clean_recording(self) -> UploadedFile:
        """A sound file or a video, by how it begins."""
        upload: UploadedFile = self.cleaned_data["recording"]
        if (upload.size or 0) > hearing.LARGEST:
            raise ValidationError("The recording is larger than 200 MB; give it in pieces.")
        head = upload.read(16)
        upload.seek(0)
        if not any(head[at : at + len(mark)] == mark for at, mark in _HEADS):
            raise ValidationError("This is no sound file and no video that can be heard here.")
        return upload

    def clean(self) -> dict[str, object]:
        """Nothing is taken that nobody here can hear."""
        data = super().clean() or self.cleaned_data
        if why := hearing.why_deaf():
            self.add_error(None, why)
        return data


class BeganForm(BenchForm):
    """When a recording began, said later."""

    began_at = BeganField(required=True)
