"""What a person may type in the records, and the sentence they get when it is wrong."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from typing import TypedDict, cast

from django import forms
from django.core.exceptions import ValidationError

from shop.counter.keys import model_key, name_key
from shop.counter.models import Kind, UnitModel
from shop.dispatch.forms.fields import WeightField
from shop.dispatch.measures import grams_in
from shop.frame import clock
from shop.frame.formwork import PlainForm, TextField
from shop.handbook.cautions import Trait
from shop.handbook.openrepair import OUR_CATEGORIES
from shop.handbook.words import stored_tokens
from shop.records.bringing_in.columns import COLUMNS
from shop.records.bringing_in.outcomes import MEANINGS, Word
from shop.records.models import Batch, Library
from shop.records.named_elsewhere import Place

MOST_PHRASES = 12
LARGEST_LIST = 40 << 20
FIRST_BUILT = 1880
MOST_TWINS = 20
LONGEST_ROW_SHOWN = 80


class SaveSearchForm(PlainForm):
    """Keep the present search under a name."""

    name = forms.CharField(max_length=80, label="Keep this search as")
    query = forms.CharField(max_length=400, widget=forms.HiddenInput, label="Search")


class SynonymForm(PlainForm):
    """One row of words that mean the same."""

    words = forms.CharField(
        max_length=300,
        label="Words that mean the same",
        help_text="With commas: scratchy, crackles, noisy pot",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean_words(self) -> str:
        """At least two different words or phrases, each with a letter or digit in it."""
        phrases = [" ".join(phrase.split()) for phrase in self.cleaned_data["words"].split(",")]
        meant = {stored_tokens(phrase): phrase for phrase in phrases if stored_tokens(phrase)}
        if len(meant) < 2:
            raise ValidationError("Type two words or more that differ, with commas between them.")
        if len(meant) > MOST_PHRASES:
            raise ValidationError(
                f"Up to {MOST_PHRASES} words go into one row; make a second row of the rest."
            )
        return ", ".join(meant.values())


class BatchForm(PlainForm):
    """A list of old jobs as a file."""

    file = forms.FileField(
        label="List of old jobs",
        help_text="CSV or XLSX, one job a row, with a header. Nothing is imported before you have seen how it is read.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={"required": "Choose a file.", "empty": "This file is empty."},
    )

    def clean_file(self) -> object:
        """Neither too large nor something else."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_LIST:
            raise ValidationError(
                f"This file is larger than {LARGEST_LIST >> 20} MB. Split it, or use the command bring_in."
            )
        return file


class LibraryForm(PlainForm):
    """Records that others published, as a file."""

    file = forms.FileField(
        label="Records that others published",
        help_text="A file of the Open Repair Data Standard, or another list. It becomes no jobs and is in no figure.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={"required": "Choose a file.", "empty": "This file is empty."},
    )
    clean_file = BatchForm.clean_file


