"""Addresses of the pages about people, and of the page for a forgotten password."""

from django.urls import URLPattern, path

from herd.office.views import people, reset

urlpatterns: list[URLPattern] = [
    path("people/", people.people, name="people"),
    path("people/new/", people.new, name="person-new"),
    path("people/<uuid:place_id>/role/", people.role, name="person-role"),
    path("people/<uuid:place_id>/remove/", people.remove, name="person-remove"),
    path("people/<uuid:place_id>/code/", people.code, name="person-code"),
    path("reset/", reset.reset, name="reset"),
]
