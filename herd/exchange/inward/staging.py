"""Stages documents of the standard as the files of a processing day, which goes the way of any other from there on."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import islice

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Outfit, Person
from herd.exchange.inward.identities import Identities, resource_type
from herd.exchange.inward.rows import Desk, Draft, rows_of, unusable
from herd.exchange.inward.stream import BadDocument, Member, members_of
from herd.exchange.node import BadValue, Node
from herd.intake.days import GivenFile, open_day
from herd.intake.models import FieldFile, ProcessingDay, StagedRow
from herd.intake.pipeline import run
from herd.ledger.rows import insert_rows
from herd.values.identity import new_id

HEADER = ["resource", "when", "whose", "says"]
FORMAT = "ICAR ADE 1.3.2"
STEP = 2_000


def take_in(
    *, outfit: Outfit, person: Person | None, files: Sequence[GivenFile], worked_on: date, name: str = ""
) -> ProcessingDay:
    """Open a day with these documents, stage every resource of them, and decide it; nothing is in the record yet.

    Raises Refused for a document that is too large or given twice. One that can't be read stays with its reason.
    """
    name = name or f"Open exchange, {', '.join(file.name for file in files)}"
    # An animal's own resource brings it in where the outfit's record is still empty, as a herd list does.
    listed = [GivenFile(file.name, file.content, is_herd_list=True) for file in files]
    with transaction.atomic():
        day = open_day(outfit=outfit, person=person, name=name, worked_on=worked_on, group=None, files=listed)
        _stage_files(day)
    run(day)
    day.refresh_from_db()
    return day


def _stage_files(day: ProcessingDay) -> None:
    # The last day that is not in the future anywhere, as the record has it.
    today = timezone.now().date() + timedelta(days=1)
    identities = Identities(day.outfit, today)
    files = [file for file in day.files.all() if _learn(file, identities)]
    identities.look_up()
    desk = Desk(day.outfit, identities, today)
    for file in files:
        file.row_count = _stage(file, desk)
        file.dialect, file.header, file.is_read = {"format": FORMAT}, HEADER, True
        file.save(update_fields=["row_count", "dialect", "header", "is_read"])


def _learn(file: FieldFile, identities: Identities) -> bool:
    """Find out whom the document names; False where it can't be read, and then it says why."""
    try:
        for member in members_of(bytes(file.content)):
            if isinstance(member.value, dict):
                identities.learn(member.value)
    except BadDocument as problem:
        file.problem, file.is_read = str(problem)[:400], True
        file.save(update_fields=["problem", "is_read"])
        return False
    return True


def _stage(file: FieldFile, desk: Desk) -> int:
    rows = _rows(file, desk)
    count = 0
    while some := list(islice(rows, STEP)):
        count += insert_rows(some)
    return count


def _rows(file: FieldFile, desk: Desk) -> Iterator[StagedRow]:
    number = 0
    for member in members_of(bytes(file.content)):
        for draft in _drafts(member, desk):
            yield StagedRow(
                id=new_id(),
                day_id=file.day_id,
                file_id=file.pk,
                line=member.place + 1,
                number=number,
                cells=_cells(member, draft),
                readings=draft.readings,
                problems=draft.problems,
            )
            number += 1


def _drafts(member: Member, desk: Desk) -> Iterator[Draft]:
    if member.fault:
        yield unusable(BadValue(member.pointer, "", member.fault))
    elif not isinstance(member.value, dict):
        yield unusable(BadValue(member.pointer, member.value, "A resource must be an object."))
    else:
        yield from rows_of(Node(member.value, member.pointer), desk)


def _cells(member: Member, draft: Draft) -> list[str]:
    """The resource in a few words for the page that lists lines."""
    members = member.value if isinstance(member.value, dict) else {}
    readings = draft.readings
    whose = " ".join(str(readings[key]) for key in ("eid", "vid", "vid_colour") if readings.get(key))
    named = whose or str(readings.get("called") or readings.get("animal") or "")
    kind = resource_type(members).removeprefix("icar").removesuffix("Resource") if members else ""
    return [kind[:60], str(readings.get("day") or ""), named[:120], draft.says[:300]]
