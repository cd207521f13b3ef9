"""Addresses of the pages about animals."""

from django.urls import URLPattern, path

from herd.office.views import family, merge, runs, split

urlpatterns: list[URLPattern] = [
    path("animals/calving/", runs.calving, name="calving-run"),
    path("animals/bought/", runs.purchase, name="lot-new"),
    path("animals/merge/", merge.merge, name="animals-merge"),
    path("animals/<uuid:animal_id>/family/", family.family, name="animal-family"),
    path("animals/<uuid:animal_id>/split/", split.split, name="animal-split"),
]
