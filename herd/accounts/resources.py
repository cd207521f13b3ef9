"""Lists of one outfit as files: read, compared with what is there, checked row by row, written by one service call."""

from base64 import b64decode, b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import tablib
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.html import format_html
from import_export.fields import Field
from import_export.formats.base_formats import Format
from import_export.resources import Diff, ModelResource
from import_export.tmp_storages import BaseStorage

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.accounts.services import AccountError, add_person
from herd.accounts.sheetcolumns import Day, WholeNumber, YesNo
from herd.accounts.sheetfiles import UnreadableFile, read_csv, read_xlsx, write_csv, write_xlsx

# The column in which a row's line in the file travels; no file can have one of this name.
LINE = " line"
CARRIED_SECONDS = 3600


class PlainFormat(Format):
    """What both formats share; the first row names the columns."""

    title = ""
    content_type = ""

    def get_title(self) -> str:
        return self.title

    def get_extension(self) -> str:
        return self.title

    def get_content_type(self) -> str:
        return self.content_type

    def can_import(self) -> bool:
        return True

    def can_export(self) -> bool:
        return True

    def __init__(self, encoding: str | None = None) -> None:
        self.encoding = encoding

    def dataset(self, header: list[str], rows: list[tuple[int, list[str]]]) -> Any:
        """The rows as tablib keeps them, each with its line."""
        made = tablib.Dataset(headers=[*header, LINE])
        for line, cells in rows:
            made.append([*cells, line])
        return made


class CsvFormat(PlainFormat):
    """Comma, semicolon or tab between cells, in UTF-8."""

    title = "csv"
    content_type = "text/csv; charset=utf-8"

    def create_dataset(self, in_stream: bytes) -> Any:
        return self.dataset(*read_csv(in_stream))

    def export_data(self, dataset: Any, **kwargs: Any) -> str:
        return write_csv([dataset.headers, *dataset])


class XlsxFormat(PlainFormat):
    """The first sheet of a workbook."""

    title = "xlsx"
    content_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

    def create_dataset(self, in_stream: bytes) -> Any:
        return self.dataset(*read_xlsx(in_stream))

    def export_data(self, dataset: Any, **kwargs: Any) -> bytes:
        return write_xlsx([dataset.headers, *dataset])


class CarriedFile(BaseStorage):
    """A file carried, signed, in the page that asks for the confirmation, so that none is left behind anywhere."""

    def save(self, data: bytes) -> None:
        self.name = signing.dumps(b64encode(data).decode(), salt=LINE, compress=True)

    def read(self) -> bytes:
        try:
            return b64decode(signing.loads(self.name, salt=LINE, max_age=CARRIED_SECONDS))
        except signing.BadSignature as problem:
            raise UnreadableFile("That page has waited too long. Give the file once more.") from problem

    def remove(self) -> None:
        """Nothing was kept."""


class ShownDiff(Diff):
    """What a row changes, without the inline styles that our pages' policy forbids."""

    def __init__(self, resource: Any, instance: Any, new: bool) -> None:  # noqa: FBT001
        super().__init__(resource, instance, new)
        self.is_new = new

    def as_html(self) -> list[str]:
        pairs = zip(self.left, self.right, strict=True)
        return [self._say(str(before), str(after)) for before, after in pairs]

    def _say(self, before: str, after: str) -> str:
        if self.is_new or before == after or not before:
            return after
        return format_html("<del>{}</del> <ins>{}</ins>", before, after or "nothing")


@dataclass(frozen=True, slots=True)
class Wrong:
    """A cell that can't be taken: where it stands, what it says, why not."""

    line: int
    column: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True)
class Taken:
    """A row that was found right: the object it makes or changes."""

    instance: Any
    is_new: bool
    line: int


