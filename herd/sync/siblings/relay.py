"""Operations of devices that reached a sibling: performed here as if the device had come by itself, with its clock."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from herd.sync.protocol import SIBLING_KINDS, Malformed, Sent
from herd.sync.pushing import perform
from herd.sync.reading import Unfit, read_id, read_moment, read_operation
from herd.values.deviceclock import Told


@dataclass(frozen=True, slots=True)
class Relayed:
    """An operation exactly as the device sent it, and the moment that the sibling made out for it."""

    device: UUID
    body: Any
    told: Told | None


def read_relayed(said: Any, pointer: str) -> Relayed:
    """Read one relayed operation; raises Unfit where the relay's own part of it is not as it must be."""
    if not isinstance(said, dict) or "body" not in said:
        raise Unfit(pointer, "A relayed operation is an object with its device and its body.")
    at = said.get("happened_at")
    note = str(said.get("clock_note") or "")[:120]
    told = Told(read_moment(at, f"{pointer}/happened_at"), note) if at else None
    return Relayed(read_id(said.get("device"), f"{pointer}/device"), said["body"], told)


@transaction.atomic
def know_device(outfit: Outfit, said: Any, pointer: str) -> Device:
    """The device that a sibling names, made here where it is new; raises Unfit.

    It may deliver through the sibling and no more: it has no token here.
    """
    if not isinstance(said, dict):
        raise Unfit(pointer, "A device is an object.")
    key = read_id(said.get("id"), f"{pointer}/id")
    known = Device.objects.filter(pk=key).first()
    if known is not None:
        if known.outfit_id != outfit.pk:
            raise Unfit(f"{pointer}/id", "That device is not this outfit's.")
        return known
    kind, role = said.get("kind"), said.get("role")
    if kind not in DeviceKind.values or role not in DeviceRole.values:
        raise Unfit(pointer, "A device has its kind and its role.")
    return Device.objects.create(
        id=key,
        outfit=outfit,
        name=str(said.get("name") or "a device")[:60],
        kind=kind,
        role=role,
        state=DeviceState.RETIRED,
    )


def take_relayed(devices: dict[UUID, Device], given: Sequence[Relayed]) -> list[dict[str, Any]]:
    """Perform relayed operations in their order, those of one device together; an answer for each."""
    answers: list[dict[str, Any]] = []
    run: list[Relayed] = []
    for one in given:
        if run and run[-1].device != one.device:
            answers += _perform(devices[run[0].device], run)
            run = []
        run.append(one)
    return answers + (_perform(devices[run[0].device], run) if run else [])


def _perform(device: Device, run: Sequence[Relayed]) -> list[dict[str, Any]]:
    return perform(device, [_read(one) for one in run])


def _read(one: Relayed) -> Sent | Malformed:
    read = read_operation(one.body, None, timezone.now())
    if isinstance(read, Malformed):
        return read
    if read.kind in SIBLING_KINDS:
        return Malformed(one.body, read.digest, "A device sends no changesets.", "/kind", read.op_id)
    return replace(read, told=one.told) if one.told else read
