"""The way of a processing day, as a list of steps; each is safe to run twice, and a crash resumes."""

from collections.abc import Callable
from datetime import timedelta

from django.utils import timezone

from herd.accounts.models import Person
from herd.intake.models import DayState, ProcessingDay, StagedRow
from herd.intake.steps.apply import Applied, apply_clear
from herd.intake.steps.read import read_files
from herd.intake.steps.settle import settle_day

Step = tuple[str, Callable[[ProcessingDay], object]]

LEASE = timedelta(minutes=10)
TRIES = 3


class EndsTheWorker(Exception):  # noqa: N818
    """Raised for a day over which the worker has died too often."""


def _try(day: ProcessingDay, doing: str) -> None:
    """Count the try, unless the work has ended the worker again and again: then it must not end the next one too."""
    if day.tries >= TRIES:
        raise EndsTheWorker(f"the program was ended {day.tries} times while it {doing} this day; see its log")
    day.tries += 1
    day.save(update_fields=["tries"])


def _decide(day: ProcessingDay) -> None:
    _try(day, "decided")
    settle_day(day)


# Reading maps and cleans as it goes, so that a line is written once; settling matches, merges and decides.
STEPS: tuple[Step, ...] = (
    ("reading", read_files),
    ("deciding", _decide),
)


def run(day: ProcessingDay) -> None:
    """Take a day from its files to review. A failure leaves a sentence on the day and is raised."""
    try:
        for name, step in STEPS:
            _note(day, name)
            step(day)
    except Exception as problem:
        day.state, day.problem, day.tries = DayState.FAILED, f"{name} stopped: {_say(problem)}"[:300], 0
        day.save(update_fields=["state", "problem", "tries"])
        raise
    day.state, day.step, day.problem, day.lease_until, day.tries = DayState.REVIEW, "", "", None, 0
    day.save(update_fields=["state", "step", "problem", "lease_until", "tries"])


def _say(problem: Exception) -> str:
    if isinstance(problem, MemoryError):
        return "it needs more memory than one task may have. Send the files in smaller pieces, or in days of their own."
    return str(problem)


def apply_day(day: ProcessingDay, person: Person | None) -> Applied:
    """Write what is clear; on failure nothing is written and the day is back in review with the sentence.

    Lines that the registry does not take go back to review as well, and the day says why.
    """
    try:
        _try(day, "applied")
        applied = apply_clear(day, person)
    except Exception as problem:
        day.state, day.problem, day.tries = DayState.REVIEW, f"Nothing was applied: {_say(problem)}"[:300], 0
        day.lease_until = None
        day.save(update_fields=["state", "problem", "lease_until", "tries"])
        raise
    says = f"The rest was applied, but not all: {' '.join(applied.refused)}"[:300] if applied.refused else ""
    ended = {"lease_until": None, "step": "", "problem": says, "asked_by": None, "tries": 0}
    ProcessingDay.objects.filter(pk=day.pk).update(**ended)
    day.refresh_from_db()
    return applied


def _note(day: ProcessingDay, name: str) -> None:
    """Say how far the work is, and renew the lease on it."""
    day.step = name
    day.all_rows = StagedRow.objects.filter(day=day).count()
    day.lease_until = timezone.now() + LEASE
    day.save(update_fields=["step", "all_rows", "lease_until"])
