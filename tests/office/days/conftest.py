"""A processing day as the office sees it: six cows of Upper Bench, four files, findings of several kinds."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.urls import reverse

from herd.accounts.models import Person
from herd.intake.days import GivenFile, open_day
from herd.intake.models import FieldFile, Finding, ProcessingDay
from herd.intake.pipeline import run
from herd.registry.models import Group
from herd.registry.services import groups
from tests.cast import Cast, eid_tag, entry, register, vid_tag

WORKED_ON = date(2026, 11, 21)
FIRST_EID = 840270000004170

READER = "EID;Date;Time\n" + "".join(
    f"{eid};21/11/2026;07:0{place}:11\n"
    for place, eid in enumerate([*range(FIRST_EID, FIRST_EID + 4), 840270000777777, 840270000004974])
)
PHONE = "VID,Weight,Preg\n417,1180,bred 90\n418,505,open\n419,1210,open\n420,heavy,bred\n999,1100,open\n"
LIST = "840270000004170\n840270000004171\n840270000999999\n"
PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(300)


@dataclass(slots=True)
class Bench:
    """Upper Bench with its cows 417 to 422 yellow, the first of them wearing FIRST_EID and so on."""

    group: Group
    cows: list[UUID] = field(default_factory=list)


@pytest.fixture
def bench(cast: Cast) -> Bench:
    group_id = groups.open_group(entry=entry(cast.kettle_bench), name="Upper Bench")
    cows = [
        register(
            cast.kettle_bench,
            eid_tag(str(FIRST_EID + place)),
            vid_tag(str(417 + place)),
            group_id=group_id,
            born_on=date(2020, 3, 4),
            born_precision="day",
        )
        for place in range(6)
    ]
    return Bench(Group.objects.get(pk=group_id), cows)


Stage = Callable[..., ProcessingDay]


@pytest.fixture
def stage(cast: Cast, bench: Bench) -> Stage:
    """Open a day with files given as name=content pairs and take it to review."""

    def staged(files: dict[str, str | bytes], **more: Any) -> ProcessingDay:
        given = [
            GivenFile(name, content if isinstance(content, bytes) else content.encode())
            for name, content in files.items()
        ]
        day = open_day(
            outfit=cast.kettle_bench,
            person=cast.cal,
            name="Preg check",
            worked_on=WORKED_ON,
            group=bench.group,
            files=given,
            **more,
        )
        run(day)
        return day

    return staged


@pytest.fixture
def day(stage: Stage) -> ProcessingDay:
    return stage({"reader.csv": READER, "phone.csv": PHONE, "list.txt": LIST, "photo.csv": PICTURE})


@pytest.fixture
def clear_day(stage: Stage) -> ProcessingDay:
    """A day that needs no person: weights of all six cows."""
    lines = "".join(f"{FIRST_EID + cow},{1100 + cow}\n" for cow in range(6))
    return stage({"scale.csv": "EID,Weight (lb)\n" + lines})


@pytest.fixture
def cal_in(cast: Cast, as_person: Callable[[Person], Client]) -> Client:
    return as_person(cast.cal)


@pytest.fixture
def ben_in(cast: Cast, as_person: Callable[[Person], Client]) -> Client:
    return as_person(cast.ben)


@pytest.fixture
def dot_in(cast: Cast, as_person: Callable[[Person], Client]) -> Client:
    return as_person(cast.dot)


def page_of(client: Client, name: str, *ids: UUID, **asked: str) -> str:
    """Fetch a page of the office by its address's name and return its text."""
    answer = client.get(reverse(f"office:{name}", args=ids), asked)
    assert answer.status_code == 200, (name, answer.status_code)
    return answer.content.decode()


def file_named(day: ProcessingDay, name: str) -> FieldFile:
    """The day's file of that name."""
    return day.files.get(name=name)


def open_finding(day: ProcessingDay, kind: str, choice: str = "") -> Finding:
    """The first open finding of a kind, with a choice that begins so."""
    found = Finding.objects.filter(day=day, is_open=True, kind=kind).order_by("id")
    return next(one for one in found if any(said["choice"].startswith(choice) for said in one.choices))


BY_SCRIPT = {"HX-Request": "true"}


def rule(client: Client, day: ProcessingDay, finding: Finding, choice: str, script: bool = False, **more: str) -> Any:
    """Answer a finding as the form on its page does; `script` as the page does with a script."""
    headers = BY_SCRIPT if script else {}
    said = {"finding": finding.pk, "choice": choice, **more}
    return client.post(reverse("office:review-rule", args=[day.pk]), said, headers=headers)


def shown(page: str) -> str:
    """The id of the finding that a page shows."""
    return re.search(r'data-finding="([^"]+)"', page)[1]


def left(day: ProcessingDay) -> int:
    """How many findings are open."""
    return day.findings.filter(is_open=True).count()
