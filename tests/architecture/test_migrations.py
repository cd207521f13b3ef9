"""Migrations of a herd in use: none holds a lock on a big table for longer than a blink, or breaks who still serves.

Allowed on any table, since PostgreSQL changes only its catalogue: a new table; a column that may be null or has a
plain default (since version 11); to drop a column, index, constraint or table; what changes in Python alone. An index
on a big table is added by herd.ledger.quietindex, alone in a migration that is not atomic. Not allowed on a big table,
because every row is read or written under a lock: any other index, a unique or foreign key, a check, another type,
rows changed by a program. Names are never changed, since a program of the version before goes on using them.
(PostgreSQL manual: ALTER TABLE, CREATE INDEX; from memory.)
"""

from collections.abc import Iterator

import pytest
from django.db import connection, migrations, models
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ModelState, ProjectState

from herd.ledger.quietindex import AddIndexQuietly

# Until here tables were made anew for herds that began with them; what came before is not looked at.
FIRST_HERDS = {
    "accounts": "0003_siblings", "ledger": "0003_performed", "registry": "0007_policy_values",
    "intake": "0004_tries", "sync": "0003_siblings",
}  # fmt: skip
BIG = {
    "registry": {"animal", "event", "tag", "tagwearing", "groupmembership"},
    "ledger": {"change", "changeset"},
    "intake": {"stagedrow", "mergedline", "finding", "ruling"},
    "sync": {"operation", "receipt", "alias"},
}
QUIET = (
    migrations.CreateModel, migrations.DeleteModel, migrations.RemoveField, migrations.RemoveIndex,
    migrations.RemoveConstraint, migrations.AlterModelOptions, migrations.AlterModelManagers,
)  # fmt: skip
RENAMING = (migrations.RenameField, migrations.RenameModel, migrations.AlterModelTable)


def loud(app: str, migration: migrations.Migration, state: ProjectState) -> Iterator[str]:
    """Yield a sentence for each step that is not allowed; `state` is that before the migration."""
    state = state.clone()
    for step in migration.operations:
        inner = getattr(step, "database_operations", [step])
        for one in inner:
            reason = why_not(app, one, migration, state)
            if reason:
                yield f"{app} {migration.name}: {type(one).__name__}: {reason}"
        step.state_forwards(app, state)


def why_not(app: str, step: Operation, migration: migrations.Migration, state: ProjectState) -> str:
    if isinstance(step, RENAMING):
        return "a program of the version before still uses the name"
    if isinstance(step, AddIndexQuietly):
        is_alone = len(migration.operations) == 1 and migration.atomic is False
        return "" if is_alone else "must be alone in a migration with atomic = False"
    table = getattr(step, "model_name", getattr(step, "name", "") or "").lower()
    if isinstance(step, QUIET) or (table and table not in BIG.get(app, set())):
        return ""
    if isinstance(step, migrations.AddField):
        return why_no_column(step.field)
    if isinstance(step, migrations.AlterField):
        return why_not_altered(app, table, step, state)
    return "reads or writes every row of a big table under a lock"


def why_no_column(field: models.Field) -> str:
    if field.db_index or field.unique or field.is_relation:
        return "a key or an index locks a big table while it is built"
    if field.db_check(connection) or field.generated:
        return "every row is checked or worked out under a lock"
    return "" if field.null or field.has_default() or field.has_db_default() else "has no value for the rows there are"


def why_not_altered(app: str, table: str, step: migrations.AlterField, state: ProjectState) -> str:
    old = state.models[app, table].fields[step.name]
    kept = [{name: value for name, value in field.deconstruct()[3].items() if name not in field.non_db_attrs}
            for field in (old, step.field)]  # fmt: skip
    for one in kept:
        one.pop("default", None)
    is_same = kept[0] == kept[1] and old.db_type(connection) == step.field.db_type(connection)
    return "" if is_same else "another type, key or null reads every row under a lock"


def made(*steps: Operation, atomic: bool = True) -> migrations.Migration:
    migration = migrations.Migration("0999_tried", "registry")
    migration.operations, migration.atomic = list(steps), atomic
    return migration


