"""Processing days: open one with its files, add and remove files, change what columns are, undo."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Max

from herd.accounts.models import Outfit, Person
from herd.intake.models import DayState, FieldFile, ProcessingDay, Recipe, StagedRow
from herd.intake.steps.clean import clean_file
from herd.intake.steps.home import check_home
from herd.intake.steps.read import digest
from herd.intake.steps.settle import settle_day
from herd.ledger.entry import Entry
from herd.ledger.models import Changeset, ChangesetKind
from herd.registry.models import Animal, Group
from herd.registry.services.refused import Refusal, Refused
from herd.registry.undo import UndoVerdict, judge, undo


@dataclass(frozen=True, slots=True)
class GivenFile:
    """A file as it came in: its name and its bytes."""

    name: str
    content: bytes
    is_herd_list: bool = False


def open_day(
    *,
    outfit: Outfit,
    person: Person | None,
    name: str,
    worked_on: date,
    group: Group | None,
    files: Sequence[GivenFile],
) -> ProcessingDay:
    """Open a day with its files; nothing is read yet. Raises Refused, and then no day is opened."""
    if group is not None and group.outfit_id != outfit.pk:
        raise Refused([Refusal("That group is not in this outfit's record.", "group")])
    with transaction.atomic():
        day = ProcessingDay.objects.create(
            outfit=outfit,
            name=name.strip()[:120] or f"Work of {worked_on}",
            worked_on=worked_on,
            group=group,
            made_by=person,
        )
        add_files(day=day, files=files)
    return day


def add_files(*, day: ProcessingDay, files: Sequence[GivenFile]) -> None:
    """Add files to a day, to be read next; raises Refused for one that is empty, too large or there already."""
    check_home(day)
    if not files:
        raise Refused([Refusal("A processing day needs at least one file.", "files")])
    with transaction.atomic():
        known = set(day.files.values_list("sha256", flat=True))
        last = day.files.aggregate(last=Max("position"))["last"]
        for place, given in enumerate(files, start=0 if last is None else last + 1):
            name = digest(given.content)
            if name in known:
                raise Refused([Refusal(f"{given.name} is in this day already.", "files")])
            if len(given.content) > settings.FIELD_FILE_MAX_BYTES:
                most = settings.FIELD_FILE_MAX_BYTES // 1024**2
                raise Refused([Refusal(f"{given.name} is larger than {most} MB.", "files")])
            known.add(name)
            FieldFile.objects.create(
                day=day,
                position=place,
                name=given.name[:200] or "unnamed",
                sha256=name,
                size=len(given.content),
                content=given.content,
                is_herd_list=given.is_herd_list,
            )
        # Only the first herd list of an outfit brings animals in without asking.
        if any(given.is_herd_list for given in files) and not Animal.objects.of(day.outfit).exists():
            day.makes_animals = True
        day.state = DayState.WORKING
        day.save(update_fields=["state", "makes_animals"])


def remove_file(*, file: FieldFile) -> None:
    """Take a file out of its day; raises Refused once something it says is in the record."""
    check_home(file.day)
    if StagedRow.objects.filter(file=file, was_applied=True).exists():
        raise Refused([Refusal(f"{file.name} has been applied; undo the day first.", "files")])
    with transaction.atomic():
        StagedRow.objects.filter(file=file).delete()
        day_id, was_list = file.day_id, file.is_herd_list
        file.delete()
        day = ProcessingDay.objects.filter(pk=day_id)
        day.update(state=DayState.WORKING)
        if was_list and not FieldFile.objects.filter(day=day_id, is_herd_list=True).exists():
            day.update(makes_animals=False)


def set_columns(*, file: FieldFile, columns: list[dict[str, Any]]) -> None:
    """Say what the columns are, keep it as the recipe of this layout, and read the file's rows anew.

    Raises Refused once something the file says is in the record: read otherwise it would be written beside it.
    """
    check_home(file.day)
    if StagedRow.objects.filter(file=file, was_applied=True).exists():
        raise Refused([Refusal(f"{file.name} has been applied; undo the day first.", "columns")])
    if not file.columns:
        raise Refused([Refusal(f"{file.name} has no columns.", "columns")])
    with transaction.atomic():
        file.columns = columns
        file.save(update_fields=["columns"])
        clean_file(file, file.day)
        if file.layout:
            Recipe.objects.update_or_create(
                outfit=file.day.outfit, layout=file.layout, defaults={"columns": columns, "name": file.name}
            )
        ProcessingDay.objects.filter(pk=file.day_id).update(state=DayState.WORKING)


def change_day(*, day: ProcessingDay, name: str, worked_on: date, group: Group | None) -> None:
    """Correct a day's name, date or group; what its rows come to is decided anew.

    Raises Refused for another outfit's group, and for another date once something of the day is in the record.
    """
    check_home(day)
    if group is not None and group.outfit_id != day.outfit_id:
        raise Refused([Refusal("That group is not in this outfit's record.", "group")])
    if worked_on != day.worked_on and StagedRow.objects.filter(day=day, was_applied=True).exists():
        raise Refused([Refusal("Lines of this day are in the record under its date; undo the day first.", "worked_on")])
    day.name, day.worked_on, day.group = name.strip()[:120] or day.name, worked_on, group
    day.state = DayState.WORKING
    day.save(update_fields=["name", "worked_on", "group", "state"])


def changesets_of(day: ProcessingDay) -> list[Changeset]:
    """The changesets that stand from this day, newest first."""
    return list(
        Changeset.objects.filter(
            outfit=day.outfit_id, day_id=day.pk, kind=ChangesetKind.INTAKE, is_undone=False
        ).order_by("-recorded_at", "-id")
    )


def judge_undo(day: ProcessingDay) -> UndoVerdict:
    """Say whether the day can be taken back. Writes nothing."""
    if day.home:
        return UndoVerdict(is_possible=False, count=0, reasons=(f"It is taken back at {day.home}.",))
    written = changesets_of(day)
    if not written:
        return UndoVerdict(is_possible=False, count=0, reasons=("Nothing of this day is in the record.",))
    # A later changeset of the same day is taken back before it, and so stands in nobody's way.
    verdicts = [judge(changeset, after=written[:place]) for place, changeset in enumerate(written)]
    reasons = [reason for verdict in verdicts for reason in verdict.reasons]
    return UndoVerdict(
        is_possible=not reasons, count=sum(verdict.count for verdict in verdicts), reasons=tuple(reasons)
    )


def undo_day(*, day: ProcessingDay, person: Person | None) -> UndoVerdict:
    """Take back all that the day wrote, newest first, and bring it back into review; all or nothing."""
    with transaction.atomic():
        verdict = judge_undo(day)
        if not verdict.is_possible:
            return verdict
        for changeset in changesets_of(day):
            entry = Entry(
                day.outfit,
                person,
                ChangesetKind.UNDO,
                f"Undo of {changeset.title}",
                day_id=day.pk,
                undoes=changeset,
            )
            verdict = undo(entry, changeset)
            if not verdict.is_possible:
                transaction.set_rollback(True)
                return verdict
        StagedRow.objects.filter(day=day).update(was_applied=False)
        day.state = DayState.REVIEW
        day.save(update_fields=["state"])
        settle_day(day)
    return verdict
