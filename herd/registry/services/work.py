"""One batch being written: its entry, its pen, and the checks and writes that all rows share."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any, TypeVar
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.entry import TYPED, Source, Subject
from herd.ledger.models import Action
from herd.ledger.record import Pen
from herd.ledger.rows import in_steps, insert_rows, update_rows
from herd.registry.models import Record
from herd.registry.services.batch import Batch, Leave
from herd.registry.services.refused import Refusal

Row = TypeVar("Row", bound=Record)

# Columns that every row has, or that are a fold over other rows: the ledger does not repeat them.
UNWRITTEN = frozenset(
    {
        "id",
        "outfit_id",
        "revision",
        "is_void",
        "animal_class",
        "status",
        "status_since",
        "group_id",
        "location_id",
        "backwards",
    }
)
FOLDED_MODEL_ONLY = frozenset({"animal_class", "status", "status_since", "group_id", "location_id"})


@dataclass(slots=True)
class Work:
    """A batch on its way into the record.

    `refold` names animals whose standing must be computed anew, `leaves` those that the batch's events take
    out of their group, `returns` those whose taking out is voided.
    """

    outfit: Outfit
    batch: Batch
    pen: Pen
    now: datetime
    refusals: list[Refusal] = field(default_factory=list)
    refold: set[UUID] = field(default_factory=set)
    leaves: list[Leave] = field(default_factory=list)
    returns: list[Leave] = field(default_factory=list)

    @property
    def today(self) -> date:
        """The last day that is not in the future: an outfit's may be one ahead of universal time."""
        return self.now.date() + timedelta(days=1)

    def refuse(self, reason: str, *, field_name: str = "", animal_id: UUID | None = None) -> None:
        """Note why the batch can't be written."""
        self.refusals.append(Refusal(reason, field_name, animal_id))


def fetch(model: type[Row], outfit: Outfit, ids: Iterable[UUID], *, to_edit: bool = False) -> dict[UUID, Row]:
    """Return the outfit's standing rows with these ids; those that are to be edited are held until the commit.

    Rows are held in the order of their ids, so that two writers never wait for each other.
    """
    found: dict[UUID, Row] = {}
    for some in in_steps(sorted(set(ids))):
        rows = model.objects.of(outfit).filter(pk__in=some)
        found.update({row.pk: row for row in (rows.order_by("pk").select_for_update() if to_edit else rows)})
    return found


@cache
def _zero_says_nothing(model: type[Record]) -> frozenset[str]:
    """The columns that hold nought where nothing was said."""
    return frozenset(one.attname for one in model._meta.concrete_fields if one.get_default() == 0)


@cache
def written_columns(model: type[Record]) -> tuple[str, ...]:
    """The columns of a table that the ledger writes down."""
    names = (one.attname for one in model._meta.concrete_fields)
    unwritten = UNWRITTEN if model.SUBJECT == "animal" else UNWRITTEN - FOLDED_MODEL_ONLY
    return tuple(name for name in names if name not in unwritten)


def plain(value: Any) -> Any:
    """Return a column's value as plain JSON."""
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    return value


def column_value(row: Record, name: str, value: Any) -> Any:
    """Return a value that `plain` wrote down as its column holds it."""
    column: Any = next(one for one in row._meta.concrete_fields if name in (one.attname, one.name))
    target = column.target_field if column.is_relation else column
    return None if value is None else target.to_python(value)


def snapshot(row: Record) -> dict[str, Any]:
    """Return a row's written columns as plain JSON, empty ones left out."""
    found, by_default, held = {}, _zero_says_nothing(type(row)), vars(row)
    for name in written_columns(type(row)):
        value = held[name]
        # A nought says something where nothing was counted or known otherwise.
        if value is None or value is False or value == "" or (value == 0 and name in by_default):
            continue
        found[name] = value if type(value) is str else plain(value)
    return found


def subject_of(row: Record) -> Subject:
    """Name a row as the ledger does."""
    return Subject(row.SUBJECT, row.pk, row.about)


def insert(work: Work, rows: Sequence[Record], sources: Sequence[Source]) -> None:
    """Insert rows of one table and note their creation."""
    if not rows:
        return
    insert_rows(rows)
    for row, source in zip(rows, sources, strict=True):
        work.pen.write(subject_of(row), Action.CREATED, after=snapshot(row), source=source)


def update(
    work: Work, row: Record, values: Mapping[str, Any], *, source: Source = TYPED, reason: str = ""
) -> bool:
    """Set columns of a row in memory and note the change; `save_all` writes it. False if nothing differs."""
    changed = {name: value for name, value in values.items() if getattr(row, name) != value}
    if not changed:
        return False
    before = {name: plain(getattr(row, name)) for name in changed}
    for name, value in changed.items():
        setattr(row, name, value)
    row.revision += 1
    after = {name: plain(value) for name, value in changed.items()}
    work.pen.write(subject_of(row), Action.CHANGED, before=before, after=after, source=source, reason=reason)
    return True


def save_all(rows: Iterable[Record], columns: Iterable[str]) -> None:
    """Write columns of rows already in the table, with their revision."""
    update_rows(rows, {*columns, "revision"})
