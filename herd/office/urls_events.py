"""Addresses of the pages about events."""

from django.urls import URLPattern, path

from herd.office.views import events, events_many, withdrawal

urlpatterns: list[URLPattern] = [
    path("animals/<uuid:animal_id>/events/<uuid:event_id>/correct/", events.correct, name="event-correct"),
    path("events/many/", events_many.many, name="events-many"),
    path("withdrawal/", withdrawal.withdrawal, name="withdrawal"),
]
