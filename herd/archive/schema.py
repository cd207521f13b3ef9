"""The state of the tables, named by the migrations behind it, and whether an archive of another state can be read."""

from collections.abc import Iterable, Mapping

from django.db import connection
from django.db.migrations import operations
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from herd.archive.refused import ArchiveRefused

APPS = ("accounts", "ledger", "registry", "intake", "sync")

Schema = dict[str, list[str]]

# What adds to the tables or widens a column: rows from before it are whole with the new columns' defaults, and a
# value that fits its column no more is refused when it is loaded.
ADDING = (
    operations.CreateModel,
    operations.AddField,
    operations.AlterField,
    operations.AddIndex,
    operations.RemoveIndex,
    operations.RenameIndex,
    operations.AddConstraint,
    operations.RemoveConstraint,
    operations.AlterModelOptions,
    operations.AlterModelManagers,
)


def schema_here() -> Schema:
    """Return the migrations that this database has been through, by app."""
    applied = MigrationRecorder(connection).applied_migrations()
    return {app: sorted(name for of, name in applied if of == app) for app in APPS}


def is_fresh() -> bool:
    """Whether the database has no tables of ours yet."""
    return not any(schema_here().values())


def is_behind() -> bool:
    """Whether the program knows migrations that this database has not been through."""
    return bool(_known() - _pairs(schema_here()))


def is_older(given: Mapping[str, Iterable[str]]) -> bool:
    """Whether an archive of that state lacks columns of ours that can take their defaults.

    Raises ArchiveRefused for the state of a later program, or of one so early that more than defaults is needed.
    """
    known, has = _known(), _pairs(given)
    if later := sorted(has - known):
        raise ArchiveRefused(
            f"The archive was made by a later program: this one does not know {_said(later)}. "
            "Bring the program up to date and restore again."
        )
    missing = sorted(known - has)
    loader = MigrationLoader(connection)
    changing = [
        pair
        for pair in missing
        if not all(isinstance(step, ADDING) for step in loader.disk_migrations[pair].operations)
    ]
    if changing:
        raise ArchiveRefused(
            f"The archive was made by an earlier program, before {_said(changing)}, which changes what was there. "
            "Restore it with the program of its time, then bring that installation up to date."
        )
    return bool(missing)


def _known() -> set[tuple[str, str]]:
    return {pair for pair in MigrationLoader(connection).disk_migrations if pair[0] in APPS}


def _pairs(schema: Mapping[str, Iterable[str]]) -> set[tuple[str, str]]:
    return {(app, name) for app, names in schema.items() for name in names}


def _said(pairs: Iterable[tuple[str, str]]) -> str:
    return ", ".join(f"{app} {name}" for app, name in pairs)
