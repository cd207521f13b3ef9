"""Addresses of the chute page, below /chute/."""

from django.urls import path

from herd.chute import views

app_name = "chute"

urlpatterns = [
    path("", views.page, name="page"),
    path("manifest.webmanifest", views.manifest, name="manifest"),
    path("worker.js", views.worker, name="worker"),
]
