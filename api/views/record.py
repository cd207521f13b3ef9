"""What was written: changesets, their changes, and taking one back; the head count."""

from dataclasses import replace
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.bases import Called, Listed, Shown
from api.filters import ChangeFilter, ChangesetFilter
from api.once import KEY, once
from api.problems import Problem
from api.serializers.places import DayAsked, HeadOut
from api.serializers.record import ChangeOut, ChangesetOut
from api.views.groups import asked_day
from herd.ledger.models import Change, Changeset, ChangesetKind
from herd.registry.queries.headcount import HeadCount, count_head, count_head_on
from herd.registry.undo import undo


class Changesets(Listed, Shown):
    """What was written together, and taking it back."""

    serializer_class = ChangesetOut
    filterset_class = ChangesetFilter

    def rows(self) -> QuerySet[Changeset]:
        """The outfit's changesets; none for a device that may read some groups only."""
        found = Changeset.objects.filter(outfit=self.caller.outfit)
        return found.none() if self.caller.groups else found

    @extend_schema(parameters=[KEY], request=None, responses=ChangesetOut)
    @action(detail=True, methods=["post"])
    @once
    def undo(self, request: Request, pk: str) -> Response:
        """Take it back whole; 409 with the reasons where later work has built on it."""
        target = self.get_object()
        entry = replace(self.caller.entry(f"Undo of {target.title}"), kind=ChangesetKind.UNDO)
        verdict = undo(entry, target)
        if not verdict.is_possible:
            raise Problem("conflict", " ".join(verdict.reasons))
        target.refresh_from_db()
        return Response(ChangesetOut(target).data)


class Changes(Listed):
    """Each field that was written, before and after, with its source."""

    serializer_class = ChangeOut
    filterset_class = ChangeFilter

    def rows(self) -> QuerySet[Change]:
        """The outfit's changes; none for a device that may read some groups only."""
        found = Change.objects.filter(outfit=self.caller.outfit)
        return found.none() if self.caller.groups else found


class Head(Called):
    """How many head."""

    @extend_schema(parameters=[DayAsked], responses=HeadOut)
    def get(self, request: Request) -> Response:
        """The head on hand on a day by class and group; away by status as it is now."""
        caller = self.caller
        if caller.groups:
            raise Problem("forbidden", "This device reads some groups only; the count is of the whole outfit.")
        today = timezone.localdate(timezone=caller.outfit.zone)
        day = asked_day(caller, self.read_address(DayAsked))
        count = count_head(caller.outfit, today) if day >= today else count_head_on(caller.outfit, day)
        return Response({"day": day, **_plain(count)})


def _plain(count: HeadCount) -> dict[str, Any]:
    groups = [
        {
            "group": str(one.group.pk) if one.group else None,
            "name": one.group.name if one.group else None,
            "total": one.total,
            "by_class": one.by_class,
        }
        for one in count.groups
    ]
    return {"total": count.total, "by_class": count.by_class, "groups": groups, "away": count.away}
