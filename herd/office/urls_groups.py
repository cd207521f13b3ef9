"""Addresses of the pages about groups, locations, moves and head counts."""

from django.urls import URLPattern, path

from herd.office.views import counts, groups, locations, moves, passages

urlpatterns: list[URLPattern] = [
    path("groups/", groups.groups, name="groups"),
    path("groups/new/", groups.new, name="group-new"),
    path("groups/<uuid:group_id>/", groups.group, name="group"),
    path("groups/<uuid:group_id>/change/", groups.change, name="group-change"),
    path("groups/<uuid:group_id>/close/", groups.close, name="group-close"),
    path("groups/<uuid:group_id>/reopen/", groups.reopen, name="group-reopen"),
    path("groups/<uuid:group_id>/place/", locations.place_group, name="group-place"),
    path("groups/<uuid:group_id>/moves/", passages.group_moves, name="group-moves"),
    path("groups/<uuid:group_id>/counts/", counts.counts, name="group-counts"),
    path("groups/<uuid:group_id>/counts/new/", counts.new, name="count-new"),
    path("counts/<uuid:check_id>/", counts.count, name="count"),
    path("counts/<uuid:check_id>/missing/", counts.missing, name="count-missing"),
    path("counts/<uuid:check_id>/take-in/", counts.take_in, name="count-take-in"),
    path("animals/move/", moves.animals_move, name="animals-move"),
    path("locations/", locations.locations, name="locations"),
    path("locations/new/", locations.new, name="location-new"),
    path("locations/<uuid:location_id>/", locations.location, name="location"),
    path("locations/<uuid:location_id>/change/", locations.change, name="location-change"),
    path("locations/<uuid:location_id>/retire/", locations.retire, name="location-retire"),
    path("locations/<uuid:location_id>/moves/", passages.location_moves, name="location-moves"),
]
