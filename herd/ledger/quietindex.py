"""A migration's step that adds an index to a big table while people go on writing to it."""

from typing import Any

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db.migrations import AddIndex


class AddIndexQuietly(AddIndexConcurrently):
    """CREATE INDEX CONCURRENTLY on PostgreSQL, which locks out no writer; a plain index on SQLite, which has one.

    Its migration must say `atomic = False` and hold no other step, so that it can be run again after a failure.
    """

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        """Add the index."""
        kind = AddIndexConcurrently if schema_editor.connection.vendor == "postgresql" else AddIndex
        kind.database_forwards(self, app_label, schema_editor, from_state, to_state)

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        """Take the index away again."""
        kind = AddIndexConcurrently if schema_editor.connection.vendor == "postgresql" else AddIndex
        kind.database_backwards(self, app_label, schema_editor, from_state, to_state)
