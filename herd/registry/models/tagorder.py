"""The order in which people count tags: 9 before 10, A9 before A10, 417 before 417B."""

from typing import Any

from django.db.models import CharField, Func

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
# What may stand before the first figure of a number.
_LEADING = f" -._/#{_LETTERS}"
# One letter says how many figures the first run has; no number is longer than 30.
_LENGTHS = f"{_LETTERS}abcdefgh"

_FROM_FIRST_FIGURE = f"LTRIM(%(expressions)s, '{_LEADING}')"
_BEFORE = f"SUBSTR(%(expressions)s, 1, LENGTH(%(expressions)s) - LENGTH({_FROM_FIRST_FIGURE}))"
_RUN = f"1 + LENGTH({_FROM_FIRST_FIGURE}) - LENGTH(LTRIM({_FROM_FIRST_FIGURE}, '0123456789'))"


class NaturalKey(Func):
    """A number as a text that sorts in natural order: what leads, the length of its first run of figures, the rest.

    Plain functions of both databases, so that an index can hold it without a column of its own.
    """

    template = f"({_BEFORE} || '!' || SUBSTR('{_LENGTHS}', {_RUN}, 1) || {_FROM_FIRST_FIGURE})"
    arity = 1
    output_field = CharField()

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> tuple[str, Any]:
        """By character codes there as well, where the database's language would pass over punctuation."""
        return self.as_sql(compiler, connection, template=f'({self.template} COLLATE "C")', **context)
