"""Who calls, for which outfit, with which right: devices by their token, people by their session."""

from dataclasses import dataclass
from enum import IntEnum
from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, SessionAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from herd.accounts.models import Outfit, Person, Role
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.sync.devices import device_of, note_seen
from herd.sync.models import Device, DeviceRole, DeviceState


class Right(IntEnum):
    """What a caller may do; each includes those before it."""

    READ = 1
    CAPTURE = 2
    OFFICE = 3


RIGHTS_OF_ROLES = {
    Role.READER: Right.READ,
    Role.CREW: Right.CAPTURE,
    Role.OFFICE: Right.OFFICE,
    Role.OWNER: Right.OFFICE,
}
RIGHTS_OF_DEVICES = {
    DeviceRole.READ: Right.READ,
    DeviceRole.CAPTURE: Right.CAPTURE,
    DeviceRole.OFFICE: Right.OFFICE,
}


@dataclass(frozen=True, slots=True)
class Caller:
    """One who calls the API: a device or a person, in one outfit, with one right."""

    outfit: Outfit
    right: Right
    person: Person | None = None
    device: Device | None = None

    @property
    def groups(self) -> list[UUID]:
        """The groups whose animals may be read; empty for all of the outfit's."""
        return [UUID(one) for one in self.device.groups] if self.device else []

    @property
    def name(self) -> str:
        """The device or the person in one word, as nobody else of the outfit is called."""
        return f"device:{self.device.pk}" if self.device else f"person:{self.person.pk if self.person else ''}"

    def entry(self, title: str) -> Entry:
        """Say in the ledger who writes and what for."""
        kind = ChangesetKind.DEVICE if self.device else ChangesetKind.OFFICE
        return Entry(self.outfit, self.person, kind, title, signed=self.device.name if self.device else "")


class DeviceToken(BaseAuthentication):
    """`Authorization: Bearer TOKEN`, with the token that a device got when it was enrolled."""

    def authenticate(self, request: Request) -> tuple[Any, Caller] | None:
        """Return the device and its caller; AuthenticationFailed for a token that does not hold."""
        words = get_authorization_header(request).decode("latin-1").split()
        if not words or words[0].lower() != "bearer":
            return None
        device = device_of(words[1]) if len(words) == 2 else None
        if device is None or device.state == DeviceState.BLOCKED:
            raise AuthenticationFailed("That token does not hold.")
        note_seen(device, timezone.now())
        right = Right.READ if device.state == DeviceState.RETIRED else RIGHTS_OF_DEVICES[DeviceRole(device.role)]
        return device, Caller(device.outfit, right, device=device)

    def authenticate_header(self, request: Request) -> str:
        """Name the scheme in a 401."""
        return 'Bearer realm="Notchbook"'


class OfficeSession(SessionAuthentication):
    """The session of someone who has signed in to the office; writes need the CSRF token."""

    def authenticate(self, request: Request) -> tuple[Any, Any] | None:
        """Return the person and the caller for the outfit that the session has chosen."""
        found = super().authenticate(request)
        role = getattr(request._request, "role", None)
        if found is None or role is None:
            return None
        person, _ = found
        outfit = request._request.outfit  # type: ignore[attr-defined]
        return person, Caller(outfit, RIGHTS_OF_ROLES[role], person=person)


class HasRight(BasePermission):
    """Lets a caller do what the view's `rights` ask for: by action or method, READ where nothing is said."""

    message = "Your right here does not reach that far."

    def has_permission(self, request: Request, view: Any) -> bool:
        """Whether the caller's right is enough."""
        caller = request.auth
        if not isinstance(caller, Caller):
            return False
        rights = getattr(view, "rights", {})
        action = getattr(view, "action", None) or str(request.method).lower()
        least = Right.READ if request.method in {"GET", "HEAD", "OPTIONS"} else Right.OFFICE
        return caller.right >= rights.get(action, least)


class DeviceTokenScheme(OpenApiAuthenticationExtension):
    """Tells the OpenAPI document how a device signs its calls."""

    target_class = "api.access.DeviceToken"
    name = "device"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """HTTP bearer authentication (RFC 6750)."""
        return {"type": "http", "scheme": "bearer"}


class OfficeSessionScheme(OpenApiAuthenticationExtension):
    """Tells the OpenAPI document of the office's session cookie."""

    target_class = "api.access.OfficeSession"
    name = "office"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """The session cookie of the office site."""
        return {"type": "apiKey", "in": "cookie", "name": "sessionid"}
