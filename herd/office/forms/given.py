"""Numbers given many at once: typed or pasted, or in a reader's file, each as it was written."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils import timezone

from herd.intake.columns.guesses import ColumnGuess
from herd.intake.columns.mapping import guess_columns
from herd.intake.columns.reading import RowReader
from herd.intake.reading import FieldSource, UnreadableFile, open_field_file

MOST_TYPED = 1_000_000
MOST_BYTES = 10 * 1024 * 1024
MOST_NUMBERS = 50_000
SAMPLE = 2_000
# In the order in which they are trusted to name one animal.
NUMBER_KINDS = ("eid", "vid", "metal", "tattoo", "brand", "back_tag")


class NumbersForm(forms.Form):
    """Numbers of animals; after `clean` they stand under `numbers`, empty where none were given."""

    typed = forms.CharField(
        label="Numbers",
        required=False,
        strip=False,
        max_length=MOST_TYPED,
        help_text="EIDs or visual tags, one a line. A reader that acts as a keyboard can type straight into this box.",
        widget=forms.Textarea(attrs={"rows": 6, "autocapitalize": "off", "spellcheck": "false"}),
    )
    upload = forms.FileField(
        label="Or a reader's file",
        required=False,
        allow_empty_file=True,
        help_text="CSV and other text, Excel, OpenDocument. Only the tag numbers in it are used.",
    )

    def clean(self) -> dict[str, Any]:
        """Read both sources, the typed numbers first."""
        data = super().clean() or self.cleaned_data
        data["numbers"] = []
        for name, read in (("typed", typed_numbers), ("upload", uploaded_numbers)):
            if data.get(name):
                try:
                    data["numbers"] += read(data[name])
                except (UnreadableFile, forms.ValidationError) as problem:
                    self.add_error(name, getattr(problem, "reason", "") or problem)  # type: ignore[arg-type]
        if len(data["numbers"]) > MOST_NUMBERS:
            most = f"{MOST_NUMBERS:,}"
            self.add_error("typed", f"These are more than {most} numbers; bring them in as a processing day.")
        return data


def typed_numbers(text: str) -> list[str]:
    """The numbers in typed or pasted text: one a line, a line of several, or a table out of a spreadsheet.

    Raises UnreadableFile for a pasted table that is none.
    """
    lines = [line.strip() for line in text.replace("\x00", "").splitlines() if line.strip()]
    if not any(mark in line for line in lines for mark in "\t,;|"):
        return lines
    source = open_field_file(text.encode(), "typed")
    if not source.header and not any("\t" in line for line in lines) and not _has_eids(source):
        # Tags of one line with commas between them; a table of a reader has EIDs or a heading.
        return [cell for _, cells in source.rows() for cell in cells if cell.strip()]
    # One line that was taken for a heading is all there is: it stays, as it was typed.
    return numbers_in(source) or lines


def uploaded_numbers(upload: UploadedFile) -> list[str]:
    """The numbers in an uploaded file; raises UnreadableFile, or ValidationError for one too large."""
    if (upload.size or 0) > MOST_BYTES:
        raise forms.ValidationError("The file is larger than 10 MiB; bring it in as a processing day.")
    return numbers_in(open_field_file(upload.read(), upload.name))


def numbers_in(source: FieldSource) -> list[str]:
    """One number for each line of a field file, as written; a line without any that can be read stays whole."""
    rows = [cells for _, cells in source.rows()]
    if len(source.header) <= 1 and all(len(cells) <= 1 for cells in rows):
        # A list under a heading; a first line with digits is a number that was taken for one.
        first = [cell for cell in source.header if any(mark.isdigit() for mark in cell)]
        return [*first, *(cells[0] for cells in rows if cells and cells[0].strip())]
    reader = _reader(source.header, rows)
    return [_number(reader, cells) for cells in rows]


def _has_eids(source: FieldSource) -> bool:
    rows = [cells for _, cells in source.rows()]
    return any(one.kind == "eid" for one in _guesses([], rows))


def _reader(header: Sequence[str], rows: list[list[str]]) -> RowReader:
    today = timezone.now().date()
    return RowReader(_guesses(list(header), rows), default_unit="lb", today=today, zone_name="UTC")


def _guesses(header: list[str], rows: list[list[str]]) -> list[ColumnGuess]:
    # Only numbers are asked for, so any unit and day will do.
    return guess_columns(header, rows[:SAMPLE], default_unit="lb", today=timezone.now().date())


def _number(reader: RowReader, cells: list[str]) -> str:
    readings = reader.read(cells).readings
    for kind in NUMBER_KINDS:
        if readings.get(kind):
            colour = readings.get("vid_colour", "") if kind == "vid" else ""
            return f"{readings[kind]} {colour}".strip()
    return " ".join(cell.strip() for cell in cells if cell.strip())