class CategoriesForm(PlainForm):
    """Which categories of a library are kept, and what stands beside each record."""

    attribution = forms.CharField(
        max_length=200,
        label="Source and license",
        help_text="Stands beside every record: who published it, and under which license.",
    )
    categories = forms.MultipleChoiceField(
        label="Categories",
        widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-few"}),
        error_messages={"required": "Choose one category at least."},
    )

    def __init__(self, *args: object, library: Library, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.initial["attribution"] = library.attribution
        self.initial["categories"] = likely_categories(library)
        field = cast("forms.MultipleChoiceField", self.fields["categories"])
        likely = self.initial["categories"]
        ordered = sorted(library.categories.items(), key=lambda one: one[0] not in likely)
        field.choices = [(name, f"{name} ({rows:,})") for name, rows in ordered]


def likely_categories(library: Library) -> list[str]:
    """The categories that this trade works on; all, where a list has others than the standard's."""
    ours = [name for name in library.categories if name in OUR_CATEGORIES]
    return ours or list(library.categories)


class NotesForm(PlainForm):
    """Which repairs are offered for publishing."""

    since = forms.DateField(
        label="Gone home since",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": "This is no day."},
    )
    kinds = forms.MultipleChoiceField(
        label="Kinds of unit",
        required=False,
        choices=Kind.choices,
        help_text="All, where none is marked.",
        widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-few"}),
    )
    sure = forms.BooleanField(label="Only what was measured, swapped or cured by this alone", required=False)


class MatchForm(PlainForm):
    """Which column of the list holds what, and what its words for outcomes mean."""

    def __init__(self, *args: object, batch: Batch, words: Sequence[Word], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        choices = [
            ("", "not in this list"),
            *((str(at), name or f"column {at + 1}") for at, name in enumerate(batch.header)),
        ]
        for column in COLUMNS:
            self.fields[column.key] = forms.ChoiceField(
                choices=choices,
                required=column.required,
                label=column.label,
                initial=str(batch.columns.get(column.key, "")),
                error_messages={"required": f"Choose the column that holds it: {column.label.lower()}."},
            )
        self._words = {f"means_{at}": word for at, word in enumerate(words)}
        for name, word in self._words.items():
            self.fields[name] = forms.ChoiceField(
                choices=[("", "not known, kept as a note"), *MEANINGS],
                required=False,
                label=f"“{word.written}” ({word.rows:,} row{'' if word.rows == 1 else 's'})",
                initial=word.means,
            )

    @property
    def column_fields(self) -> list[forms.BoundField]:
        """The choices of columns."""
        return [self[column.key] for column in COLUMNS]

    @property
    def word_fields(self) -> list[forms.BoundField]:
        """The choices of what words mean."""
        return [self[name] for name in self._words]

    @property
    def columns(self) -> dict[str, int]:
        """The place of the column chosen for each thing."""
        return {
            column.key: int(self.cleaned_data[column.key])
            for column in COLUMNS
            if self.cleaned_data.get(column.key)
        }

    @property
    def words(self) -> dict[str, str]:
        """What was chosen for each word that the page asked about."""
        return {
            word.key: self.cleaned_data[name]
            for name, word in self._words.items()
            if self.cleaned_data.get(name)
        }

    def clean(self) -> dict[str, object]:
        """No column means two things."""
        data = super().clean() or self.cleaned_data
        taken: dict[str, str] = {}
        for column in COLUMNS:
            at = data.get(column.key)
            if at and at in taken:
                self.add_error(column.key, f"This column was chosen for “{taken[at].lower()}” already.")
            elif at:
                taken[at] = column.label
        return data


class HeaderForm(PlainForm):
    """Which row of the sheet holds the headings."""

    row = forms.TypedChoiceField(coerce=int, label="Row with the headings")

    def __init__(
        self, *args: object, batch: Batch, first: Sequence[tuple[int, Sequence[str]]], **kwargs: object
    ) -> None:
        super().__init__(*args, initial={"row": batch.header_row}, **kwargs)
        field = cast("forms.TypedChoiceField", self.fields["row"])
        field.choices = [
            (number, f"{number}: {', '.join(filter(None, map(str.strip, cells)))[:LONGEST_ROW_SHOWN]}")
            for number, cells in first
        ]


class ForgetForm(PlainForm):
    """The customer's name, typed once more, since what is forgotten can't be brought back; and where else it goes."""

    elsewhere = forms.MultipleChoiceField(
        required=False,
        label="Take the name out here as well",
        widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-list"}),
    )
    typed = forms.CharField(
        max_length=160,
        label="Type the name to forget it",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: object, name: str, places: Sequence[Place] = (), **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.name = name
        self.initial["elsewhere"] = [place.key for place in places if place.sure]
        field = cast("forms.MultipleChoiceField", self.fields["elsewhere"])
        field.choices = [(place.key, f"{place.where}: {place.excerpt}") for place in places]
        if not places:
            del self.fields["elsewhere"]

    def clean_typed(self) -> str:
        """The very name."""
        typed = str(self.cleaned_data["typed"])
        if " ".join(typed.split()).casefold() != " ".join(self.name.split()).casefold():
            raise ValidationError(f"That is not the name; it is written “{self.name}”.")
        return typed


class ModelFacts(TypedDict):
    """What the shop knows of a model, as `describe_model` takes it."""

    kind: str
    family: str
    built: tuple[dt.date, dt.date] | None
    weight_grams: int | None
    traits: list[str]
    twins: list[UnitModel]
    notes: str


class ModelForm(PlainForm):
    """What the shop knows of a model as a whole."""

    kind = forms.ChoiceField(choices=Kind, label="Kind of unit")
    family = forms.CharField(
        max_length=80,
        required=False,
        help_text="The series that shares most of its circuits: what fixed one of it is told for the others too.",
    )
    built = forms.CharField(
        max_length=20,
        required=False,
        label="Years made",
        help_text="1979, or 1979 to 1982",
        widget=forms.TextInput(attrs={"class": "w-short", "autocomplete": "off"}),
    )
    weight = WeightField(required=False, help_text="12.4 kg, or 27 lb 5 oz")
    traits = forms.MultipleChoiceField(
        choices=[(one.name.lower(), one.value.capitalize()) for one in Trait if one != Trait.MAINS],
        required=False,
        label="What of it can hurt",
        help_text="Cautions are shown for it at the bench and while packing.",
        widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-few"}),
    )
    twins = TextField(
        required=False,
        label="The same chassis under another name",
        help_text="Maker and model of those that the shop knows, each on a line of its own.",
    )
    notes = TextField(required=False)

    def __init__(self, *args: object, model: UnitModel, **kwargs: object) -> None:
        super().__init__(*args, initial=_as_known(model), **kwargs)
        self.model = model

    def clean_built(self) -> tuple[dt.date, dt.date] | None:
        """The first day of the first year and the last of the last."""
        typed = self.cleaned_data["built"]
        if not typed:
            return None
        found = re.fullmatch(r"(\d{4})(?:\D+(\d{4}))?", typed)
        first, last = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
        if not FIRST_BUILT <= first <= last <= clock.today().year:
            raise ValidationError("Type a year, or the first and the last, such as 1979 to 1982.")
        return dt.date(first, 1, 1), dt.date(last, 12, 31)

    def clean_twins(self) -> list[UnitModel]:
        """The models that the lines name."""
        lines = list(filter(None, map(str.strip, self.cleaned_data["twins"].splitlines())))
        if len(lines) > MOST_TWINS:
            raise ValidationError(f"Up to {MOST_TWINS} are kept.")
        return [self._named(line) for line in lines]

    def _named(self, line: str) -> UnitModel:
        others = UnitModel.objects.filter(merged_into__isnull=True).exclude(pk=self.model.pk)
        words = line.split()
        for at in range(1, len(words)):
            maker, name = name_key(*words[:at]), model_key(" ".join(words[at:]))
            found = others.filter(maker__folded=maker, folded=name).first()
            if found is not None:
                return found
        raise ValidationError(
            f"The shop knows no other model “{line[:60]}”. Write its maker and model as its file has it."
        )

    def facts(self) -> ModelFacts:
        """What was told of the model."""
        data = self.cleaned_data
        return {
            "kind": data["kind"],
            "family": data["family"],
            "built": data["built"],
            "weight_grams": None if data["weight"] is None else grams_in(data["weight"]),
            "traits": data["traits"],
            "twins": data["twins"],
            "notes": data["notes"],
        }


def _as_known(model: UnitModel) -> dict[str, object]:
    years = [str(day.year) for day in (model.built_from, model.built_to) if day]
    known = {str(one).casefold().replace("-", "_") for one in model.traits}
    return {
        "kind": model.kind,
        "family": model.family,
        "built": " to ".join(dict.fromkeys(years)),
        "weight": f"{model.weight_grams / 1000:g} kg" if model.weight_grams else "",
        "traits": [one.name.lower() for one in Trait if {one.name.lower(), one.value} & known],
        "twins": "\n".join(
            str(one) for one in model.twins.filter(merged_into__isnull=True).select_related("maker")
        ),
        "notes": model.notes,
    }
