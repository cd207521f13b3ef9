"""The reports: one view for each that is declared, and the list of them."""

from typing import Any, ClassVar

from django.urls import URLPattern, path
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.bases import Called
from api.problems import Problem
from api.reports.breeding import BREEDING, CALVING, DUE, KIN
from api.reports.care import JOURNEY, NEGLECT
from api.reports.declared import Asked, Report
from api.reports.growth import CALVES, GAIN
from api.reports.health import HOLDS, SAMPLES, TREATMENTS, VACCINES
from api.reports.herd import HEAD
from api.reports.shapes import plain, schema_of
from herd.registry.queries.policies import policies_of

REPORTS = (
    *(HEAD, NEGLECT, JOURNEY, GAIN, CALVES, DUE, CALVING, BREEDING, KIN),
    *(TREATMENTS, VACCINES, SAMPLES, HOLDS),
)
MOMENT = {"type": "string", "format": "date-time"}


class ReportOut(serializers.Serializer[Any]):
    """A report that can be asked for."""

    name = serializers.CharField()
    question = serializers.CharField()
    about = serializers.CharField()
    address = serializers.CharField()


class Reports(Called):
    """Which reports there are."""

    @extend_schema(responses=ReportOut(many=True))
    def get(self, request: Request) -> Response:
        """List the reports, each with the question that it answers and where it is asked."""
        told = [
            {"name": one.name, "question": one.question, "about": one.about, "address": f"{request.path}{one.name}/"}
            for one in REPORTS
        ]
        return Response(ReportOut(told, many=True).data)


class Reported(Called):
    """One report; figures tell how they were made: value, unit, formula, parts, source, cautions."""

    report: ClassVar[Report]

    def get(self, request: Request) -> Response:
        """Make the report."""
        if self.caller.groups:
            raise Problem("forbidden", "This device reads some groups only; reports are of the whole outfit.")
        said = self.read_address(self.report.asks)
        asked = Asked(self.caller, said, policies_of(self.caller.outfit))
        answer = self.report.make(asked)
        return Response({"made_at": timezone.now(), "about": self.report.about, **plain(answer)})


def _view(report: Report) -> Any:
    """The view of a report, with its own place in the OpenAPI document."""
    shape = schema_of(report.answer)
    whole = {
        **shape,
        "required": ["made_at", "about", *shape["required"]],
        "properties": {"made_at": MOMENT, "about": {"type": "string"}, **shape["properties"]},
    }

    def get(self: Reported, request: Request) -> Response:
        return Reported.get(self, request)

    told = extend_schema(
        operation_id=f"reports_{report.name}",
        description=" ".join(one for one in (report.question, report.about) if one),
        parameters=[report.asks],
        responses={200: whole},
    )
    kind: Any = type(report.name.title(), (Reported,), {"report": report, "__doc__": report.question, "get": told(get)})
    return kind.as_view()


urlpatterns: list[URLPattern] = [
    path("", Reports.as_view(), name="reports"),
    *(path(f"{one.name}/", _view(one), name=f"report-{one.name}") for one in REPORTS),
]
