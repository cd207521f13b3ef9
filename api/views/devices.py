"""Enrolment by a one-time code, and what a caller is here."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from api.bases import Called
from api.problems import Problem
from api.serializers.devices import CallerOut, CodeIn, EnrolledOut
from api.throttles import Enrolment
from herd.sync.devices import DeviceError, enrol


class Enrol(Called):
    """Where a new device begins."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    throttle_classes = (Enrolment,)

    @extend_schema(request=CodeIn, responses={201: EnrolledOut}, auth=[])
    def post(self, request: Request) -> Response:
        """Give the one-time code for a token; the code is spent."""
        try:
            enrolled = enrol(self.read(CodeIn)["code"])
        except DeviceError as refused:
            raise Problem("forbidden", str(refused)) from refused
        device = enrolled.device
        shown = {
            "device": device.pk,
            "name": device.name,
            "role": device.role,
            "outfit": device.outfit.code,
            "token": enrolled.token,
        }
        return Response(EnrolledOut(shown).data, status=201)


class WhoAmI(Called):
    """What a caller is here."""

    @extend_schema(responses=CallerOut)
    def get(self, request: Request) -> Response:
        """The caller's outfit, right and groups, and the server's time."""
        caller = self.caller
        outfit = caller.outfit
        shown = {
            "outfit": outfit.code,
            "name": outfit.name,
            "time_zone": outfit.time_zone,
            "weight_unit": outfit.weight_unit,
            "right": caller.right.name.lower(),
            "device": caller.device.pk if caller.device else None,
            "groups": caller.groups,
            "server_time": timezone.now(),
        }
        return Response(CallerOut(shown).data)
