"""Devices: made by the office, enrolled by a one-time code, known by a token, stopped at once."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import OperationalError, transaction
from django.utils import timezone

from herd.accounts.models import Outfit, Person
from herd.registry.models import Group
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from herd.sync.secrets import hash_of, hash_of_code, make_code, make_token

CODE_MINUTES = 10
# The moment a device was last seen is written at most this often, so that reading does not write.
SEEN_EVERY = timedelta(minutes=1)


class DeviceError(ValueError):
    """Nothing was written; the text is a sentence."""


@dataclass(frozen=True, slots=True)
class Enrolled:
    """A device with its token, which is told once and kept only as a hash."""

    device: Device
    token: str


@transaction.atomic
def make_device(
    *,
    outfit: Outfit,
    name: str,
    kind: DeviceKind,
    role: DeviceRole,
    groups: Sequence[UUID] = (),
    by: Person | None,
) -> tuple[Device, str]:
    """Make a device and its one-time code, which is valid ten minutes; raises DeviceError."""
    if not name.strip():
        raise DeviceError("A device needs a name.")
    if Device.objects.filter(outfit=outfit, name=name.strip()[:60]).exclude(state=DeviceState.BLOCKED).exists():
        raise DeviceError(f"There is a device called {name.strip()} already.")
    if len(set(groups)) != Group.objects.of(outfit).filter(pk__in=groups).count():
        raise DeviceError("That group is not in this outfit's record.")
    device = Device(
        outfit=outfit, name=name.strip()[:60], kind=kind, role=role, groups=[str(one) for one in groups], made_by=by
    )
    code = _give_code(device)
    device.save(force_insert=True)
    return device, code


@transaction.atomic
def renew_code(device: Device) -> str:
    """Give a device a new one-time code: one that never enrolled, or one that lost its token."""
    code = _give_code(device)
    device.save(update_fields=["code_hash", "code_until"])
    return code


def _give_code(device: Device) -> str:
    code = make_code()
    device.code_hash = hash_of_code(code)
    device.code_until = timezone.now() + timedelta(minutes=CODE_MINUTES)
    return code


@transaction.atomic
def enrol(code: str) -> Enrolled:
    """Take a one-time code for a token; the code is spent, and an older token of the device ends.

    Raises DeviceError with one sentence for every code that does not hold, whatever the cause.
    """
    found = Device.objects.select_for_update().filter(code_hash=hash_of_code(code), code_until__gt=timezone.now())
    device = found.exclude(state=DeviceState.BLOCKED).select_related(None).first()
    if device is None:
        raise DeviceError("That code does not hold. Ask the office for a new one; it is valid ten minutes.")
    token = make_token()
    device.code_hash, device.code_until = "", None
    device.token_hash = hash_of(token)
    device.state = DeviceState.ACTIVE
    device.enrolled_at = timezone.now()
    device.save()
    return Enrolled(device, token)


def device_of(token: str) -> Device | None:
    """The device that has this token, in any state but waiting; None for a token nobody has."""
    return Device.objects.select_related("outfit").filter(token_hash=hash_of(token)).first() if token else None


def note_seen(device: Device, now: datetime) -> None:
    """Keep the moment at which a device was last heard of."""
    if device.last_seen is None or now - device.last_seen >= SEEN_EVERY:
        # A busy database must not turn away a device that only asks.
        with suppress(OperationalError):
            Device.objects.filter(pk=device.pk).update(last_seen=now)


@transaction.atomic
def change_state(device: Device, state: DeviceState) -> None:
    """Retire a device, block it, or let it work again; from this moment on."""
    device.state = state
    if state is DeviceState.BLOCKED:
        device.code_hash, device.code_until = "", None
    device.save(update_fields=["state", "code_hash", "code_until"])
