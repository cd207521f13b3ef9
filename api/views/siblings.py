"""Sibling installations: operations that reached one, the ledger with its rows, the first copy."""

from pathlib import Path
from typing import ClassVar
from uuid import UUID

from django.conf import settings
from django.db.models import QuerySet
from django.http import FileResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.parsers import Lines
from api.problems import Problem
from api.serializers.siblings import (
    DayAsked,
    DaysOut,
    EpochOut,
    KeptHere,
    KeptIn,
    KeptOut,
    PullIn,
    PullOut,
    RelayIn,
    RulingsOut,
    TakenIn,
)
from api.serializers.sync import PushOut
from api.views.sync import Sync
from herd.accounts.models import Outfit
from herd.archive.backups import lend_archive
from herd.archive.refused import ArchiveRefused
from herd.archive.snapshot import one_moment
from herd.intake.models import DayState, ProcessingDay
from herd.registry.models import SUBJECTS
from herd.sync.again import try_again
from herd.sync.cursors import head_of
from herd.sync.days.copies import keep_copy, note_gone_home, unsent_rulings
from herd.sync.days.packing import lines_of, marks
from herd.sync.models import Device, DeviceKind, DeviceRole
from herd.sync.protocol import MOST_OPERATIONS
from herd.sync.reading import Unfit
from herd.sync.siblings.kept import kept_here, take_kept
from herd.sync.siblings.pages import Page, page_after, rows_only
from herd.sync.siblings.relay import know_device, read_relayed, take_relayed

# A day that a worker has is copied once it is done.
BUSY = (DayState.WORKING, DayState.APPLYING)


class Siblings(Sync):
    """A view for other installations only."""

    rights: ClassVar = {"post": Right.READ, "get": Right.OFFICE}

    def sibling(self, *, delivers: bool = False) -> Device:
        """The installation that calls."""
        device = self.device(delivers=delivers)
        if device.kind != DeviceKind.SIBLING or device.role != DeviceRole.OFFICE:
            raise Problem("forbidden", "This is for another installation, enrolled with the office's right.")
        if hasattr(device.outfit, "upstream"):
            raise Problem("forbidden", "This installation follows another one itself; enrol there.")
        return device


class Relay(Siblings):
    """Where a sibling passes on what devices sent to it."""

    @extend_schema(request=RelayIn, responses=PushOut)
    def post(self, request: Request) -> Response:
        """Perform the operations as if their devices had come; an answer for each, in their order."""
        sibling = self.sibling(delivers=True)
        given = self.read(RelayIn)
        devices, ops = given["devices"], given["ops"]
        if len(ops) > MOST_OPERATIONS:
            raise Problem("too-large", f"At most {MOST_OPERATIONS} operations go in one call; send them in two.")
        try:
            known = [know_device(sibling.outfit, one, f"/devices/{place}") for place, one in enumerate(devices)]
            by_id = {one.pk: one for one in known}
            relayed = [read_relayed(one, f"/ops/{place}") for place, one in enumerate(ops)]
            if strange := next((one for one in relayed if one.device not in by_id), None):
                raise Unfit("/ops", f"The device {strange.device} is not among the devices.")
        except Unfit as problem:
            errors = [{"pointer": problem.pointer, "detail": str(problem)}]
            raise Problem("unfit", str(problem), errors=errors) from problem
        results = take_relayed(by_id, relayed)
        try_again(sibling.outfit)
        head = head_of(sibling.outfit)
        told = {"epoch": str(head.epoch), "head": str(head.position), "server_time": timezone.now()}
        return Response({**told, "results": results})


class Pull(Siblings):
    """What was decided here."""

    @extend_schema(request=PullIn, responses=PullOut)
    def post(self, request: Request) -> Response:
        """A page of the ledger after a position, or only rows; all of it as of one moment."""
        sibling = self.sibling()
        given = self.read(PullIn)
        after, subjects = given["after"], given["subjects"]
        if strange := sorted(set(subjects) - set(SUBJECTS)):
            raise Problem("unfit", f"There is no such kind of row: {strange[0][:40]}.")
        with one_moment():
            page = rows_only(sibling.outfit, subjects) if after is None else page_after(sibling.outfit, after, subjects)
        return Response(_shown(page))


def _shown(page: Page) -> dict[str, object]:
    return {
        "epoch": str(page.head.epoch),
        "reached": page.reached,
        "more": page.more,
        "changesets": page.changesets,
        "changes": page.changes,
        "rows": page.rows,
        "absent": page.absent,
    }


