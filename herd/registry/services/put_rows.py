"""Writes rows as they shall stand, in an order in which no number is on two of them on the way."""

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from herd.ledger.rows import insert_rows, update_rows
from herd.registry.models import SUBJECTS, Record
from herd.registry.services.work import written_columns


def put_rows(new: Iterable[Record], changed: Iterable[Record]) -> None:
    """Insert the new rows and write all columns of the changed ones but those that are folded.

    What is changed is taken out first and set then: every state on the way holds fewer rows than the last, so
    that a number or a place which goes from one row to another is never on both.
    """
    olds, news = _by_kind(changed), _by_kind(new)
    standing: dict[UUID, bool] = {}
    for kind in reversed(SUBJECTS):
        for row in olds[kind]:
            standing[row.pk], row.is_void = row.is_void, True
        update_rows(olds[kind], ["is_void"])
    for kind, model in SUBJECTS.items():
        columns = {*written_columns(model), "is_void", "revision"} | ({"backwards"} if kind == "tag" else set())
        for row in olds[kind]:
            row.is_void = standing[row.pk]
        update_rows(olds[kind], columns)
        insert_rows(news[kind])


def _by_kind(rows: Iterable[Record]) -> dict[str, list[Record]]:
    found: dict[str, list[Record]] = defaultdict(list)
    for row in rows:
        found[row.SUBJECT].append(row)
    return found
