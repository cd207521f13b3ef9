"""Small herds, field files written out line by line, and short ways to ask what came of them."""

import io
import json
from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from openpyxl import Workbook

from herd.accounts.models import Outfit
from herd.intake.days import GivenFile, open_day
from herd.intake.models import Finding, FindingKind, MergedLine, ProcessingDay, RowState, StagedRow
from herd.intake.pipeline import apply_day, run
from herd.intake.queries.report import report_of
from herd.intake.review import rule
from herd.intake.steps.apply import Applied
from herd.registry.models import Group
from herd.registry.queries.export import export_outfit
from herd.registry.services import groups
from tests.cast import eid_tag, entry, register, vid_tag

WORKED_ON = date(2025, 10, 20)
SINCE = date(2024, 3, 1)


def eid(number: int) -> str:
    """An invented EID of the outfit: 840, then 270, then the number."""
    return f"840270{number:09d}"


def csv_file(name: str, lines: Sequence[str], *, is_herd_list: bool = False) -> GivenFile:
    """A text file as a device writes it."""
    return GivenFile(name, "".join(f"{line}\n" for line in lines).encode(), is_herd_list)


def xlsx_file(name: str, rows: Sequence[Sequence[Any]]) -> GivenFile:
    """A workbook of one sheet."""
    book = Workbook()
    for row in rows:
        book.active.append(list(row))
    out = io.BytesIO()
    book.save(out)
    return GivenFile(name, out.getvalue())


def group(outfit: Outfit, name: str = "Upper Bench") -> Group:
    """The group of this name, opened where the outfit has none."""
    found = Group.objects.of(outfit).filter(name=name).first()
    return found or Group.objects.get(pk=groups.open_group(entry=entry(outfit), name=name))


def cow(outfit: Outfit, vid: str = "", eid_number: str = "", *, in_group: str = "Upper Bench", **facts: Any) -> UUID:
    """One animal with these tags, yellow where they have a colour, in a group unless that is empty."""
    colour = facts.pop("colour", "yellow")
    tags = [vid_tag(vid, colour)] if vid else []
    tags += [eid_tag(eid_number)] if eid_number else []
    tags += facts.pop("tags", [])
    group_id = group(outfit, in_group).pk if in_group else None
    return register(outfit, *tags, group_id=group_id, on=SINCE, **facts)


def herd(outfit: Outfit, vids: Sequence[int], **more: Any) -> dict[int, UUID]:
    """Cows with visual tags; each wears the EID of its number times eleven, so that no EID is near another."""
    return {vid: cow(outfit, str(vid), eid(vid * 11), **more) for vid in vids}


def work(
    outfit: Outfit,
    files: Sequence[GivenFile],
    *,
    of: str | None = "Upper Bench",
    day: date = WORKED_ON,
    name: str = "Work",
) -> ProcessingDay:
    """Open a day with these files and take it to review."""
    place = group(outfit, of) if of else None
    opened = open_day(outfit=outfit, person=None, name=name, worked_on=day, group=place, files=files)
    run(opened)
    return ProcessingDay.objects.get(pk=opened.pk)


def apply(day: ProcessingDay) -> Applied:
    """Write what is clear."""
    return apply_day(ProcessingDay.objects.get(pk=day.pk), None)


def kinds(day: ProcessingDay) -> list[str]:
    """The kinds of the open findings, in the order of FindingKind."""
    found = Finding.objects.filter(day=day, is_open=True).values_list("kind", flat=True)
    return sorted(found, key=list(FindingKind.values).index)


def findings(day: ProcessingDay, kind: str) -> list[Finding]:
    """The open findings of a kind, by title."""
    return list(Finding.objects.filter(day=day, is_open=True, kind=kind).order_by("title"))


def finding(day: ProcessingDay, kind: str) -> Finding:
    """The only open finding of a kind."""
    found = findings(day, kind)
    assert len(found) == 1, [(one.kind, one.title) for one in Finding.objects.filter(day=day, is_open=True)]
    return found[0]


def verbs(one: Finding) -> list[str]:
    """What can be chosen, without what it is about."""
    return [choice["choice"].partition(":")[0] for choice in one.choices]


def answer(day: ProcessingDay, one: Finding, wanted: str, *, typed: str = "", **more: Any) -> int:
    """Rule on a finding by a choice, or by the first choice with this verb."""
    names = [choice["choice"] for choice in one.choices]
    choice = next(name for name in names if wanted in (name, name.partition(":")[0]))
    return rule(day=ProcessingDay.objects.get(pk=day.pk), finding=one, choice=choice, typed=typed, **more)


def rule_and_apply(day: ProcessingDay, kind: str, wanted: str, *, typed: str = "") -> None:
    """Rule on the only finding of a kind, see that it is settled, and apply."""
    answer(day, finding(day, kind), wanted, typed=typed)
    assert kind not in kinds(day)
    apply(day)


def record(outfit: Outfit) -> str:
    """The whole record as it is printed."""
    return json.dumps(list(export_outfit(outfit)), sort_keys=True)


def animals(outfit: Outfit) -> dict[str, dict[str, Any]]:
    """The animals of the exported record by id."""
    return {one["id"]: one for one in list(export_outfit(outfit))[1:]}


def events(outfit: Outfit, animal_id: UUID, kind: str) -> list[dict[str, Any]]:
    """What the record says happened to an animal."""
    return [one for one in animals(outfit)[str(animal_id)]["events"] if one["kind"] == kind]


def weights(outfit: Outfit, animal_id: UUID) -> list[str]:
    """An animal's weights as entered, by day."""
    return [f"{one['data']['weight']} {one['data']['unit']}" for one in events(outfit, animal_id, "weight")]


def worn(outfit: Outfit, animal_id: UUID, kind: str = "eid") -> list[tuple[str, str]]:
    """An animal's tags of a kind as number and how the wearing ended, the present one with nothing."""
    tags = animals(outfit)[str(animal_id)]["tags"]
    return [(one["number"], one["ended"]) for one in tags if one["kind"] == kind]


def who_has(outfit: Outfit, number: str) -> list[str]:
    """The ids of the animals that wear a number now."""
    return [
        one["id"]
        for one in animals(outfit).values()
        if any(tag["number"] == number and not tag["ended"] for tag in one["tags"])
    ]


def states(day: ProcessingDay, file: str = "") -> list[str]:
    """How the lines of a day stand, in the order of files and lines."""
    rows = StagedRow.objects.filter(day=day, **({"file__name": file} if file else {}))
    return list(rows.order_by("file__position", "number").values_list("state", flat=True))


def notes(day: ProcessingDay) -> list[str]:
    """All notes of a day's lines."""
    return [note for line in MergedLine.objects.filter(day=day) for note in line.notes]


def check_counts(day: ProcessingDay) -> None:
    """See that every line of every file stands in exactly one state."""
    report = report_of(day)
    for counts in [*report.files, report.totals]:
        ends = [getattr(counts, state) for state in RowState.values]
        assert sum(ends) == counts.lines, counts
        assert counts.file is None or counts.lines == counts.file.row_count, counts
