"""Addresses of the herd list and the lists kept."""

from django.urls import URLPattern, path

from herd.office.views import herd, herd_kept, herd_picked

urlpatterns: list[URLPattern] = [
    path("herd/", herd.herd, name="herd"),
    path("herd/keep/", herd_kept.keep, name="herd-keep"),
    path("herd/kept/<uuid:list_id>/", herd_kept.change, name="herd-kept"),
    path("herd/kept/<uuid:list_id>/take-out/", herd_kept.take_out, name="herd-kept-out"),
    path("herd/picked/", herd_picked.take_along, name="herd-picked"),
    path("herd/day/", herd_picked.to_day, name="herd-day"),
]
