"""Times the herd list on a large herd: first and deep pages, each filter, each order, with their query counts.

    .venv/bin/python -m tests.bench.herdlist [head]

On PostgreSQL where NOTCHBOOK_BENCH_DATABASE_URL names an empty database.
"""

import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from tests.bench.scratch import scratch_installation, timed

TODAY = date(2026, 11, 20)
GROUPS = 20
WEIGHINGS = 3


def main(head: int) -> None:
    """Fill a herd, then ask."""
    with scratch_installation():
        outfit = fill(head)
        for name, question in questions(outfit):
            ask(outfit, name, question)


def fill(head: int) -> Any:
    """A herd of cows with calves and bulls: an EID, a visual tag, three weighings and a check for each."""
    from django.db import connection, transaction  # noqa: PLC0415

    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.ledger.rows import insert_rows  # noqa: PLC0415
    from herd.registry.models import Group  # noqa: PLC0415

    outfit = open_outfit(code="bench", name="Bench")
    groups = [Group(outfit=outfit, name=f"Pasture {number}") for number in range(GROUPS)]
    with timed("filling", head), transaction.atomic():
        insert_rows(groups)
        for start in range(0, head, 5_000):
            for table in tables(outfit, groups, range(start, min(head, start + 5_000))):
                insert_rows(table)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return outfit


def tables(outfit: Any, groups: list[Any], numbers: range) -> Iterator[list[Any]]:
    """The rows of some animals, table by table."""
    from herd.registry.models import Animal, TagWearing  # noqa: PLC0415

    animals = [
        Animal(
            outfit=outfit,
            animal_class=("cow", "cow", "heifer", "steer", "bull")[number % 5],
            born_on=date(2016, 3, 1) + timedelta(days=number * 37 % 3_800),
            born_precision="day",
            breed=("AN", "HH", "SM")[number % 3],
            status="sold" if number % 10 == 9 else "on_hand",
            status_since=date(2024, 1, 1) + timedelta(days=number % 600),
            group=groups[number * 7 % GROUPS] if number % 50 else None,
        )
        for number in numbers
    ]
    yield animals
    eids = [tag(outfit, "eid", str(840_270_000_100_000 + number * 7_919 % 900_000)) for number in numbers]
    vids = [tag(outfit, "vid", f"{'ABCDEFGH'[number % 8] if number % 4 == 3 else ''}{number}") for number in numbers]
    yield [*eids, *vids]
    yield [
        TagWearing(outfit=outfit, tag=one, animal=animal, kind=one.kind, worn_from=date(2024, 1, 1))
        for some in (eids, vids)
        for one, animal in zip(some, animals, strict=True)
        if one.kind == "eid" or int(one.number.lstrip("ABCDEFGH")) % 100
    ]
    yield [event for number, animal in zip(numbers, animals, strict=True) for event in life(outfit, animal, number)]


def tag(outfit: Any, kind: str, number: str) -> Any:
    from herd.registry.models import Tag  # noqa: PLC0415

    colour = "yellow" if kind == "vid" else ""
    return Tag(outfit=outfit, kind=kind, number=number, backwards=number[::-1], colour=colour)


def life(outfit: Any, animal: Any, number: int) -> Iterator[Any]:
    from django.utils import timezone  # noqa: PLC0415

    from herd.registry.models import Event  # noqa: PLC0415
    from herd.values.mass import NANOGRAMS, WeightUnit  # noqa: PLC0415

    now = timezone.now()
    for turn in range(WEIGHINGS):
        pounds = 500 + number * 131 % 700 + turn * 60
        yield Event(
            outfit=outfit,
            animal=animal,
            kind="weight",
            happened_on=date(2024 + turn, 10, 1 + number % 20),
            recorded_at=now,
            data={"weight": str(pounds), "unit": "lb"},
            weight_ng=pounds * NANOGRAMS[WeightUnit.LB],
        )
    result = ("pregnant", "open", "pregnant", "recheck")[number % 4]
    on = date(2026, 10, 1 + number % 20)
    data = {"result": result}
    yield Event(outfit=outfit, animal=animal, kind="pregnancy_check", happened_on=on, recorded_at=now, data=data)
    if number % 500 == 0:
        data = {"product": "Bench drench"}
        yield Event(outfit=outfit, animal=animal, kind="treatment", happened_on=on, recorded_at=now, data=data)


