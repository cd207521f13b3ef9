"""Addresses of the API, below /api/v1/."""

from django.urls import include, path
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView
from rest_framework.routers import SimpleRouter

from api.views.animals import Animals

app_name = "api"

router = SimpleRouter()
router.register("animals", Animals, basename="animal")

urlpatterns = [
    path("", include(router.urls)),
    path("openapi.json", SpectacularJSONAPIView.as_view(), name="openapi"),
    path("docs/", SpectacularSwaggerSplitView.as_view(url_name="api:openapi"), name="docs"),
]
