"""Stages field files as a processing day and prints what they come to; applies what is clear when told to."""

import json
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.intake.days import GivenFile, open_day
from herd.intake.models import FieldFile, Finding, FindingKind, ProcessingDay, RowState, StagedRow
from herd.intake.pipeline import apply_day, run
from herd.intake.queries.report import FileCounts, report_of
from herd.registry.models import Group
from herd.registry.services.refused import Refused

CLEAR, REFUSED, FINDINGS_WAIT = 0, 1, 3


class Command(BaseCommand):
    """Stage files: exit 0 all clear, 3 findings wait, 1 refused, 2 usage."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Declare files and options."""
        parser.add_argument("files", nargs="+", metavar="FILE", help="field files of one processing day")
        parser.add_argument("--outfit", required=True, help="the outfit's code")
        parser.add_argument("--group", default="", help="the group that was worked")
        parser.add_argument("--day", type=date.fromisoformat, default=None, metavar="YYYY-MM-DD")
        parser.add_argument("--name", default="", help="what to call the day")
        parser.add_argument("--herd-list", action="store_true", help="the files are herd lists")
        parser.add_argument("--apply-clear", action="store_true", help="apply what needs no person")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Stage, perhaps apply, print, and end with the exit code."""
        outfit = self._outfit(options["outfit"])
        try:
            day = self._open(outfit, options)
            run(day)
            if options["apply_clear"]:
                apply_day(day, None)
        except Refused as refused:
            raise CommandError(str(refused), returncode=REFUSED) from refused
        answer = describe(day)
        self.stdout.write(json.dumps(answer, ensure_ascii=False) if options["json"] else in_words(answer))
        unread = [file for file in answer["files"] if file["problem"]]
        if unread and len(unread) == len(answer["files"]):
            raise SystemExit(REFUSED)
        if answer["findings"] or unread:
            raise SystemExit(FINDINGS_WAIT)

    def _outfit(self, code: str) -> Outfit:
        outfit = Outfit.objects.filter(code=code).first()
        if outfit is None:
            known = (
                ", ".join(Outfit.objects.values_list("code", flat=True)) or "none yet; see manage.py outfit"
            )
            raise CommandError(
                f"There is no outfit with the code {code!r}. Outfits here: {known}.", returncode=REFUSED
            )
        return outfit

    def _open(self, outfit: Outfit, options: dict[str, Any]) -> ProcessingDay:
        group = None
        if options["group"]:
            group = Group.objects.of(outfit).filter(name__iexact=options["group"]).first()
            if group is None:
                raise CommandError(f"There is no group called {options['group']!r}.", returncode=REFUSED)
        today = timezone.now().astimezone(outfit.zone).date()
        worked_on = options["day"] or today
        files = [self._given(path, is_herd_list=options["herd_list"]) for path in options["files"]]
        name = options["name"] or (
            f"Herd list of {worked_on}" if options["herd_list"] else f"Work of {worked_on}"
        )
        return open_day(outfit=outfit, person=None, name=name, worked_on=worked_on, group=group, files=files)

    def _given(self, path: str, *, is_herd_list: bool) -> GivenFile:
        try:
            return GivenFile(Path(path).name, Path(path).read_bytes(), is_herd_list)
        except OSError as problem:
            raise CommandError(f"{path} can't be read: {problem.strerror}.", returncode=REFUSED) from problem


def describe(day: ProcessingDay) -> dict[str, Any]:
    """A day as plain values; line numbers count in the file as it is, from 1."""
    report = report_of(day)
    rows = {
        str(key): {"file": name, "line": line}
        for key, name, line in StagedRow.objects.filter(day=day).values_list("id", "file__name", "line")
    }
    order = list(FindingKind)
    findings = sorted(
        Finding.objects.filter(day=day, is_open=True), key=lambda one: order.index(FindingKind(one.kind))
    )
    return {
        "day": str(day.pk),
        "files": [_file(counts) for counts in report.files],
        "findings": [
            {
                "id": str(one.pk),
                "kind": one.kind,
                "title": one.title,
                "animal": str(one.animal_id) if one.animal_id else None,
                "lines": [rows[row] for row in one.rows if row in rows],
                "reasons": one.reasons,
                "choices": one.choices,
            }
            for one in findings
        ],
        "unusable_lines": unusable_lines(day),
        "ready": report.ready,
        "written": report.done,
    }


def _file(counts: FileCounts) -> dict[str, Any]:
    file: FieldFile = counts.file  # type: ignore[assignment]
    return {
        "name": file.name,
        "lines": counts.lines,
        "applied": counts.applied,
        "known": counts.known,
        "set_aside": counts.set_aside,
        "unusable": counts.unusable,
        "waiting": counts.waiting,
        "dialect": file.dialect,
        "columns": file.columns,
        "warnings": file.warnings,
        "problem": file.problem,
    }


def unusable_lines(day: ProcessingDay) -> list[dict[str, Any]]:
    """Every line that can't be used and every cell that could not be read, with its reason."""
    found: list[dict[str, Any]] = []
    rows = StagedRow.objects.filter(day=day).order_by("file__position", "number").select_related("file")
    for row in rows.defer("file__content").iterator():
        cells = [
            {"column": one["column"], "value": one["value"], "reason": one["reason"]} for one in row.problems
        ]
        if row.state == RowState.UNUSABLE and not cells:
            cells = [{"column": None, "value": " | ".join(row.cells), "reason": row.reason}]
        found += [{"file": row.file.name, "line": row.line, **cell} for cell in cells]
    return found


def in_words(answer: dict[str, Any]) -> str:
    """The same for a person."""
    said = [f"Processing day {answer['day']}"]
    for file in answer["files"]:
        if file["problem"]:
            said.append(f"{file['name']}: {file['problem']}")
            continue
        ends = ", ".join(
            f"{file[end]} {end.replace('_', ' ')}"
            for end in ("applied", "known", "set_aside", "unusable", "waiting")
        )
        said.append(f"{file['name']}: {file['lines']} lines: {ends}")
    said += [f"Finding ({one['kind']}): {one['title']}" for one in answer["findings"]]
    said += [
        f"{one['file']}, line {one['line']}, {one['column'] or 'whole line'}: “{one['value']}”: {one['reason']}"
        for one in answer["unusable_lines"]
    ]
    for key, title in (("ready", "Ready to apply"), ("written", "Written")):
        if answer[key]:
            said.append(f"{title}: " + ", ".join(f"{count} {word}" for word, count in answer[key].items()))
    return "\n".join(said)
