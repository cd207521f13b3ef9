"""Addresses of the API, below /api/v1/."""

from django.urls import include, path, re_path
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView
from rest_framework.routers import SimpleRouter

from api.views import exchange, siblings, sync
from api.views.animals import Animals
from api.views.days import Days, Files, Findings, Rows, Rulings
from api.views.devices import Enrol, WhoAmI
from api.views.events import Events
from api.views.groups import Groups, Memberships
from api.views.herd import HerdFile, HerdList
from api.views.nowhere import Nowhere
from api.views.places import Locations, Products
from api.views.record import Changes, Changesets, Head
from api.views.runs import Births, Lots
from api.views.tags import LookUp, Wearings

app_name = "api"

router = SimpleRouter(use_regex_path=False)
router.register("animals", Animals, basename="animal")
router.register("wearings", Wearings, basename="wearing")
router.register("events", Events, basename="event")
router.register("groups", Groups, basename="group")
router.register("memberships", Memberships, basename="membership")
router.register("locations", Locations, basename="location")
router.register("products", Products, basename="product")
router.register("days", Days, basename="day")
router.register("days/<uuid:day>/files", Files, basename="day-file")
router.register("days/<uuid:day>/rows", Rows, basename="day-row")
router.register("days/<uuid:day>/findings", Findings, basename="day-finding")
router.register("days/<uuid:day>/rulings", Rulings, basename="day-ruling")
router.register("changesets", Changesets, basename="changeset")
router.register("changes", Changes, basename="change")

urlpatterns = [
    path("", include(router.urls)),
    path("sync/info/", sync.Info.as_view(), name="sync-info"),
    path("sync/push/", sync.PushView.as_view(), name="sync-push"),
    path("sync/changes/", sync.Changes.as_view(), name="sync-changes"),
    path("sync/snapshot/", sync.Snapshot.as_view(), name="sync-snapshot"),
    path("sync/known/", sync.Known.as_view(), name="sync-known"),
    path("sync/relay/", siblings.Relay.as_view(), name="sync-relay"),
    path("sync/pull/", siblings.Pull.as_view(), name="sync-pull"),
    path("sync/days/", siblings.Days.as_view(), name="sync-days"),
    path("sync/days/<uuid:key>/", siblings.Day.as_view(), name="sync-day"),
    path("sync/rulings/", siblings.Rulings.as_view(), name="sync-rulings"),
    path("sync/kept/", siblings.Kept.as_view(), name="sync-kept"),
    path("sync/copy/", siblings.Copy.as_view(), name="sync-copy"),
    path("exchange/locations/", exchange.Locations.as_view(), name="exchange-locations"),
    path(
        "exchange/locations/<str:scheme>/<str:key>/<slug:plural>/",
        exchange.Collections.as_view(),
        name="exchange-collection",
    ),
    path("exchange/batches/locations/<str:scheme>/<str:key>/", exchange.Batches.as_view(), name="exchange-batches"),
    path("births/", Births.as_view(), name="births"),
    path("lots/", Lots.as_view(), name="lots"),
    path("reports/", include("api.views.reports")),
    path("herd/", HerdList.as_view(), name="herd"),
    path("herd/export/", HerdFile.as_view(), name="herd-export"),
    path("lookup/", LookUp.as_view(), name="lookup"),
    path("head/", Head.as_view(), name="head"),
    path("me/", WhoAmI.as_view(), name="me"),
    path("enrol/", Enrol.as_view(), name="enrol"),
    path("openapi.json", SpectacularJSONAPIView.as_view(), name="openapi"),
    path("docs/", SpectacularSwaggerSplitView.as_view(url_name="api:openapi"), name="docs"),
    re_path("", Nowhere.as_view()),
]
