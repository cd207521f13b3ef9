"""What the log says of each line besides its words: the request or the task that it was written in."""

import logging
import re
from contextvars import ContextVar
from uuid import uuid4

from celery import current_task

GIVEN = re.compile(r"[A-Za-z0-9._-]{8,64}")

# Only the name of what is being done, for the log; nothing decides by it.
request_id: ContextVar[str] = ContextVar("request_id", default="")


def name_request(given: str) -> str:
    """Return the id that a proxy gave a request where it has the shape of one, else a new one."""
    return given if GIVEN.fullmatch(given) else uuid4().hex


class Doing(logging.Filter):
    """Puts `request` and `task` on each record, empty where there is none."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record pass."""
        task = current_task.request.id if current_task else ""
        record.request_id, record.task_id = request_id.get(), task or ""
        return True


def read_logging(form: str, level: str) -> dict[str, object]:
    """Return Django's settings of the log: `plain` lines for people, or `json` with one object a line."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {"doing": {"()": "herd.config.telling.Doing"}},
        "formatters": {
            "plain": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"},
            "json": {
                "()": "pythonjsonlogger.json.JsonFormatter",
                "fmt": "%(asctime)s %(levelname)s %(name)s %(message)s %(request_id)s %(task_id)s",
                "rename_fields": {"asctime": "at", "levelname": "level", "name": "logger"},
            },
        },
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": form, "filters": ["doing"]}},
        "root": {"handlers": ["console"], "level": level},
        # Django's own console handler, which speaks while debugging only, would say its lines twice.
        "loggers": {"django": {"handlers": [], "level": "NOTSET", "propagate": True}},
    }
