"""Work on processing days outside of page requests; a day whose worker died is taken up again."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID

from celery import shared_task
from celery.exceptions import SoftTimeLimitExceeded
from django.utils import timezone
from kombu.exceptions import OperationalError

from herd.accounts.models import Person
from herd.intake.models import DayState, ProcessingDay
from herd.intake.pipeline import LEASE, apply_day, run

logger = logging.getLogger(__name__)

TOO_LONG = "it took longer than one task may take. Send the files in smaller pieces, or in days of their own."


def start_work(day: ProcessingDay) -> None:
    """Have a day's files read and decided."""
    _lease(day, DayState.WORKING)
    _send(work_on_day, str(day.pk))


def start_apply(day: ProcessingDay, person: Person | None) -> None:
    """Have what is clear of a day written into the record; a day with files that are not read is read first.

    Else one whose reading failed would end as applied with nothing in it.
    """
    if day.files.filter(is_read=False).exists():
        start_work(day)
        return
    day.asked_by = person
    _go_on_applying(day)


@shared_task(name="intake.work_on_day")
def work_on_day(day_id: str) -> None:
    """Take a day from its files to review, unless that was done meanwhile."""
    day = ProcessingDay.objects.get(pk=UUID(day_id))
    if day.state == DayState.WORKING:
        with _time_said(day):
            run(day)


@shared_task(name="intake.apply_clear_lines")
def apply_clear_lines(day_id: str) -> None:
    """Write what is clear, unless that was done meanwhile."""
    day = ProcessingDay.objects.get(pk=UUID(day_id))
    if day.state == DayState.APPLYING:
        with _time_said(day):
            apply_day(day, day.asked_by)


@shared_task(name="intake.resume_unfinished")
def resume_unfinished() -> None:
    """Take up days whose worker has let its lease run out.

    An apply is one transaction that ends this state with it: where the state stands, nothing was written.
    """
    stale = ProcessingDay.objects.filter(lease_until__lt=timezone.now())
    for day in stale.filter(state=DayState.WORKING):
        start_work(day)
    for day in stale.filter(state=DayState.APPLYING):
        _go_on_applying(day)


@shared_task(name="intake.take_over")
def take_over() -> None:
    """Take up at once what a worker that is gone has left; called by the next, where one worker serves all."""
    busy = [DayState.WORKING, DayState.APPLYING]
    ProcessingDay.objects.filter(state__in=busy).update(lease_until=timezone.now() - timedelta(seconds=1))
    resume_unfinished()


@contextmanager
def _time_said(day: ProcessingDay) -> Iterator[None]:
    """Say in words what the day's problem is where the worker has ended a task that took too long."""
    try:
        yield
    except SoftTimeLimitExceeded as problem:
        day.problem = day.problem.replace(str(problem), TOO_LONG)
        day.save(update_fields=["problem"])
        raise


def _go_on_applying(day: ProcessingDay) -> None:
    _lease(day, DayState.APPLYING)
    _send(apply_clear_lines, str(day.pk))


def _send(task: Any, *arguments: str) -> None:
    """Hand work to the broker. Where it is away the day keeps its state, and `resume_unfinished` takes it up."""
    try:
        task.delay(*arguments)
    except OperationalError:
        logger.warning("The broker is away; %s waits until it is back.", task.name)


def _lease(day: ProcessingDay, state: DayState) -> None:
    day.state, day.problem = state, ""
    day.lease_until = timezone.now() + LEASE
    day.save(update_fields=["state", "problem", "lease_until", "asked_by"])
