"""Sync: operations pushed, changes pulled, the first copy."""

from typing import Any, ClassVar

from django.http import HttpResponse, StreamingHttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Called
from api.packing import answer_packed, stream_packed
from api.parsers import BoundedJSON
from api.problems import Problem, unfit
from api.serializers.sync import (
    ChangesAsked,
    ChangesOut,
    InfoOut,
    KnownIn,
    KnownOut,
    PushIn,
    PushOut,
    SnapshotAsked,
)
from herd.sync.again import try_again
from herd.sync.cursors import Outdated, head_of
from herd.sync.feed import changes_since
from herd.sync.models import Device, DeviceState, Operation
from herd.sync.protocol import MOST_BYTES, MOST_ITEMS, MOST_OPERATIONS, SCHEMA, Push
from herd.sync.pushing import push
from herd.sync.reading import Unfit, read_clock
from herd.sync.snapshot import snapshot
from herd.sync.upstream.relaying import as_relayed


class Sync(Called):
    """A view for devices only."""

    parser_classes = (BoundedJSON,)
    rights: ClassVar = {"post": Right.READ}

    def device(self, *, delivers: bool = False) -> Device:
        """The device that calls; one that is retired may deliver, and no more."""
        caller = self.caller
        if caller.device is None:
            raise Problem("forbidden", "Sync is for enrolled devices.")
        if not delivers and caller.device.state == DeviceState.RETIRED:
            raise Problem("forbidden", "This device is retired: it may deliver what it has, and read no more.")
        return caller.device

    def groups(self) -> list[Any]:
        """The groups that the device may read; all where empty."""
        return self.caller.groups


class Info(Sync):
    """What a device needs to know before it sends."""

    @extend_schema(responses=InfoOut)
    def get(self, request: Request) -> Response:
        """The epoch, the head of the feed, and the limits."""
        outfit = self.device(delivers=True).outfit
        head = head_of(outfit)
        return Response(
            {
                "outfit": str(outfit.pk),
                "epoch": str(head.epoch),
                "head": str(head.position),
                "schema": SCHEMA,
                "most_operations": MOST_OPERATIONS,
                "most_bytes": MOST_BYTES,
                "most_items": MOST_ITEMS,
                "server_time": timezone.now(),
            }
        )


class PushView(Sync):
    """What a device did offline."""

    @extend_schema(request=PushIn, responses=PushOut)
    def post(self, request: Request) -> Response:
        """Take operations; each is answered, whatever is in it, and may be sent again at any time."""
        device = self.device(delivers=True)
        sent = self.read(PushIn)
        operations = sent["ops"]
        if len(operations) > MOST_OPERATIONS:
            raise Problem("too-large", f"A push holds at most {MOST_OPERATIONS} operations; send it in two.")
        try:
            contact = read_clock(sent["clock"])
        except Unfit as problem:
            errors = [{"pointer": problem.pointer, "detail": str(problem)}]
            raise Problem("unfit", str(problem), errors=errors) from problem
        results = push(device, Push(operations, contact))
        try_again(device.outfit)
        head = head_of(device.outfit)
        told = {"epoch": str(head.epoch), "head": str(head.position), "server_time": timezone.now()}
        return Response({**told, "results": as_relayed(device.outfit, results)})


class Changes(Sync):
    """What changed since."""

    @extend_schema(parameters=[ChangesAsked], responses=ChangesOut)
    def get(self, request: Request) -> HttpResponse:
        """A page of the feed from a cursor; 409 or 410 where a first copy has to be taken anew."""
        device, said = self.device(), self.read_address(ChangesAsked)
        try:
            page = changes_since(device.outfit, said["cursor"], self.groups(), said["limit"])
        except Outdated as problem:
            raise Problem(problem.word, str(problem), action="snapshot") from problem
        told = {"epoch": str(page.epoch), "cursor": page.cursor, "more": page.more, "server_time": timezone.now()}
        return answer_packed(request, {**told, "items": page.items})


class Snapshot(Sync):
    """The first copy."""

    @extend_schema(parameters=[SnapshotAsked], responses={(200, "application/x-ndjson"): OpenApiTypes.STR})
    def get(self, request: Request) -> StreamingHttpResponse:
        """All that the device may read, as lines of JSON; the last line says that it is whole.

        409 where a copy that was cut off can't go on, as after the device's groups have changed.
        """
        device, said = self.device(), self.read_address(SnapshotAsked)
        if (said["after"] is None) != (said["cursor"] is None):
            # The cursor says of which copy the animal is the last that came.
            raise unfit("cursor", "A first copy goes on with both `after` and its `cursor`.")
        try:
            portions = snapshot(device.outfit, self.groups(), said["after"], said["cursor"])
        except Outdated as problem:
            raise Problem(problem.word, str(problem), action="snapshot") from problem
        return stream_packed(request, portions, "application/x-ndjson")


class Known(Sync):
    """What the record still has of a device, for one that saw the epoch change."""

    @extend_schema(request=KnownIn, responses=KnownOut)
    def post(self, request: Request) -> Response:
        """Tell which operations are here; the device sends the others again."""
        device = self.device(delivers=True)
        asked = self.read(KnownIn)["op_ids"]
        rows = Operation.objects.filter(outfit=device.outfit, op_id__in=asked)
        found = [{"op_id": str(one.op_id), **one.answer, "status": one.status} for one in rows]
        known = as_relayed(device.outfit, found)
        return Response({"epoch": str(head_of(device.outfit).epoch), "known": known})
