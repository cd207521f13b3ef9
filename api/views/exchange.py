"""The open exchange by ICAR ADE 1.3.2: collections by location, page by page, and batches sent in for review."""

from typing import Any, ClassVar
from urllib.parse import urlencode

from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Called
from api.problems import Problem
from api.serializers.exchange import RESOURCE, Asked, BatchOut, PageOut
from herd.exchange.inward.results import results_of
from herd.exchange.inward.staging import take_in
from herd.exchange.inward.stream import BadDocument, members_of
from herd.exchange.names import LOCATION, OUTFIT, as_uuid, say_identifier
from herd.exchange.outward.pages import PAGED, count_and_page
from herd.exchange.outward.places import say_location
from herd.exchange.outward.scope import Scope
from herd.intake.days import GivenFile
from herd.registry.models import Location

MOST_BYTES = 16 * 1024 * 1024
SCHEME = OpenApiParameter("scheme", {"type": "string", "enum": [OUTFIT, LOCATION]}, OpenApiParameter.PATH)
KEY = OpenApiParameter("key", str, OpenApiParameter.PATH, description="The outfit's code, or a location's id.")
PLURAL = OpenApiParameter("plural", {"type": "string", "enum": list(PAGED)}, OpenApiParameter.PATH)
BATCH = {"application/json": {"type": "array", "items": RESOURCE}}


class RawJSON(BaseParser):
    """The bytes of a batch as they came, at most 16 MiB: its resources are read one by one, within bounds."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        """Return the bytes; raises Problem where there are more."""
        raw: bytes = stream.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise Problem("too-large", f"A batch holds at most {MOST_BYTES} bytes; send it in two.")
        return raw


class AtLocation(Called):
    """A view of what belongs to a location: the whole outfit, or one place of it."""

    def scope(self, scheme: str, key: str, **between: Any) -> Scope:
        """The part of the record that the address names; Http404 where this caller has no such location."""
        caller = self.caller
        groups = tuple(caller.groups)
        if scheme == OUTFIT and key == caller.outfit.code:
            return Scope(caller.outfit, groups=groups, **between)
        own = as_uuid(key) if scheme == LOCATION else None
        if own is None or not Location.objects.of(caller.outfit).filter(pk=own).exists():
            raise Http404
        return Scope(caller.outfit, groups=groups, location=own, **between)


class Locations(AtLocation):
    """The locations whose collections may be read."""

    @extend_schema(operation_id="exchange_locations_list", responses=PageOut)
    def get(self, request: Request) -> Response:
        """List them, the whole outfit first."""
        outfit = self.caller.outfit
        whole = {
            "resourceType": "icarLocationResource",
            "identifier": say_identifier(OUTFIT, outfit.code),
            "name": outfit.name,
            "timeZoneId": outfit.time_zone,
        }
        scope = Scope(outfit)
        rows = Location.objects.of(outfit).order_by("pk") if not self.caller.groups else ()
        members = [whole, *(say_location(scope, row) for row in rows)]
        return Response({"view": _view(request, len(members), 1, len(members)), "member": members})


class Collections(AtLocation):
    """One collection of a location."""

    @extend_schema(parameters=[SCHEME, KEY, PLURAL, Asked], responses=PageOut)
    def get(self, request: Request, scheme: str, key: str, plural: str) -> Response:
        """A page of its resources; with a time, what has changed in it, events taken back among them as deleted."""
        if plural not in PAGED:
            raise Http404
        said = self.read_address(Asked)
        since, until = said.get("meta-modified-from"), said.get("meta-modified-to")
        scope = self.scope(scheme, key, since=since, until=until)
        page, size = said["page"], said["pageSize"]
        total, members = count_and_page(scope, plural, (page - 1) * size, size)
        return Response({"view": _view(request, total, page, size), "member": members})


class Batches(AtLocation):
    """What another system sends in."""

    rights: ClassVar = {"post": Right.CAPTURE}
    parser_classes = (RawJSON,)

    @extend_schema(parameters=[SCHEME, KEY], request=BATCH, responses={202: BatchOut(many=True)})
    def post(self, request: Request, scheme: str, key: str) -> Response:
        """Stage resources as a processing day for review; the answer has one result for each, in their order.

        Nothing is in the record before a person applies the day that `Location` names.
        """
        caller = self.caller
        self.scope(scheme, key)
        if caller.groups:
            raise Problem("forbidden", "This device reads some groups only; batches are of the whole outfit.")
        # Without a body no parser is asked, and the data are those of an empty form.
        content = bytes(request.data) if isinstance(request.data, bytes) else b""
        try:
            sent = [member.value for member in members_of(content)]
        except BadDocument as problem:
            raise ParseError(str(problem)) from problem
        if not sent:
            raise ParseError("The batch is empty.")
        name = f"{caller.device.name if caller.device else 'sent'}.json"
        today = timezone.now().astimezone(caller.outfit.zone).date()
        file = GivenFile(name, content)
        day = take_in(outfit=caller.outfit, person=caller.person, files=[file], worked_on=today)
        answer = Response(results_of(day, sent), status=202)
        answer["Location"] = f"/api/v1/days/{day.pk}/"
        return answer


def _view(request: Request, total: int, page: int, size: int) -> dict[str, Any]:
    """The standard's account of a page; there is always a first page, be it empty."""
    pages = max(1, -(-total // size)) if size else 1

    def address(number: int) -> str:
        asked = {**request.query_params.dict(), "page": number}
        return request.build_absolute_uri(f"{request.path}?{urlencode(asked)}")

    found: dict[str, Any] = {"totalItems": total, "totalPages": pages, "pageSize": size, "currentPage": page}
    found |= {"first": address(1), "last": address(pages)}
    if page < pages:
        found["next"] = address(page + 1)
    if 1 < page <= pages:
        found["prev"] = address(page - 1)
    return found
