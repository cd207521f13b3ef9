"""The Celery application; its tasks lie in each room's tasks module."""

import os
from typing import Any

from celery import Celery, Task
from celery.signals import setup_logging
from kombu.exceptions import OperationalError

from herd.config.bounds import MemoryBound

RESUME = "intake.resume_unfinished"
BACK_UP = "archive.back_up_daily"
KEEP_IN_STEP = "sync.keep_in_step"

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "herd.config.settings")



class OutOfMemory(Exception):  # noqa: N818
    """A task has asked for more memory than it may have."""


class Bounded(Task):
    """A task that ends alone when it needs too much memory; Celery takes a MemoryError for the end of the worker."""

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        """Do the work; raises OutOfMemory in place of MemoryError."""
        try:
            return super().__call__(*args, **kwargs)
        except MemoryError as problem:
            raise OutOfMemory(f"{self.name} needs more memory than one task may have.") from problem


app = Celery("notchbook", task_cls=Bounded)
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
app.steps["worker"].add(MemoryBound)
# For `celery beat`, where other programs serve; `up` asks for the same by itself. What is not begun within a minute
# lapses, since the next comes anyway.
app.conf.beat_schedule = {
    name: {"task": name, "schedule": seconds, "options": {"expires": 60}}
    for name, seconds in ((RESUME, 60.0), (BACK_UP, 600.0), (KEEP_IN_STEP, 60.0))
}


@setup_logging.connect
def keep_log(**given: Any) -> None:
    """Leave the log as the settings have it; only where someone says so does Celery set no level of its own."""


def ask_to_resume() -> bool:
    """Queue the task that takes unfinished processing days up again; False where it or the broker is missing."""
    return _ask(RESUME)


def ask_to_back_up() -> bool:
    """Queue the task that makes the daily backup where it is due; False where it or the broker is missing."""
    return _ask(BACK_UP)


def ask_to_sync() -> bool:
    """Queue the task that keeps the record in step with another installation's, where one is followed."""
    return _ask(KEEP_IN_STEP)


def _ask(task: str) -> bool:
    """Queue a task; the message lapses after a minute, so that a busy worker finds one of them and not a heap."""
    app.loader.import_default_modules()
    if task not in app.tasks:
        return False
    try:
        app.send_task(task, expires=60, retry=False)
    except (OperationalError, OSError):
        return False
    return True
