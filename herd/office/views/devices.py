"""Devices: which there are, how one is enrolled by its one-time code, how one is stopped."""

from uuid import UUID

import segno
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.devices import DeviceForm
from herd.office.saying import say_moment
from herd.office.tables import Table
from herd.sync.devices import CODE_MINUTES, DeviceError, change_state, make_device, renew_code
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from herd.sync.queries import DeviceCount, count_devices, days_of, troubled

MOST_SHOWN = 200
MOST_DAYS = 30
# What a person may do with a device, and the sentence that tells it was done.
STEPS = {
    "retire": (DeviceState.RETIRED, "{} is retired: it may deliver what it still has, and reads nothing more."),
    "block": (DeviceState.BLOCKED, "{} is blocked: its token holds no more."),
    "again": (DeviceState.ACTIVE, "{} works again."),
}


@require_safe
@needs(Role.OFFICE)
def devices(request: OfficeRequest) -> HttpResponseBase:
    """The outfit's devices."""
    counts = count_devices(request.outfit)
    if way := asked_way(request):
        return hand_out(request, way, _as_table(request, counts))
    return render(request, "office/devices/devices.html", {"here": "devices", "counts": counts})


def _as_table(request: OfficeRequest, counts: list[DeviceCount]) -> Table:
    columns = ("Name", "Kind", "May", "State", "Last seen", "Delivered", "Waiting", "Kept aside")
    rows = [
        (
            one.device.name,
            one.device.get_kind_display(),
            one.device.get_role_display(),
            one.device.get_state_display(),
            say_moment(one.device.last_seen, request.outfit.zone) if one.device.last_seen else "never",
            one.delivered,
            one.waiting,
            one.aside,
        )
        for one in counts
    ]
    return Table(f"Devices of {request.outfit}", columns, rows)


@never_cache
@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def new(request: OfficeRequest) -> HttpResponse:
    """Make a device, and show its one-time code this once."""
    form = DeviceForm(request.POST or None, outfit=request.outfit)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            device, code = make_device(
                outfit=request.outfit,
                name=said["name"],
                kind=DeviceKind(said["kind"]),
                role=DeviceRole(said["role"]),
                groups=form.group_ids(),
                by=request.user,
            )
        except DeviceError as problem:
            form.add_error("name", str(problem))
        else:
            return _show_code(request, device, code)
    return render(request, "office/devices/new.html", {"here": "devices", "form": form})


@never_cache
@require_POST
@needs(Role.OFFICE)
def code(request: OfficeRequest, device_id: UUID) -> HttpResponse:
    """Give a device a new one-time code."""
    device = _device(request, device_id)
    if device.state == DeviceState.BLOCKED:
        messages.error(request, f"{device} is blocked; let it work again first.")
        return redirect("office:device", device_id)
    return _show_code(request, device, renew_code(device))


def _show_code(request: OfficeRequest, device: Device, secret: str) -> HttpResponse:
    """Show the code to read and to type; the picture opens the chute page on a phone with it."""
    site = request.build_absolute_uri("/")
    # What stands behind the # stays in the browser: no server on the way gets to see the code.
    link = f"{request.build_absolute_uri(reverse('chute:page'))}#enrol={secret}"
    picture = segno.make(link, error="m").svg_data_uri(scale=6, border=3)
    context = {
        "here": "devices",
        "device": device,
        "code": secret,
        "site": site,
        "link": link,
        "picture": picture,
        "minutes": CODE_MINUTES,
    }
    return render(request, "office/devices/code.html", context)


@require_safe
@needs(Role.OFFICE)
def device(request: OfficeRequest, device_id: UUID) -> HttpResponse:
    """One device, with what of its work is not in the record."""
    found = _device(request, device_id)
    count = next(one for one in count_devices(request.outfit) if one.device.pk == found.pk)
    context = {"here": "devices", "device": found, "count": count, "troubled": troubled(found, MOST_SHOWN)}
    context["days"] = days_of(found, MOST_DAYS)
    return render(request, "office/devices/device.html", context)


@require_POST
@needs(Role.OFFICE)
def change(request: OfficeRequest, device_id: UUID, step: str) -> HttpResponse:
    """Retire a device, block it, or let it work again; from this moment on."""
    if step not in STEPS:
        raise Http404
    found = _device(request, device_id)
    state, sentence = STEPS[step]
    if step == "again" and not found.token_hash:
        state, sentence = DeviceState.WAITING, "{} needs a new code to work again."
    change_state(found, state)
    messages.success(request, sentence.format(found))
    return redirect("office:device", device_id)


def _device(request: OfficeRequest, device_id: UUID) -> Device:
    return get_object_or_404(Device, outfit=request.outfit, pk=device_id)
