"""A copy of the database that only reports read, and only while it holds all that was written to the outfit."""

import logging
import time
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any

from django.db import DatabaseError
from django.db.models import Model, Sum
from django.http import HttpRequest, HttpResponse

from herd.ledger.models import FeedCounter

logger = logging.getLogger(__name__)

COPY, TRUE = "replica", "default"
# What the ledger counts; people, sessions, days in work and devices are always read where they are written.
COPIED = {"ledger", "registry"}
REPORTS = ("/reports/", "/api/v1/reports/")
AWAY_SECONDS = 30.0

_reads_copy: ContextVar[bool] = ContextVar("reads_copy", default=False)


class ReportsFromCopy:
    """The router: inside a report rows of the record come from the copy, all else from the database itself."""

    def db_for_read(self, model: type[Model], **hints: Any) -> str | None:
        """The copy inside a report, for tables that the ledger counts."""
        return COPY if _reads_copy.get() and model._meta.app_label in COPIED else TRUE

    def db_for_write(self, model: type[Model], **hints: Any) -> str:
        """Never the copy."""
        return TRUE

    def allow_relation(self, one: Model, other: Model, **hints: Any) -> bool:
        """A row is the same row in either."""
        return True

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool:
        """The copy gets its tables as it gets its rows, from the database it follows."""
        return db != COPY


class ReportsReadCopy:
    """Opens the copy to a request for a report, where the copy is as far as the database is at that moment.

    A copy that is behind, even by the asker's own last weight, is passed over for this once; one that does not
    answer, for half a minute. So no report lacks what was written before it was asked for.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self._away_until = 0.0

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method not in {"GET", "HEAD"} or not request.path_info.startswith(REPORTS):
            return self.get_response(request)
        token = _reads_copy.set(self._is_as_far(getattr(request, "outfit", None)))
        try:
            return self.get_response(request)
        finally:
            _reads_copy.reset(token)

    def _is_as_far(self, outfit: Any) -> bool:
        """Whether the copy holds all of this outfit, or of all outfits where the caller is not known yet."""
        if time.monotonic() < self._away_until:
            return False
        # The database first: what is written between the two questions is newer than the report that was asked for.
        here = _written(TRUE, outfit)
        try:
            return _written(COPY, outfit) >= here
        except DatabaseError as problem:
            self._away_until = time.monotonic() + AWAY_SECONDS
            logger.warning("The copy for reports does not answer; the database itself is read. %s", problem)
            return False


def _written(database: str, outfit: Any) -> int:
    counters = FeedCounter.objects.using(database)
    counters = counters.filter(outfit=outfit.pk) if outfit is not None else counters
    return counters.aggregate(Sum("position"))["position__sum"] or 0
