"""What a device could not send itself: a file that it has saved, handed in by the office."""

import json
from collections import Counter
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.sync.again import try_again
from herd.sync.models import Device, DeviceState
from herd.sync.protocol import MOST_OPERATIONS, Push
from herd.sync.pushing import push

MOST_BYTES = 16 * 1024 * 1024
NO_FILE = "Choose the file that the device has saved."
NOT_OURS = "{} is no file that a device has saved: it holds no entries that can be read."
# What became of entries, in the order in which it is told.
ENDS = {
    "applied": "in the record",
    "merged": "in the record",
    "review": "in review",
    "held": "waiting",
    "quarantined": "kept aside",
}


class Unfit(ValueError):  # noqa: N818
    """The file can't be taken; the text is a sentence."""


@require_POST
@needs(Role.OFFICE)
def unsent(request: OfficeRequest, device_id: UUID) -> HttpResponse:
    """Take in what a device has saved as a file; what it sends as well later is taken once."""
    device = get_object_or_404(Device, outfit=request.outfit, pk=device_id)
    try:
        operations = _read(request, device)
    except Unfit as problem:
        messages.error(request, str(problem))
        return redirect("office:device", device_id)
    ends: Counter[str] = Counter()
    for start in range(0, len(operations), MOST_OPERATIONS):
        # Without clocks of the moment at which it was saved each entry stands as the device dated it.
        results = push(device, Push(operations[start : start + MOST_OPERATIONS]))
        ends.update(ENDS.get(str(one["status"]), "kept aside") for one in results)
    try_again(device.outfit)
    said = ", ".join(f"{ends[end]} {end}" for end in dict.fromkeys(ENDS.values()) if ends[end])
    messages.success(request, f"The file held {len(operations)} entries: {said or 'nothing to take in'}.")
    return redirect("office:device", device_id)


def _read(request: OfficeRequest, device: Device) -> list[Any]:
    if device.state == DeviceState.BLOCKED:
        raise Unfit(f"{device} is blocked; let it work again first.")
    file = request.FILES.get("saved")
    if file is None or file.size is None:
        raise Unfit(NO_FILE)
    if file.size > MOST_BYTES:
        raise Unfit(f"{file.name} is larger than {MOST_BYTES // 1024 // 1024} MiB.")
    try:
        found = json.loads(file.read().decode())
        operations, saved_by = found["ops"], found.get("device")
    except (ValueError, RecursionError, KeyError, TypeError, AttributeError) as problem:
        raise Unfit(NOT_OURS.format(file.name)) from problem
    if not isinstance(operations, list):
        raise Unfit(NOT_OURS.format(file.name))
    if saved_by and str(saved_by) != str(device.pk):
        raise Unfit(f"{file.name} was saved by another device; hand it in on that device's page.")
    return operations
