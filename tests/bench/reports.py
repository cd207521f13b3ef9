"""Times each report on a herd of ten thousand head: milliseconds, those of this process alone, and queries of its page.

    .venv/bin/python -m tests.bench.reports [head]

On PostgreSQL where NOTCHBOOK_BENCH_DATABASE_URL names an empty database.
"""

import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from tests.bench.scratch import scratch_installation, timed

GROUPS = 12
A_YEAR = timedelta(days=365)


def main(head: int) -> None:
    """Fill a herd, then open every report twice and print the quicker one."""
    from django.test import Client  # noqa: PLC0415
    from django.urls import reverse  # noqa: PLC0415

    with scratch_installation():
        from django.conf import settings  # noqa: PLC0415
        from django.core.management import call_command  # noqa: PLC0415

        call_command("collectstatic", verbosity=0, interactive=False)
        settings.ALLOWED_HOSTS = ["testserver"]
        today = date.today()  # noqa: DTZ011
        groups, person = fill(head, today)
        client = Client()
        client.force_login(person)
        for name, question in questions(groups, today):
            ask(client, name, reverse(f"office:{name}"), question)


def fill(head: int, today: date) -> tuple[list[Any], Any]:
    """Cows in groups, calves of last year and of this one with their weights, services, checks and calvings."""
    from django.db import connection, transaction  # noqa: PLC0415

    from herd.accounts.models import OutfitPerson, Person, Role  # noqa: PLC0415
    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.ledger.rows import insert_rows  # noqa: PLC0415
    from herd.registry.models import Group  # noqa: PLC0415

    outfit = open_outfit(code="bench", name="Bench")
    person = Person.objects.create_user(username="bench", password="a bench of some length")
    OutfitPerson.objects.create(outfit=outfit, person=person, role=Role.OWNER)
    groups = [Group(outfit=outfit, name=f"Pasture {number}") for number in range(GROUPS)]
    with timed("filling", head), transaction.atomic():
        insert_rows(groups)
        cows = add(outfit, groups, "cow", range(head * 4 // 10), today)
        bulls = add(outfit, groups, "bull", range(head // 100), today)
        for years in (1, 0):
            add_calves(outfit, groups, cows, bulls, years, head * 3 // 10, today)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return groups, person


def add(outfit: Any, groups: list[Any], name: str, numbers: range, today: date, **more: Any) -> list[Any]:
    """Grown animals with an EID, a visual tag and a stay in a group."""
    from herd.ledger.rows import insert_rows  # noqa: PLC0415
    from herd.registry.models import Animal  # noqa: PLC0415

    animals = [
        Animal(
            outfit=outfit, animal_class=name, entry_class=name, born_precision="day", status="on_hand",
            born_on=date(today.year - 3 - number % 8, 3, 1 + number % 28), breed=("Angus", "Hereford", "")[number % 3],
            entered_on=date(today.year - 3, 1, 1), status_since=date(today.year - 3, 1, 1),
            group=groups[number % GROUPS], **more,
        )
        for number in numbers
    ]  # fmt: skip
    insert_rows(animals)
    settle(outfit, groups, animals, name, today)
    return animals


def settle(outfit: Any, groups: list[Any], animals: list[Any], name: str, today: date) -> None:
    """Tags and stays of animals."""
    from herd.ledger.rows import insert_rows  # noqa: PLC0415
    from herd.registry.models import GroupMembership, Tag, TagWearing  # noqa: PLC0415

    letters = {"cow": "", "bull": "B"}.get(name, "C" + name[-1])
    tags, worn, stays = [], [], []
    for number, animal in enumerate(animals):
        vid = f"{letters}{number}"
        start = animal.entered_on or animal.born_on
        tags.append(Tag(outfit=outfit, kind="vid", number=vid, colour="yellow", backwards=vid[::-1]))
        worn.append(TagWearing(outfit=outfit, tag=tags[-1], animal=animal, kind="vid", worn_from=start))
        stays.append(GroupMembership(outfit=outfit, animal=animal, group=animal.group, joined_on=start))
    for rows in (tags, worn, stays):
        insert_rows(rows)


def add_calves(
    outfit: Any, groups: list[Any], cows: list[Any], bulls: list[Any], years: int, many: int, today: date
) -> None:
    """A calf crop of so many years ago: born in spring, weighed at birth, weaning and as yearlings."""
    from herd.ledger.rows import insert_rows  # noqa: PLC0415
    from herd.registry.models import Animal  # noqa: PLC0415

    animals = []
    for number in range(many):
        born = date(today.year - years, 3, 1) + timedelta(days=number * 7 % 70)
        name = ("heifer", "steer", "bull")[number % 3]
        animals.append(
            Animal(
                outfit=outfit, animal_class=name, entry_class=name, born_on=born, born_precision="day",
                status="on_hand", status_since=born, entered_on=born, dam=cows[number % len(cows)],
                sire=bulls[number % len(bulls)], group=groups[number % GROUPS], breed="Angus",
            )
        )  # fmt: skip
    insert_rows(animals)
    settle(outfit, groups, animals, f"calf{years}", today)
    insert_rows([one for number, calf in enumerate(animals) for one in life(outfit, calf, number, years, today)])


def life(outfit: Any, calf: Any, number: int, years: int, today: date) -> Iterator[Any]:
    """The events of a calf and of its dam in its year."""
    weaned = date(calf.born_on.year, 10, 10)
    yield event(outfit, calf, "weight", calf.born_on, pounds=75 + number % 25, purpose="birth")
    yield event(outfit, calf.dam, "calving", calf.born_on, calf=str(calf.pk), outcome="live")
    yield event(outfit, calf.dam, "service", date(calf.born_on.year, 6, 1 + number % 25))
    if weaned < today:
        yield event(outfit, calf, "weight", weaned, pounds=480 + number % 90, purpose="weaning")
        yield event(outfit, calf, "weaning", weaned)
        result = {"result": "open"} if number % 11 == 0 else {"result": "pregnant", "days": 100}
        yield event(outfit, calf.dam, "pregnancy_check", weaned, **result)
    yearling = date(calf.born_on.year + 1, 3, 20)
    if years and yearling < today:
        yield event(outfit, calf, "weight", yearling, pounds=800 + number % 120, purpose="yearling")
        yield event(outfit, calf, "hip_height", yearling, height=f"{46 + number % 5} in")
        if calf.animal_class == "bull":
            yield event(outfit, calf, "scrotal", yearling, circumference=f"{32 + number % 5} cm")


def event(outfit: Any, animal: Any, kind: str, on: date, pounds: int = 0, **data: Any) -> Any:
    """One event."""
    from django.utils import timezone  # noqa: PLC0415

    from herd.registry.models import Event  # noqa: PLC0415
    from herd.values.mass import NANOGRAMS, WeightUnit  # noqa: PLC0415

    if pounds:
        data |= {"weight": str(pounds), "unit": "lb"}
    grams = pounds * NANOGRAMS[WeightUnit.LB] if pounds else None
    return Event(
        outfit=outfit, animal=animal, kind=kind, happened_on=on, recorded_at=timezone.now(), data=data, weight_ng=grams
    )


def questions(groups: list[Any], today: date) -> Iterator[tuple[str, dict[str, str]]]:
    """Every report with the widest question that people ask of it."""
    year = today.year
    crop = {"since": f"{year - 1}-01-01", "until": f"{today}"}
    season, group = {"since": f"{year}-01-01", "until": f"{today}"}, str(groups[0].pk)
    exposure = {"bulls_in": f"{year - 1}-06-01", "bulls_out": f"{year - 1}-08-15"}
    yield from (
        ("report-week", {}), ("report-head", season), ("report-due", {"days": "365"}),
        ("report-gain", {"group": group, **crop}), ("report-calves", crop),
        ("report-calves", {**crop, "show": "groups"}),
        ("report-calves", {**crop, "show": "dams"}), ("report-sizes", crop),
        ("report-sizes", {**crop, "kind": "scrotal"}),
        ("report-calving", season), ("report-breeding", exposure),
        ("report-replacements", {**season, "bulls_in": f"{year}-06-01"}),
        ("report-breeding-kin", {"bulls": group, "females": group}), ("report-weights", {}),
        ("report-moving", {}), ("report-treatments", season), ("report-vaccines", {"group": group}),
        ("report-samples", season), ("withdrawal", {}), ("tag-log", {}), ("policy", {}),
    )  # fmt: skip


def ask(client: Any, name: str, address: str, question: dict[str, str]) -> None:
    """Print what a page costs; the better of two."""
    from django.db import connection  # noqa: PLC0415
    from django.test.utils import CaptureQueriesContext  # noqa: PLC0415

    times, busy, status, queries = [], [], 0, 0
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            began, began_busy = time.perf_counter(), time.process_time()
            status = client.get(address, question).status_code
            times.append((time.perf_counter() - began) * 1_000)
            busy.append((time.process_time() - began_busy) * 1_000)
        queries = len(caught)
    asked = " ".join(value for key, value in question.items() if key in {"show", "kind", "days"})
    cost = f"{min(times):7.0f} ms  busy {min(busy):7.0f} ms  {queries:4} queries  answer {status}"
    print(f"{name:<24} {asked:<10} {cost}")  # noqa: T201


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
