"""The rows that a carried changeset is about, as they are here, changed in memory until all of it is judged."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import dataclass, field
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.ledger.rows import in_steps
from herd.registry.models import SUBJECTS, Record
from herd.registry.services.replaying.values import references, renamed

# What a row may name though it is void: what it took the place of.
MAY_BE_VOID = frozenset({"supersedes_id", "replaces_id", "same_as_id"})


@dataclass(slots=True)
class Desk:
    """Rows by id; `stands` says of every row that is named whether it stands, `undone` which changes are taken back."""

    outfit: Outfit
    aliases: dict[UUID, UUID]
    known: dict[UUID, Record] = field(default_factory=dict)
    stands: dict[UUID, bool] = field(default_factory=dict)
    free_to_undo: set[UUID] = field(default_factory=set)
    rows: dict[UUID, Record] = field(default_factory=dict)
    new: dict[UUID, Record] = field(default_factory=dict)
    changed: dict[UUID, Record] = field(default_factory=dict)
    voided: dict[UUID, Change] = field(default_factory=dict)

    def clear(self) -> None:
        """Put everything back as it is in the tables, for another look."""
        self.rows = {key: copy(row) for key, row in self.known.items()}
        self.new, self.changed, self.voided = {}, {}, {}

    def own(self, key: UUID) -> UUID:
        """The id that stands for an id from elsewhere."""
        return self.aliases.get(key, key)

    def is_there(self, column: str, key: UUID) -> bool:
        """Whether a row that a column names is in the record, as it will be."""
        row = self.rows.get(key)
        stands = not row.is_void if row is not None else self.stands.get(key)
        return stands is not None and (stands or column in MAY_BE_VOID)


def lay_out(outfit: Outfit, changes: Iterable[Change], aliases: dict[UUID, UUID]) -> Desk:
    """Fetch the rows that changes are about, held until the commit in the order of their ids."""
    desk = Desk(outfit, aliases)
    changes = list(changes)
    by_kind: dict[str, set[UUID]] = defaultdict(set)
    for change in changes:
        by_kind[change.subject_kind].add(desk.own(change.subject_id))
    for kind, model in SUBJECTS.items():
        for ids in in_steps(sorted(by_kind[kind])):
            held = model.objects.filter(outfit=outfit, pk__in=ids).order_by("pk").select_for_update()
            desk.known.update({row.pk: row for row in held})
    _look_for_named(desk, changes)
    desk.free_to_undo = _free_to_undo(outfit, changes)
    desk.clear()
    return desk


def _look_for_named(desk: Desk, changes: Iterable[Change]) -> None:
    named: dict[type, set[str]] = defaultdict(set)
    for change in changes:
        said: Mapping[str, object] = renamed(change.after or {}, desk.aliases)
        for column, table in references(SUBJECTS[change.subject_kind]).items():
            if said.get(column):
                named[table].add(str(said[column]))
    for table, ids in named.items():
        for some in in_steps(ids):
            found = table.objects.filter(outfit=desk.outfit, pk__in=some)  # type: ignore[attr-defined]
            desk.stands.update({key: not is_void for key, is_void in found.values_list("pk", "is_void")})


def _free_to_undo(outfit: Outfit, changes: Iterable[Change]) -> set[UUID]:
    """Of the changes that are taken back, those which are here and which nobody has taken back yet."""
    wanted = {one.undoes for one in changes if one.undoes}
    found: set[UUID] = set()
    for ids in in_steps(wanted):
        found.update(Change.objects.filter(outfit=outfit, pk__in=ids).values_list("pk", flat=True))
        found.difference_update(Change.objects.filter(undoes__in=ids).values_list("undoes", flat=True))
    return found
