"""Every address of the installation begins here."""

from django.contrib import admin
from django.urls import include, path

from herd.config.health import alive, ready
from herd.config.metrics import metrics

# The API first: its callers are in the greatest hurry, and the office has many addresses to pass by.
urlpatterns = [
    path("api/v1/", include("api.urls")),
    path("", include("herd.office.urls")),
    path("chute/", include("herd.chute.urls")),
    path("admin/", admin.site.urls),
    path("health/", alive, name="alive"),
    path("health/ready/", ready, name="ready"),
    path("health/metrics/", metrics, name="metrics"),
]
