"""What is kept for the next field file, as it travels: standing rules and recipes, known by their keys."""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import models, transaction

from herd.accounts.models import Outfit
from herd.intake.kept import follow_recipes, follow_rules
from herd.intake.models import Recipe, StandingRule

Row = dict[str, Any]
Rows = Mapping[str, list[Row]]


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of thing that is kept: its table, the column that names it, what it says, and who writes it."""

    model: type[models.Model]
    key: str
    says: tuple[str, ...]
    follow: Callable[..., None]


SORTS = {
    "rules": Sort(StandingRule, "alike", ("choice", "label"), follow_rules),
    "recipes": Sort(Recipe, "layout", ("name", "columns"), follow_recipes),
}


def kept_here(outfit: Outfit) -> Rows:
    """All that the outfit keeps."""
    return {
        name: list(sort.model._default_manager.filter(outfit=outfit).order_by(sort.key).values(sort.key, *sort.says))
        for name, sort in SORTS.items()
    }


def digests(rows: Rows) -> dict[str, str]:
    """A short word for what each thing says, by its sort and key."""
    return {
        f"{name} {row[sort.key]}": digest(sort, row) for name, sort in SORTS.items() for row in rows.get(name, [])
    }


def digest(sort: Sort, row: Row) -> str:
    """A short word for what one thing says."""
    said = json.dumps([row[name] for name in sort.says], sort_keys=True)
    return hashlib.sha256(said.encode()).hexdigest()[:20]


@transaction.atomic
def take_kept(outfit: Outfit, given: Rows, where: str) -> None:
    """Keep or drop what another installation has changed, each where it still is here as it was seen there.

    `seen` of a row is the digest of what its author saw, empty for nothing; a row that `is_dropped` goes. What has
    changed here as well stays. Raises Refused.
    """
    # Two that send at once come one after the other.
    Outfit.objects.select_for_update().get(pk=outfit.pk)
    here = digests(kept_here(outfit))
    for name, sort in SORTS.items():
        fitting = [row for row in given.get(name, []) if here.get(f"{name} {row[sort.key]}", "") == row["seen"]]
        write(outfit, name, fitting, where)


def write(outfit: Outfit, name: str, rows: Iterable[Row], where: str) -> None:
    """Keep rows of a sort, and drop those that are dropped; raises Refused."""
    sort = SORTS[name]
    told = [{one: row[one] for one in (sort.key, *sort.says)} for row in rows if not row["is_dropped"]]
    dropped = [row[sort.key] for row in rows if row["is_dropped"]]
    if told or dropped:
        sort.follow(outfit=outfit, **{name: told}, dropped=dropped, where=where)
