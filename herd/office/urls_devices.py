"""Addresses of the pages about devices."""

from django.urls import URLPattern, path

from herd.office.views import devicefiles, devices, instep

urlpatterns: list[URLPattern] = [
    path("devices/", devices.devices, name="devices"),
    path("devices/in-step/", instep.in_step, name="in-step"),
    path("devices/new/", devices.new, name="device-new"),
    path("devices/<uuid:device_id>/", devices.device, name="device"),
    path("devices/<uuid:device_id>/code/", devices.code, name="device-code"),
    path("devices/<uuid:device_id>/unsent/", devicefiles.unsent, name="device-unsent"),
    path("devices/<uuid:device_id>/<slug:step>/", devices.change, name="device-change"),
]