def questions(outfit: Any) -> Iterator[tuple[str, Any]]:
    """Each filter by itself, and each order both ways."""
    from herd.registry.models import Group  # noqa: PLC0415
    from herd.registry.queries.herdlist import SORTS, Question  # noqa: PLC0415
    from herd.values.mass import NANOGRAMS, WeightUnit  # noqa: PLC0415

    pound = NANOGRAMS[WeightUnit.LB]
    group = Group.objects.of(outfit).first().pk
    filters: dict[str, dict[str, Any]] = {
        "on hand": {},
        "any status": {"statuses": ()},
        "sold": {"statuses": ("sold",)},
        "one group": {"group_id": group},
        "in no group": {"is_loose": True},
        "calves": {"classes": ("calf",)},
        "6 to 12 months": {"months_from": 6, "months_to": 12},
        "no visual tag": {"lacks": "vid"},
        "wears a metal tag (nobody)": {"wears": "nues"},
        "treated since a day (few)": {"event": "treatment", "event_since": date(2026, 9, 1)},
        "weighed since a day (all)": {"event": "weight", "event_since": date(2026, 9, 1)},
        "not weighed since a day (nobody)": {
            "event": "weight",
            "event_since": date(2026, 9, 1),
            "event_is_lacking": True,
        },
        "last check open": {"last_check": "open"},
        "last weight 700 to 720 lb": {"weight_from": 700 * pound, "weight_to": 720 * pound},
        "last weight over 2,000 lb (nobody)": {"weight_from": 2_000 * pound},
        "number 4177": {"number": "4177"},
    }
    for name, more in filters.items():
        yield name, Question(TODAY, **more)
    for sort in SORTS:
        for is_falling in (False, True):
            yield f"by {sort}{', falling' if is_falling else ''}", Question(TODAY, sort=sort, is_falling=is_falling)
    yield "one group by weight", Question(TODAY, group_id=group, sort="weight")
    yield "700 to 720 lb by weight", Question(TODAY, weight_from=700 * pound, weight_to=720 * pound, sort="weight")


def ask(outfit: Any, name: str, question: Any) -> None:
    """Print what the first page, a page forty pages on, the one before it, and the count cost."""
    from herd.registry.queries.herdlist import count_of, page_of  # noqa: PLC0415

    first, first_ms, queries = measured(lambda: page_of(outfit, question))
    page = first
    for _ in range(40):
        page = page_of(outfit, question, after=page.next) if page.next else page
    deep, deep_ms, _ = measured(lambda: page_of(outfit, question, after=page.next or page.previous))
    _, back_ms, _ = measured(lambda: page_of(outfit, question, before=deep.previous))
    count, count_ms, _ = measured(lambda: count_of(outfit, question))
    print(  # noqa: T201
        f"{name:<36} first {first_ms:6.0f} ms  deep {deep_ms:6.0f} ms  back {back_ms:6.0f} ms"
        f"  count {count_ms:6.0f} ms  {queries} queries  {count:>7,} head"
    )


def measured(work: Any) -> tuple[Any, float, int]:
    """What the work returns, its milliseconds (the better of two), and its queries."""
    from django.db import connection  # noqa: PLC0415
    from django.test.utils import CaptureQueriesContext  # noqa: PLC0415

    times = []
    with CaptureQueriesContext(connection) as caught:
        result = None
        for _ in range(2):
            began = time.perf_counter()
            result = work()
            times.append((time.perf_counter() - began) * 1_000)
    return result, min(times), len(caught) // 2


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
