"""Processing days: field files sent in, their progress, lines and findings, rulings, apply and undo."""

from typing import Any, ClassVar

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Listed, Scoped, Shown
from api.filters import DayFilter, FindingFilter, RowFilter
from api.once import KEY, once
from api.parsers import PlainJSON
from api.problems import Problem, unfit
from api.reading import plausible_day
from api.serializers.days import (
    DayOut,
    DayReportOut,
    FileOut,
    FindingOut,
    LineOut,
    MoreFiles,
    NewDay,
    Ruled,
    RulingIn,
    RulingOut,
)
from api.states import answer_with_state
from herd.intake import review
from herd.intake.days import GivenFile, add_files, open_day, undo_day
from herd.intake.models import DayState, FieldFile, Finding, ProcessingDay, Ruling, StagedRow
from herd.intake.queries.report import report_of
from herd.intake.tasks import start_apply, start_work
from herd.registry.models import Group


class Days(Listed, Shown):
    """Processing days. Reading and applying go on in the background; `state` tells how far they are."""

    serializer_class = DayOut
    filterset_class = DayFilter
    rights: ClassVar = {"create": Right.CAPTURE, "add_files": Right.CAPTURE}
    parser_classes = (MultiPartParser, PlainJSON)

    def rows(self) -> QuerySet[ProcessingDay]:
        """The outfit's days; those of a device's groups where it may read no others."""
        days = ProcessingDay.objects.filter(outfit=self.caller.outfit)
        return days.filter(group__in=self.caller.groups) if self.caller.groups else days

    @extend_schema(parameters=[KEY], request={"multipart/form-data": NewDay}, responses={202: DayOut})
    @once
    def create(self, request: Request) -> Response:
        """Open a day with its field files; they are read in the background."""
        said = self.read(NewDay, _form(request))
        plausible_day(said["worked_on"], "worked_on")
        group = get_object_or_404(Group.objects.of(self.caller.outfit), pk=said["group"]) if "group" in said else None
        day = open_day(
            outfit=self.caller.outfit,
            person=self.caller.person,
            name=said["name"],
            worked_on=said["worked_on"],
            group=group,
            files=_files(said["files"], is_herd_list=said["is_herd_list"]),
        )
        request.afterwards.append(lambda: start_work(day))  # type: ignore[attr-defined]
        answer = answer_with_state(request, DayOut(day).data, status=202)
        answer["Location"] = f"{request.path}{day.pk}/"
        return answer

    @extend_schema(parameters=[KEY], request={"multipart/form-data": MoreFiles}, responses={202: DayOut})
    @action(detail=True, methods=["post"], url_path="files/add", url_name="add-files")
    @once
    def add_files(self, request: Request, pk: str) -> Response:
        """Add field files to a day; the same bytes twice are refused."""
        day = self._settled(self.get_object())
        said = self.read(MoreFiles, _form(request))
        add_files(day=day, files=_files(said["files"], is_herd_list=said["is_herd_list"]))
        request.afterwards.append(lambda: start_work(day))  # type: ignore[attr-defined]
        return Response(DayOut(day).data, status=202)

    @extend_schema(responses=DayReportOut, filters=False)
    @action(detail=True, methods=["get"])
    def report(self, request: Request, pk: str) -> Response:
        """What came of the day: every line in one of four ends or waiting, and they add up."""
        return Response(DayReportOut(report_of(self.get_object())).data)

    @extend_schema(request=None, responses={202: DayOut})
    @action(detail=True, methods=["post"])
    def apply(self, request: Request, pk: str) -> Response:
        """Write what is clear into the record, in the background; what waits for a person stays waiting."""
        day = self._settled(self.get_object())
        start_apply(day, self.caller.person)
        return Response(DayOut(day).data, status=202)

    @extend_schema(request=None, responses=DayOut)
    @action(detail=True, methods=["post"])
    def undo(self, request: Request, pk: str) -> Response:
        """Take back all that the day wrote; 409 with the reasons where later work has built on it."""
        day = self.get_object()
        verdict = undo_day(day=day, person=self.caller.person)
        if not verdict.is_possible:
            raise Problem("conflict", " ".join(verdict.reasons))
        return Response(DayOut(day).data)

    def _settled(self, day: ProcessingDay) -> ProcessingDay:
        if day.state in {DayState.WORKING, DayState.APPLYING}:
            raise Problem("conflict", "Work on this day goes on; ask again when it is in review.")
        return day


class OfDay(Scoped):
    """A view over what belongs to one day of the outfit."""

    def day(self) -> ProcessingDay:
        """The day that the address names; Http404 where the outfit, or the device, has none."""
        days = ProcessingDay.objects.filter(outfit=self.caller.outfit)
        if self.caller.groups:
            days = days.filter(group__in=self.caller.groups)
        return get_object_or_404(days, pk=self.kwargs["day"])


class Files(OfDay, Listed, Shown):
    """The field files of a day."""

    serializer_class = FileOut

    def rows(self) -> QuerySet[FieldFile]:
        """The day's files, without their bytes."""
        return FieldFile.objects.filter(day=self.day()).defer("content")


class Rows(OfDay, Listed, Shown):
    """The lines of a day's field files."""

    serializer_class = LineOut
    filterset_class = RowFilter

    def rows(self) -> QuerySet[StagedRow]:
        """The day's staged rows."""
        return StagedRow.objects.filter(day=self.day())


class Findings(OfDay, Listed, Shown):
    """What of a day a person must decide, and the decision."""

    serializer_class = FindingOut
    filterset_class = FindingFilter

    def rows(self) -> QuerySet[Finding]:
        """The day's findings."""
        return Finding.objects.filter(day=self.day())

    @extend_schema(parameters=[KEY], request=RulingIn, responses=Ruled)
    @action(detail=True, methods=["post"])
    @once
    def rule(self, request: Request, day: str, pk: str) -> Response:
        """Answer a finding, or all alike; nothing is written to the record before the day is applied."""
        finding, said = self.get_object(), self.read(RulingIn)
        count = review.rule(day=self.day(), finding=finding, person=self.caller.person, **said)
        return Response({"ruled": count})


class Rulings(OfDay, Listed):
    """The answers given on a day."""

    serializer_class = RulingOut

    def rows(self) -> QuerySet[Ruling]:
        """The day's rulings."""
        return Ruling.objects.filter(day=self.day())

    @extend_schema(parameters=[KEY], request=None, responses={204: None})
    @action(detail=False, methods=["post"], url_path="take-back", url_name="take-back")
    @once
    def take_back(self, request: Request, day: str) -> Response:
        """Take back the last answer with all that were given together; 409 where none is left."""
        if review.take_back(day=self.day(), person=self.caller.person) is None:
            raise Problem("conflict", "No ruling is left that can be taken back.")
        return Response(status=204)


def _form(request: Request) -> dict[str, Any]:
    """The fields of a form, files in a list."""
    sent: Any = request.data
    return {**sent.dict(), "files": request.FILES.getlist("files")} if request.FILES else dict(sent)


def _files(uploads: list[Any], *, is_herd_list: bool = False) -> list[GivenFile]:
    empty = [one.name for one in uploads if not one.size]
    if empty:
        raise unfit("files", f"{empty[0]} is empty.")
    return [GivenFile(one.name, one.read(), is_herd_list) for one in uploads]
