"""Addresses of the office site."""

from django.contrib.auth.views import LogoutView
from django.urls import URLPattern, URLResolver, include, path

from herd.office import (
    urls_animals,
    urls_archive,
    urls_devices,
    urls_events,
    urls_groups,
    urls_herd,
    urls_people,
    urls_policy,
    urls_reports,
    urls_tags,
)
from herd.office.views import account, activity, animal, events, find, home, mend, setup, tags, undo

app_name = "office"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", home.home, name="home"),
    path("sign-in/", account.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("first-run/", account.first_run, name="first-run"),
    path("set-up/", setup.setup, name="set-up"),
    path("password/", account.ChangePassword.as_view(), name="password"),
    path("outfit/", account.choose_outfit, name="choose-outfit"),
    path("find/", find.find, name="find"),
    path("animals/new/", mend.register, name="animal-new"),
    path("animals/<uuid:animal_id>/", animal.animal, name="animal"),
    path("animals/<uuid:animal_id>/history/", animal.history, name="animal-history"),
    path("animals/<uuid:animal_id>/correct/", mend.correct, name="animal-correct"),
    path("animals/<uuid:animal_id>/move/", mend.move, name="animal-move"),
    path("animals/<uuid:animal_id>/events/new/", events.new, name="event-new"),
    path("animals/<uuid:animal_id>/events/<uuid:event_id>/void/", events.void, name="event-void"),
    path("animals/<uuid:animal_id>/tags/new/", tags.put_on, name="tag-new"),
    path("animals/<uuid:animal_id>/tags/<uuid:wearing_id>/replace/", tags.replace, name="tag-replace"),
    path("activity/", activity.activity, name="activity"),
    path("activity/<uuid:changeset_id>/", activity.changeset, name="changeset"),
    path("activity/<uuid:changeset_id>/undo/", undo.undo, name="changeset-undo"),
    path("days/", include("herd.office.urls_days")),
    *urls_herd.urlpatterns,
    *urls_tags.urlpatterns,
    *urls_animals.urlpatterns,
    *urls_groups.urlpatterns,
    *urls_events.urlpatterns,
    *urls_people.urlpatterns,
    *urls_policy.urlpatterns,
    *urls_reports.urlpatterns,
    *urls_archive.urlpatterns,
    *urls_devices.urlpatterns,
]
