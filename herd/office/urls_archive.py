"""Addresses of the archive."""

from django.urls import URLPattern, path

from herd.office.views import archive

urlpatterns: list[URLPattern] = [
    path("archive/", archive.archive, name="archive"),
    path("archive/file/", archive.file, name="archive-file"),
]
