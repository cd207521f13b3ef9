"""Forms of a processing day: a new one, more files for it, and what the columns of a file are."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet

from herd.accounts.models import Outfit
from herd.intake.columns.kinds import COLUMN_KINDS, DATED_KINDS
from herd.intake.days import GivenFile
from herd.registry.models import Group

TYPED_LIST = "typed list.txt"
NAME_LENGTH = 200
TYPED_LENGTH = 1_000_000
UNITS = [("", "as the outfit weighs"), ("lb", "pounds"), ("kg", "kilograms")]
ORDERS = [
    ("", "as the cells prove it"),
    ("DMY", "day, month, year"),
    ("MDY", "month, day, year"),
    ("YMD", "year, month, day"),
]
# The form fields of more columns than this would pass Django's bound on the fields of one request.
COLUMNS_SHOWN = 200


class FilesInput(forms.ClearableFileInput):
    """A file input that takes several files at once."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Several files; empty ones pass, because the day page says of each file what is wrong with it."""

    widget = FilesInput

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        """Return the files that were sent, in the order sent."""
        sent = data if isinstance(data, list | tuple) else [data]
        return [upload for upload in sent if upload is not None]


class FilesForm(forms.Form):
    """Files, or numbers typed or pasted as text."""

    uploads = FilesField(required=False, label="Field files")
    typed = forms.CharField(
        required=False,
        strip=False,
        max_length=TYPED_LENGTH,
        label="Or paste or type numbers, one a line",
        widget=forms.Textarea(attrs={"rows": 5, "autocapitalize": "off", "spellcheck": "false"}),
    )
    is_herd_list = forms.BooleanField(
        required=False, label="This is our herd list: animals in it that are not in the record are new ones"
    )

    @property
    def most_bytes(self) -> int:
        """How large one file may be."""
        return settings.FIELD_FILE_MAX_BYTES

    def clean(self) -> dict[str, Any]:
        """Ask for at least one file or one number; the reasons for leaving files out stand in `refusals`."""
        cleaned = super().clean() or {}
        gathered = gather(
            cleaned.get("uploads") or [],
            cleaned.get("typed") or "",
            is_herd_list=bool(cleaned.get("is_herd_list")),
        )
        if not gathered.files:
            reasons = gathered.refusals or ("Choose at least one file, or type or paste some numbers.",)
            self.add_error("uploads", list(reasons))
        return {**cleaned, "given": gathered.files, "refusals": gathered.refusals}


def _group_field(groups: QuerySet[Group]) -> forms.ModelChoiceField:
    return forms.ModelChoiceField(
        queryset=groups, required=False, label="Group worked", empty_label="no group, or several"
    )


class DayForm(forms.Form):
    """When a processing day was, which group was worked, and what it is called."""

    worked_on = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    group = _group_field(Group.objects.none())
    name = forms.CharField(
        required=False, max_length=120, label="Name", help_text="Left empty, the group and the day name it."
    )

    def __init__(self, *args: Any, outfit: Outfit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["group"] = _group_field(Group.objects.of(outfit).filter(is_closed=False))

    def clean(self) -> dict[str, Any]:
        """Name the day after its group and date where no name was given."""
        cleaned = super().clean() or {}
        worked_on = cleaned.get("worked_on")
        if worked_on and not cleaned.get("name"):
            cleaned["name"] = suggested_name(cleaned.get("group"), worked_on)
        return cleaned


class NewDayForm(DayForm, FilesForm):
    """A new processing day with its first files."""

    field_order = ("uploads", "typed", "worked_on", "group", "name", "is_herd_list")


class ColumnForm(forms.Form):
    """What one column is; unit and order count only where it holds weights or days."""

    kind = forms.ChoiceField(label="is")
    unit = forms.ChoiceField(choices=UNITS, required=False, label="unit of weights")
    order = forms.ChoiceField(choices=ORDERS, required=False, label="order in dates")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"] = forms.ChoiceField(
            label="is", choices=[(kind.key, kind.label) for kind in COLUMN_KINDS.values()]
        )


@dataclass(frozen=True, slots=True)
class Gathered:
    """The files of one request that can be taken, and a sentence for each that was not."""

    files: tuple[GivenFile, ...]
    refusals: tuple[str, ...] = ()


def gather(uploads: Iterable[UploadedFile], typed: str, *, is_herd_list: bool) -> Gathered:
    """Take the uploaded files and the typed text; too large ones and repeated ones are refused by name."""
    taken: dict[str, GivenFile] = {}
    refusals: list[str] = []
    most = settings.FIELD_FILE_MAX_BYTES
    for upload in uploads:
        name = _short(upload.name or "file")
        if (upload.size or 0) > most:
            refusals.append(f"“{name}” is larger than {most // 1024**2} MB and was not taken.")
            continue
        content = upload.read()
        first = taken.setdefault(hashlib.sha256(content).hexdigest(), GivenFile(name, content, is_herd_list))
        if first.content is not content:
            refusals.append(f"“{name}” holds the same bytes as “{first.name}” and was taken once.")
    files = list(taken.values())
    if typed.strip():
        files.append(GivenFile(TYPED_LIST, typed.encode(), is_herd_list))
    return Gathered(tuple(files), tuple(refusals))


def suggested_name(group: Group | None, day: date) -> str:
    """A name for a day: the group worked and the date."""
    return f"{group.name if group else 'Processing day'} {day.isoformat()}"[:120]


def column_forms(columns: Sequence[Mapping[str, Any]], data: Any = None) -> list[ColumnForm]:
    """A form for each column, filled with what the column is taken for."""
    return [
        ColumnForm(
            data,
            prefix=f"c{place}",
            initial={
                "kind": column.get("kind", "unused"),
                "unit": (column.get("settings") or {}).get("unit") or "",
                "order": (column.get("settings") or {}).get("order") or "",
            },
        )
        for place, column in enumerate(columns[:COLUMNS_SHOWN])
    ]


def columns_said(columns: Sequence[Mapping[str, Any]], answers: Sequence[ColumnForm]) -> list[dict[str, Any]]:
    """The columns as a person says they are; those left alone keep their confidence and reasons."""
    said = [_said(column, answer) for column, answer in zip(columns, answers, strict=False)]
    return said + [dict(column) for column in columns[len(said) :]]


def _said(column: Mapping[str, Any], answer: ColumnForm) -> dict[str, Any]:
    if not answer.has_changed():
        return dict(column)
    kind = answer.cleaned_data["kind"]
    kept = dict(column.get("settings") or {}) if kind == column.get("kind") else {}
    if kind == "weight":
        kept["unit"] = answer.cleaned_data["unit"] or None
    if kind in DATED_KINDS:
        kept["order"] = answer.cleaned_data["order"] or None
    return {**column, "kind": kind, "confidence": 1.0, "reasons": ["a person said so"], "settings": kept}


def _short(name: str) -> str:
    """The name cut to what the table holds, its ending kept."""
    return name if len(name) <= NAME_LENGTH else name[:90] + "…" + name[-90:]
