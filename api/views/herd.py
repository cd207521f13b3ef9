"""The herd list: the office's question about the herd, page by page and as a file."""

import csv
import io
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django.http import StreamingHttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Caller
from api.bases import Called
from api.paging import A_PAGE, MOST, read_limit
from api.problems import Problem
from api.reading import plausible_day
from api.reports.shapes import number
from api.serializers.herd import EVERY, HerdAsked, HerdOut, HerdPage
from herd.ledger.rows import in_steps
from herd.registry.models import Animal
from herd.registry.queries.herdlist import Question, ids_of, page_of
from herd.registry.queries.tags import worn_by
from herd.reports.lastweights import last_weights
from herd.values.mass import NANOGRAMS
from herd.values.sheetcells import guarded

PAGE = ("limit", "after", "before")
FACTS = ("status", "status_since", "born_on", "born_precision", "breed", "coat", "origin", "animal_class")
LIMIT = OpenApiParameter(
    "limit", {"type": "integer", "minimum": 1, "maximum": MOST, "default": A_PAGE}, description="How many animals."
)
# The mark makes spreadsheets read it as UTF-8.
MARK = "\ufeff"


class HerdView(Called):
    """A view that is asked the herd list's question."""

    def question(self, *others: str) -> Question:
        """The question as the record takes it."""
        said = self.read_address(HerdAsked, *others)
        caller, class_name, status = self.caller, said.pop("class_name", ""), said.pop("status")
        if caller.groups:
            raise Problem("forbidden", "This device reads some groups only; the herd list is of the whole outfit.")
        if said.get("event_since"):
            plausible_day(said["event_since"], "event_since")
        for name in {"weight_from", "weight_to"} & set(said):
            said[name] = int(said[name] * NANOGRAMS[caller.outfit.unit])
        return Question(
            today=today_of(caller),
            classes=(class_name,) if class_name else (),
            statuses=() if status == EVERY else (status,),
            **said,
        )


def today_of(caller: Caller) -> date:
    """Today at the ranch."""
    return timezone.localdate(timezone=caller.outfit.zone)


class HerdList(HerdView):
    """The animals that answer a question, in its order."""

    @extend_schema(parameters=[HerdAsked, HerdPage, LIMIT], responses=HerdOut)
    def get(self, request: Request) -> Response:
        """A page of the herd list; `next` and `previous` are marks for `after` and `before`."""
        marks = {name: request.query_params[name] for name in PAGE[1:] if name in request.query_params}
        asked = self.read(HerdPage, marks)
        page = page_of(self.caller.outfit, self.question(*PAGE), size=read_limit(request), **asked)
        shown = {
            "items": list(lines_of(self.caller, page.ids)),
            "next": page.next,
            "previous": page.previous,
            "weight_unit": self.caller.outfit.weight_unit,
        }
        return Response(HerdOut(shown).data)


class Csv(JSONRenderer):
    """CSV (RFC 4180), which the view writes line by line; what is left to render is a problem."""

    media_type, format = "text/csv", "csv"


class HerdFile(HerdView):
    """All animals that answer a question, as a file."""

    renderer_classes = (Csv,)

    @extend_schema(parameters=[HerdAsked], responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, request: Request) -> StreamingHttpResponse:
        """The herd list as CSV in UTF-8, with its columns named in the first line."""
        ids = ids_of(self.caller.outfit, self.question())
        answer = StreamingHttpResponse(_csv_of(self.caller, ids), content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = f'attachment; filename="herd-{today_of(self.caller)}.csv"'
        return answer


def _csv_of(caller: Caller, ids: Sequence[UUID]) -> Iterator[str]:
    columns = list(HerdOut().fields["items"].child.fields)  # type: ignore[attr-defined]
    yield MARK + ",".join(columns) + "\r\n"
    for some in in_steps(ids):
        text = io.StringIO()
        writer = csv.writer(text)
        for line in lines_of(caller, some):
            writer.writerow([guarded(line[name]) for name in columns])
        yield text.getvalue()


def lines_of(caller: Caller, ids: Sequence[UUID]) -> Iterator[dict[str, Any]]:
    """The animals as lines of the list, in the order given; four queries for eight hundred."""
    outfit = caller.outfit
    for some in in_steps(ids):
        animals = Animal.objects.of(outfit).select_related("group", "location").in_bulk(some)
        worn, weighed = worn_by(outfit, some), last_weights(outfit, some, today_of(caller), 0)
        for key in some:
            if key in animals:
                yield _line(animals[key], worn[key], weighed.get(key))


def _line(animal: Animal, worn: Any, weighed: Any) -> dict[str, Any]:
    return {
        "id": animal.pk,
        "vid": worn.vid,
        "vid_colour": worn.vid_colour,
        "eid": worn.eid,
        "other_tags": ", ".join(worn.others),
        **{name: getattr(animal, name) for name in FACTS},
        "group": animal.group.name if animal.group else "",
        "location": animal.location.name if animal.location else "",
        "dam": animal.dam_id,
        "sire": animal.sire_id,
        "weight": number(weighed.gross) if weighed else None,
        "weighed_on": weighed.weighed_on if weighed else None,
    }