class Days(Siblings):
    """The processing days that are at home here."""

    @extend_schema(operation_id="sync_days_list", responses=DaysOut)
    def get(self, request: Request) -> Response:
        """Each day's mark, by its id; a copy with another mark is old."""
        outfit = self.sibling().outfit
        known = marks(ProcessingDay.objects.filter(outfit=outfit, home="").exclude(state__in=BUSY))
        return Response({"epoch": str(head_of(outfit).epoch), "days": {str(key): mark for key, mark in known.items()}})


class Day(Siblings):
    """One processing day with all its rows."""

    parser_classes = (Lines,)

    @extend_schema(responses={(200, "application/x-ndjson"): OpenApiTypes.STR})
    def get(self, request: Request, key: UUID) -> StreamingHttpResponse:
        """The day, line by line; the last line says how many there were."""
        day = get_object_or_404(ProcessingDay, outfit=self.sibling().outfit, pk=key, home="")
        return StreamingHttpResponse(lines_of(day), content_type="application/x-ndjson")

    @extend_schema(parameters=[DayAsked], request=OpenApiTypes.STR, responses=KeptOut)
    def post(self, request: Request, key: UUID) -> Response:
        """Keep a copy of a day that is at home in the sibling."""
        sibling = self.sibling()
        mark = self.read_address(DayAsked)["mark"]
        try:
            is_kept = keep_copy(sibling.outfit, key, request.data, home=sibling.name, mark=mark)
        except Unfit as problem:
            raise Problem("unfit", str(problem)) from problem
        return Response({"epoch": str(head_of(sibling.outfit).epoch), "is_kept": is_kept})


class Rulings(Siblings):
    """What was ruled here on the sibling's days."""

    @extend_schema(responses=RulingsOut)
    def get(self, request: Request) -> Response:
        """The rulings that have not come home yet, in the order in which they were given."""
        sibling = self.sibling()
        found = [one for day in self.days(sibling) for one in unsent_rulings(day)]
        shown = [
            {"op_id": one.pk, "day": one.day_id, "key": one.finding_key, "choice": one.choice, "typed": one.typed}
            for one in sorted(found, key=lambda one: one.ruled_at)
        ]
        return Response(RulingsOut({"epoch": head_of(sibling.outfit).epoch, "rulings": shown}).data)

    @extend_schema(request=TakenIn, responses=EpochOut)
    def post(self, request: Request) -> Response:
        """Note that rulings have come home."""
        sibling = self.sibling()
        taken = set(self.read(TakenIn)["taken"])
        for day in self.days(sibling):
            came = [str(one.pk) for one in unsent_rulings(day) if one.pk in taken]
            if came:
                note_gone_home(day, came)
        return Response({"epoch": str(head_of(sibling.outfit).epoch)})

    def days(self, sibling: Device) -> QuerySet[ProcessingDay]:
        """The copies of the sibling's days."""
        return ProcessingDay.objects.filter(outfit=sibling.outfit, home=sibling.name)


class Kept(Siblings):
    """Standing rules and recipes, which every installation of the outfit uses."""

    @extend_schema(responses=KeptHere)
    def get(self, request: Request) -> Response:
        """All that are kept here."""
        return self.kept(self.sibling().outfit)

    @extend_schema(request=KeptIn, responses=KeptHere)
    def post(self, request: Request) -> Response:
        """Keep what the sibling has changed, where it is still as was seen there; answer all that are kept then."""
        sibling = self.sibling()
        take_kept(sibling.outfit, self.read(KeptIn), sibling.name)
        return self.kept(sibling.outfit)

    def kept(self, outfit: Outfit) -> Response:
        """All that are kept here, as an answer."""
        return Response({"epoch": str(head_of(outfit).epoch), **kept_here(outfit)})


class Copy(Siblings):
    """The first copy for another installation."""

    @extend_schema(responses={(200, "application/zip"): OpenApiTypes.BINARY})
    def get(self, request: Request) -> FileResponse:
        """The outfit's archive of this moment, without passwords and tokens."""
        sibling = self.sibling()
        try:
            lent = lend_archive(sibling.outfit, Path(settings.VAR_DIR))
        except ArchiveRefused as refused:
            raise Problem("unavailable", str(refused)) from refused
        answer = FileResponse(lent, content_type="application/zip")
        answer["Cache-Control"] = "no-store"
        return answer
