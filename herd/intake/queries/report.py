"""What came of a processing day: what came in, what was done, what waits; and how far the work is."""

from collections import Counter
from dataclasses import dataclass, field

from django.db.models import Count

from herd.intake.models import (
    DayState,
    FieldFile,
    Finding,
    FindingKind,
    LineState,
    MergedLine,
    ProcessingDay,
    RowState,
    Ruling,
    StagedRow,
)
from herd.ledger.models import Change, Changeset

MOST_UNUSABLE = 500


@dataclass(slots=True)
class FileCounts:
    """How the lines of a file ended; the four ends and those that wait add up to the lines."""

    file: FieldFile | None
    lines: int = 0
    applied: int = 0
    known: int = 0
    set_aside: int = 0
    unusable: int = 0
    waiting: int = 0

    def add(self, state: str, count: int) -> None:
        """Count rows in a state."""
        setattr(self, state, getattr(self, state) + count)
        self.lines += count


@dataclass(slots=True)
class DayReport:
    """A processing day's report. `ready` is what applying would write now, `done` what was written, in words."""

    files: list[FileCounts]
    totals: FileCounts
    ready: dict[str, int]
    done: dict[str, int]
    unusable: list[StagedRow]
    not_seen: list[Finding]
    rulings: list[Ruling]
    changesets: list[Changeset]
    open_findings: int
    notes: list[MergedLine] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the work on a day is."""

    state: str
    step_label: str
    done: int
    total: int
    problem: str


STEP_LABELS = {"reading": "reading the files", "deciding": "finding the animals", "": ""}

PROPOSAL_WORDS = {
    "new_animal": "new animals",
    "fact": "facts filled in",
    "tag_on": "tags put on",
    "tag_off": "tags taken off",
    "join": "moved into a group",
    "worn": "tags worn before",
    "stay": "stays in a group",
    "leave": "left a group",
    "place": "new groups and locations",
}
SUBJECT_WORDS = {
    "animal": "new animals",
    "wearing": "tags put on",
    "membership": "moved into a group",
    "group": "new groups",
    "location": "new locations",
}


def report_of(day: ProcessingDay) -> DayReport:
    """Return the day's report."""
    files = list(FieldFile.objects.filter(day=day).defer("content"))
    counts = {file.pk: FileCounts(file) for file in files}
    totals = FileCounts(None)
    states = (
        StagedRow.objects.filter(day=day).values_list("file_id", "state").order_by().annotate(Count("id"))
    )
    for file_id, state, count in states:
        counts[file_id].add(state, count)
        totals.add(state, count)
    unusable = StagedRow.objects.filter(day=day, state=RowState.UNUSABLE).select_related("file")
    not_seen = Finding.objects.filter(day=day, kind=FindingKind.NOT_SEEN)
    lines = MergedLine.objects.filter(day=day)
    return DayReport(
        files=list(counts.values()),
        totals=totals,
        ready=ready_to_write(day),
        done=_written(day),
        unusable=list(unusable.order_by("file__position", "number")[:MOST_UNUSABLE]),
        not_seen=list(not_seen.order_by("title")),
        rulings=list(Ruling.objects.filter(day=day).select_related("person")),
        changesets=list(Changeset.objects.filter(outfit=day.outfit_id, day_id=day.pk)),
        open_findings=Finding.objects.filter(day=day, is_open=True).count(),
        notes=[line for line in lines.only("name", "notes", "animal_id") if line.notes][:MOST_UNUSABLE],
    )


def ready_to_write(day: ProcessingDay) -> dict[str, int]:
    """Say what applying would write now, in words with counts."""
    counts: Counter[str] = Counter()
    lines = MergedLine.objects.filter(day=day, state__in=[LineState.CLEAR, LineState.WAITING])
    for proposals in lines.values_list("proposals", flat=True).iterator():
        for one in proposals:
            counts[event_word(one["kind"]) if one["do"] == "event" else PROPOSAL_WORDS[one["do"]]] += 1
    return dict(counts.most_common())


def event_word(kind: str) -> str:
    """A kind of event in the plural."""
    word = kind.replace("_", " ")
    return {"body condition": "body conditions", "missing": "marked missing", "found": "found again"}.get(
        word, f"{word}s"
    )


def _written(day: ProcessingDay) -> dict[str, int]:
    """Count what stands in the record from this day."""
    counts: Counter[str] = Counter()
    standing = Change.objects.filter(
        outfit=day.outfit_id, changeset__day_id=day.pk, changeset__is_undone=False, changeset__undoes=None
    )
    for kind, action, after in standing.values_list("subject_kind", "action", "after").iterator():
        if kind == "event" and action == "created":
            counts[event_word((after or {})["kind"])] += 1
        elif kind == "animal" and action == "changed":
            counts["facts filled in"] += 1
        elif kind == "wearing" and action == "changed":
            counts["tags taken off"] += 1
        elif action == "created" and kind in SUBJECT_WORDS:
            counts[SUBJECT_WORDS[kind]] += 1
    return dict(counts.most_common())


def progress_of(day: ProcessingDay) -> Progress:
    """Tell how far the work on a day is, for a bar: files read, then the day decided."""
    total = FieldFile.objects.filter(day=day).count() + 1
    done = FieldFile.objects.filter(day=day, is_read=True).count()
    label = STEP_LABELS.get(day.step, day.step)
    if day.state == DayState.APPLYING:
        label = "writing into the record"
    if not day.is_busy:
        done = total
    return Progress(day.state, label, done, total, day.problem)