class OutfitResource(ModelResource):
    """The rows of one list of one outfit. `write` is given all rows at once, when every one of them is right."""

    WIDGETS_MAP: ClassVar = {
        **ModelResource.WIDGETS_MAP,
        "BooleanField": YesNo,
        "PositiveSmallIntegerField": WholeNumber,
        "DateField": Day,
    }

    # What the list is called, where the table's own name has no plain plural.
    called = ""
    # Columns that tell rows apart as well, where a file has them.
    also_known_by: ClassVar[tuple[str, ...]] = ()

    class Meta:
        skip_unchanged = True
        report_skipped = True
        use_transactions = True

    def __init__(self, *, outfit: Outfit, person: Person, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.outfit, self.person = outfit, person
        self.taken: list[Taken] = []
        self.seen: dict[tuple[str, ...], int] = {}

    @classmethod
    def get_diff_class(cls) -> type[Diff]:
        return ShownDiff

    def write(self, taken: Sequence[Taken]) -> None:
        """Write the rows by a service; a ValueError is shown as its sentence."""
        raise NotImplementedError

    def get_queryset(self) -> Any:
        return super().get_queryset().filter(outfit=self.outfit)

    def before_import(self, dataset: Any, **kwargs: Any) -> None:
        """Refuse columns that the list does not have, and a file that lacks those that tell its rows apart."""
        known = [field.column_name for field in self.get_import_fields()]
        given = [name for name in dataset.headers if name != LINE]
        for name in given:
            if name not in known or given.count(name) > 1:
                raise UnreadableFile(
                    f"The column {name!r} is not one of this list, or is there twice. It knows {', '.join(known)}."
                )
        for key in self.get_import_id_fields():
            if self.fields[key].column_name not in given:
                raise UnreadableFile(f"The file needs a column {self.fields[key].column_name!r}.")

    def init_instance(self, row: Any = None) -> Any:
        return self._meta.model(outfit=self.outfit)

    def before_import_row(self, row: Any, **kwargs: Any) -> None:
        """Refuse a second row about the same thing, and one that names nothing."""
        names = [self.fields[key].column_name for key in self.get_import_id_fields()]
        key = tuple(str(row.get(name, "")) for name in (*names, *self.also_known_by))
        if not all(key[:1]):
            raise ValidationError({names[0]: "This must not be empty."})
        if key in self.seen:
            raise ValidationError({names[0]: f"Line {self.seen[key]} is about the same."})
        self.seen[key] = row[LINE]

    def validate_instance(
        self, instance: Any, import_validation_errors: Any = None, validate_unique: bool = True  # noqa: FBT001, FBT002
    ) -> None:
        """Check each column alone; what rows have to do with each other is the service's to check."""
        errors = dict(import_validation_errors or {})
        fields = {field.attribute for field in self.get_import_fields()}
        others = {one.name for one in instance._meta.fields if one.name not in fields}
        others |= {one.name for one in instance._meta.fields if one.null and getattr(instance, one.attname) is None}
        try:
            instance.clean_fields(exclude=others | errors.keys())
        except ValidationError as problem:
            errors = problem.update_error_dict(errors)
        if errors:
            raise ValidationError(errors)

    def save_instance(self, instance: Any, is_create: bool, row: Any, **kwargs: Any) -> None:  # noqa: FBT001
        self.taken.append(Taken(instance, is_create, row[LINE]))

    def after_import(self, dataset: Any, result: Any, **kwargs: Any) -> None:
        """Write, where every row is right; else say what is wrong, cell by cell."""
        result.wrong = [wrong for row in result.invalid_rows for wrong in self._wrong(dataset, row)]
        if self.taken and not result.has_errors() and not result.wrong:
            self.write(self.taken)

    def _wrong(self, dataset: Any, row: Any) -> list[Wrong]:
        cells = dict(zip(dataset.headers, dataset[row.number - 1], strict=True))
        columns = {field.attribute: field.column_name for field in self.get_import_fields()}
        return [
            Wrong(cells[LINE], column, str(cells.get(column, "")), str(reason))
            for name, reasons in row.field_specific_errors.items()
            for reason in reasons
            for column in [columns.get(name, name)]
        ]

    def count(self, taken: Sequence[Taken]) -> str:
        """How many rows of which kind, for the title of what was written."""
        added = sum(one.is_new for one in taken)
        name = self.called or str(self._meta.model._meta.verbose_name_plural)
        return f"{name.capitalize()} from a file: {added} added, {len(taken) - added} changed"


class PeopleResource(OutfitResource):
    """Who is in the outfit, in which role; people whom nobody knows yet are made on the page People."""

    username = Field(attribute="person__username", column_name="user name", readonly=True)
    role = Field(attribute="role", column_name="role")

    class Meta(OutfitResource.Meta):
        model = OutfitPerson
        fields = ("username", "role")
        import_id_fields = ("username",)

    def after_init_instance(self, instance: Any, new: bool, row: Any, **kwargs: Any) -> None:  # noqa: FBT001
        """Find the person of a new row by name."""
        if new:
            name = str(row["user name"])
            person = Person.objects.filter(username=name).first()
            if person is None:
                raise ValidationError({"user name": f"Nobody is called {name} yet; add the person on the page People."})
            instance.person = person

    def write(self, taken: Sequence[Taken]) -> None:
        for one in taken:
            place = one.instance
            try:
                add_person(
                    outfit=self.outfit, username=place.person.username, role=Role(place.role), by=self.person
                )
            except AccountError as problem:
                raise AccountError(f"Line {one.line}: {problem}") from problem