def state() -> ProjectState:
    known = ProjectState()
    known.add_model(ModelState("registry", "Animal", [
        ("id", models.BigAutoField(primary_key=True)), ("name", models.CharField(max_length=20, help_text="Old")),
    ]))  # fmt: skip
    return known


INDEX = models.Index(fields=["name"], name="by_name")
LOUD = [
    made(migrations.AddIndex("animal", INDEX)),
    made(migrations.AddConstraint("animal", models.UniqueConstraint(fields=["name"], name="one_name"))),
    made(migrations.AddField("animal", "ear", models.CharField(max_length=2, db_index=True, default=""))),
    made(migrations.AddField("animal", "dam", models.ForeignKey("Animal", models.PROTECT, null=True))),
    made(migrations.AddField("animal", "ear", models.CharField(max_length=2))),
    made(migrations.AlterField("animal", "name", models.TextField())),
    made(migrations.AlterField("animal", "name", models.CharField(max_length=10))),
    made(migrations.RunPython(migrations.RunPython.noop)),
    made(migrations.RunSQL("SELECT 1")),
    made(migrations.SeparateDatabaseAndState([migrations.AddIndex("animal", INDEX)])),
    made(migrations.RenameField("group", "name", "title")),
    made(AddIndexQuietly("animal", INDEX)),
    made(AddIndexQuietly("animal", INDEX), migrations.RemoveField("animal", "name"), atomic=False),
]
STILL = [
    made(AddIndexQuietly("animal", INDEX), atomic=False),
    made(migrations.AddIndex("location", INDEX)),
    made(migrations.AddField("animal", "ear", models.CharField(max_length=2, default=""))),
    made(migrations.AddField("animal", "seen", models.DateField(null=True))),
    made(migrations.AlterField("animal", "name", models.CharField(max_length=20, help_text="New"))),
    made(migrations.RemoveField("animal", "name")),
    made(migrations.CreateModel("Gate", [("id", models.BigAutoField(primary_key=True))])),
]


def test_no_migration_locks_a_big_herd_for_long(db):
    loader = MigrationLoader(None)
    found = []
    for app, first in FIRST_HERDS.items():
        names = sorted(name for label, name in loader.disk_migrations if label == app)
        assert first in names
        for name in names[names.index(first) + 1 :]:
            migration = loader.disk_migrations[app, name]
            found += loud(app, migration, loader.project_state((app, name), at_end=False))
    assert found == []


@pytest.mark.parametrize("migration", LOUD, ids=lambda one: type(one.operations[0]).__name__)
def test_a_step_that_locks_is_named(migration, db):
    assert [*loud("registry", migration, tried_on(migration))]


@pytest.mark.parametrize("migration", STILL, ids=lambda one: type(one.operations[0]).__name__)
def test_a_step_that_does_not_lock_passes(migration, db):
    assert [*loud("registry", migration, tried_on(migration))] == []


def tried_on(migration: migrations.Migration) -> ProjectState:
    known = state()
    for name in ("Group", "Location"):
        known.add_model(ModelState("registry", name, [
            ("id", models.BigAutoField(primary_key=True)), ("name", models.CharField(max_length=20)),
        ]))  # fmt: skip
    return known


@pytest.mark.django_db(transaction=True)
def test_a_quiet_index_is_built_and_taken_away_on_this_engine():
    before = MigrationLoader(connection).project_state()
    step = AddIndexQuietly("animal", models.Index(fields=["id", "status"], name="tried_quietly"))
    after = before.clone()
    step.state_forwards("registry", after)
    with connection.schema_editor(atomic=False) as editor:
        step.database_forwards("registry", editor, before, after)
    assert "tried_quietly" in indexes()
    with connection.schema_editor(atomic=False) as editor:
        step.database_backwards("registry", editor, after, before)
    assert "tried_quietly" not in indexes()


def indexes() -> set[str]:
    with connection.cursor() as cursor:
        return set(connection.introspection.get_constraints(cursor, "registry_animal"))
