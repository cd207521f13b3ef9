"""Fills a herd for the benchmarks of sync and look-up, straight into the tables."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from tests.bench.herdlist import tag
from tests.bench.scratch import EIDS_FROM, timed

WEIGHED_IN = (2024, 2025, 2026)
STEP = 5_000


def eid(number: int) -> str:
    """The EID of the animal with this number in the herd; neighbours differ in most digits' places."""
    return str(EIDS_FROM + number * 7)


def pounds(number: int, year: int) -> int:
    """What that animal weighed in a year."""
    return 1_000 + number * 131 % 200 + (year - 2024) * 20


def fill_herd(outfit: Any, head: int, pen: int, weighings: int = len(WEIGHED_IN)) -> list[Any]:
    """Fill cows in pens of so many head: an EID, a visual tag, weighings and a check for each; return the pens."""
    from django.db import connection, transaction  # noqa: PLC0415

    from herd.ledger.rows import insert_rows  # noqa: PLC0415
    from herd.ledger.statistics import renew_statistics  # noqa: PLC0415
    from herd.registry.models import Group  # noqa: PLC0415

    pens = [Group(outfit=outfit, name=f"Pen {number}") for number in range(head // pen)]
    with timed(f"filling {head:,} head", head), transaction.atomic():
        insert_rows(pens)
        for start in range(0, head, STEP):
            for table in _tables(outfit, pens, range(start, min(head, start + STEP)), weighings):
                insert_rows(table)
    renew_statistics()
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return pens


def _tables(outfit: Any, pens: list[Any], numbers: range, weighings: int) -> Iterator[list[Any]]:
    from herd.registry.models import Animal, GroupMembership, TagWearing  # noqa: PLC0415

    joined = date(2024, 1, 1)
    animals = [
        Animal(
            outfit=outfit,
            entry_class="cow",
            animal_class="cow",
            born_on=date(2016, 3, 1) + timedelta(days=number * 37 % 1_800),
            born_precision="day",
            breed=("AN", "HH", "SM")[number % 3],
            entered_on=joined,
            status_since=joined,
            group=pens[number % len(pens)],
        )
        for number in numbers
    ]
    yield animals
    pairs = list(zip(numbers, animals, strict=True))
    eids = [tag(outfit, "eid", eid(number)) for number in numbers]
    vids = [tag(outfit, "vid", str(number + 1)) for number in numbers]
    yield [*eids, *vids]
    yield [
        TagWearing(outfit=outfit, tag=one, animal=animal, kind=one.kind, worn_from=joined)
        for some in (eids, vids)
        for one, animal in zip(some, animals, strict=True)
    ]
    yield [
        GroupMembership(outfit=outfit, animal=animal, group=animal.group, joined_on=joined) for animal in animals
    ]
    yield [event for number, animal in pairs for event in _life(outfit, animal, number, weighings)]


def _life(outfit: Any, animal: Any, number: int, weighings: int) -> Iterator[Any]:
    from django.utils import timezone  # noqa: PLC0415

    from herd.registry.models import Event  # noqa: PLC0415
    from herd.values.mass import NANOGRAMS, WeightUnit  # noqa: PLC0415

    same = {"outfit": outfit, "animal": animal, "recorded_at": timezone.now()}
    for year in WEIGHED_IN[-weighings:]:
        weight = pounds(number, year)
        data = {"weight": str(weight), "unit": "lb"}
        on = date(year, 10, 1 + number % 20)
        yield Event(kind="weight", happened_on=on, data=data, weight_ng=weight * NANOGRAMS[WeightUnit.LB], **same)
    data = {"result": ("pregnant", "open")[number % 4 == 1]}
    yield Event(kind="pregnancy_check", happened_on=date(2026, 10, 1 + number % 20), data=data, **same)


def multiply_herd(head: int, times: int) -> None:
    """Make `times` as many head of what `fill_herd` has filled, inside the database, each with its own numbers."""
    from django.db import connection, transaction  # noqa: PLC0415

    from herd.ledger.statistics import renew_statistics  # noqa: PLC0415
    from herd.registry.models import Animal, Event, Tag, TagWearing  # noqa: PLC0415

    is_sqlite = connection.vendor == "sqlite"
    with timed(f"multiplying to {head * times:,} head", head * times), connection.cursor() as cursor:
        if is_sqlite:
            connection.connection.create_function("reverse", 1, lambda text: text[::-1], deterministic=True)
            cursor.execute("PRAGMA cache_size = -800000")
        with transaction.atomic():
            for model in (Animal, Tag, TagWearing, Event):
                cursor.execute(_multiplying(model, head, times, is_sqlite=is_sqlite))
        if not is_sqlite:
            cursor.execute("ANALYZE")
    renew_statistics()
    # A server's connection has the usual cache.
    connection.close()


def spread_herd(template: Any) -> None:
    """Give every outfit whose code is an o and a number the head of one that is filled, in no group."""
    from django.db import connection, transaction  # noqa: PLC0415

    from herd.ledger.statistics import renew_statistics  # noqa: PLC0415
    from herd.registry.models import Animal, Event, Tag, TagWearing  # noqa: PLC0415

    is_sqlite = connection.vendor == "sqlite"
    own = template.pk.hex if is_sqlite else str(template.pk)
    with transaction.atomic(), connection.cursor() as cursor:
        for model in (Animal, Tag, TagWearing, Event):
            statement = _multiplying(model, 0, 2, is_sqlite=is_sqlite, template=own)
            cursor.execute(statement)
        if not is_sqlite:
            cursor.execute("ANALYZE")
    renew_statistics()
    connection.close()


def _multiplying(model: Any, head: int, times: int, *, is_sqlite: bool, template: str = "") -> str:
    """The statement that copies a table's rows; the digits after its version, which is none, count the copies."""
    table, columns = model._meta.db_table, [one.column for one in model._meta.concrete_fields]
    copied = {"id": "", "animal_id": "", "tag_id": ""}
    step = f"(n * {head} * CASE kind WHEN 'eid' THEN 7 ELSE 1 END)"
    number = f"CAST(CAST(number AS bigint) + {step} AS varchar(30))"
    values = []
    for column in columns:
        if column in copied and is_sqlite:
            values.append(f"substr({column}, 1, 12) || 'f' || printf('%03x', n) || substr({column}, 17)")
        elif column in copied:
            values.append(f"overlay({column}::text placing 'f' || lpad(to_hex(n), 3, '0') from 15 for 4)::uuid")
        elif template:
            values.append({"outfit_id": "outfit", "group_id": "NULL"}.get(column, column))
        else:
            values.append({"number": number, "backwards": f"reverse({number})"}.get(column, column))
    into = f"INSERT INTO {table} ({', '.join(columns)})"
    if template:
        others = f"code LIKE 'o%' AND id <> '{template}'"
        found = f"(SELECT CAST(substr(code, 2) AS integer) AS n, id AS outfit FROM accounts_outfit WHERE {others})"
        source = f"{table} CROSS JOIN {found} AS copies WHERE outfit_id = '{template}'"
        return f"{into} SELECT {', '.join(values)} FROM {source}"
    copies = f"WITH RECURSIVE copies(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM copies WHERE n < {times - 1})"
    return f"{copies} {into} SELECT {', '.join(values)} FROM {table} CROSS JOIN copies"
