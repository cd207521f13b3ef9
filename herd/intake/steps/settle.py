"""Match, merge and decide: settles a day's rows against the record as it is now, and keeps the outcome.

Safe to run as often as wanted: rulings and what was applied are kept, all else is worked out anew.
"""

from collections.abc import Iterable
from uuid import UUID

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from herd.intake.deciding.context import Context, Line
from herd.intake.deciding.day import DayDecision, decide_day, merge_rows
from herd.intake.deciding.doubts import Answer, Answers
from herd.intake.deciding.who import settle_whose
from herd.intake.deciding.wishes import wishes_of
from herd.intake.matching.numbers import Row, numbers_of
from herd.intake.models import FieldFile, ProcessingDay, Ruling, StagedRow, StandingRule
from herd.intake.queries.carried import load_carried
from herd.intake.queries.past import load_past
from herd.intake.queries.view import load_view
from herd.intake.steps.keep import KEPT, keep_decision
from herd.intake.steps.orders import ask_orders
from herd.ledger.models import FeedCounter
from herd.ledger.rows import read_rows, undisturbed
from herd.registry.models import Group
from herd.registry.queries.merged import standing_for


def settle_day(day: ProcessingDay) -> DayDecision:
    """Match, merge, decide and keep; the day is locked meanwhile, so that rulings come before or after."""
    with transaction.atomic(), undisturbed():
        ProcessingDay.objects.select_for_update().get(pk=day.pk)
        position = feed_position(day)
        decision = decide(day)
        keep_decision(day, decision)
        day.decided_at = position
        day.save(update_fields=["decided_at"])
    return decision


def decide(day: ProcessingDay, given: list[Row] | None = None) -> DayDecision:
    """Work out what the day's rows come to, or rows given in their place that are staged nowhere; writes nothing."""
    rows = load_rows(day) if given is None else given
    answers = load_answers(day)
    files = list(day.files.defer("content"))
    order_doubts, waiting_files = ask_orders(files, rows, answers)
    view = load_view(day, rows)
    settled = [row for row in rows if row.file not in waiting_files]
    whose = settle_whose(settled, view, answers, day.worked_on)
    context = Context(
        day=day.worked_on,
        today=timezone.now().astimezone(day.outfit.zone).date(),
        unit=day.outfit.unit,
        view=view,
        answers=answers,
        group_names=dict(Group.objects.of(day.outfit).values_list("id", "name")),
    )
    lines = merge_rows(whose, context)
    load_carried(day.outfit, context, lines.values())
    context.past = load_past(day.outfit, _animals(lines), _kinds(lines.values(), context))
    decision = decide_day(whose, lines, context)
    decision.doubts = [*order_doubts, *decision.doubts]
    decision.by_rule = answers.by_rule
    return decision


def note_rulings(day: ProcessingDay) -> None:
    """Say that a day has rulings that it was not decided by yet; the position it was decided at stays readable."""
    waiting = ProcessingDay.objects.filter(pk=day.pk, decided_at__gte=0)
    waiting.update(decided_at=-1 - F("decided_at"))


def decided_position(day: ProcessingDay) -> tuple[int, bool]:
    """The feed position at which the day was decided, and whether rulings have come since."""
    return (day.decided_at, False) if day.decided_at >= 0 else (-1 - day.decided_at, True)


def feed_position(day: ProcessingDay) -> int:
    """The outfit's place in the feed now."""
    return FeedCounter.objects.filter(outfit=day.outfit_id).values_list("position", flat=True).first() or 0


def load_rows(day: ProcessingDay) -> list[Row]:
    """The day's staged rows in memory, in the order of files and lines."""
    files = {file.pk: file for file in FieldFile.objects.filter(day=day).defer("content")}
    merged = standing_for(day.outfit)
    staged = StagedRow.objects.filter(day=day).order_by("file__position", "file", "number")
    found = []
    read = ("id", "file_id", "line", "number", "readings", "problems", "was_applied")
    for key, file, line, number, readings, problems, was_applied, *kept in read_rows(staged.values_list(*read, *KEPT)):
        animal_id = kept[KEPT.index("animal_id")]
        row = Row(
            key,
            file,
            files[file].name,
            line,
            number,
            readings,
            problems,
            is_herd_list=files[file].is_herd_list,
            was_applied=was_applied,
            applied_to=merged.get(animal_id, animal_id) if was_applied and animal_id else None,
            numbers=numbers_of(readings),
            kept=tuple(kept),
        )
        found.append(row)
    return found


def load_answers(day: ProcessingDay) -> Answers:
    """The rulings of the day and the outfit's standing rules; those about a merged animal are about the one kept."""
    merged = merged_names(day)
    given: dict[str, Answer] = {}
    # A ruling about the record kept itself comes before one that was about the other.
    rulings = list(Ruling.objects.filter(day=day))
    rulings.sort(key=lambda one: follow(one.finding_key, merged) != one.finding_key)
    for ruling in rulings:
        answer = Answer(follow(ruling.choice, merged), ruling.typed, tuple(ruling.rows))
        given.setdefault(follow(ruling.finding_key, merged), answer)
    standing = dict(StandingRule.objects.filter(outfit=day.outfit).values_list("alike", "choice"))
    return Answers(given, standing)


def merged_names(day: ProcessingDay) -> dict[str, str]:
    """For each merged record of the outfit the one kept, as keys and choices name them."""
    return {str(key): str(kept) for key, kept in standing_for(day.outfit).items()}


def follow(text: str, merged: dict[str, str]) -> str:
    """A key or choice with the animal kept in place of one that was merged into it."""
    named = next((key for key in merged if key in text), None)
    return text.replace(named, merged[named]) if named else text


def _animals(lines: dict[str, Line]) -> list[UUID]:
    return [line.animal_id for line in lines.values() if line.animal_id is not None]


def _kinds(lines: Iterable[Line], context: Context) -> set[str]:
    rows = [row for line in lines for row in line.rows]
    # Rows that hold readings of the same names wish the same kinds; a device's say theirs themselves.
    shapes = {(*filter(row.readings.get, row.readings), row.readings.get("event", {}).get("kind")): row for row in rows}
    wished = {
        wish.name for row in shapes.values() for wish in wishes_of(row, context.day) if wish.target == "event"
    }
    return wished | {row.readings["told"]["kind"] for row in rows if "told" in row.readings}
