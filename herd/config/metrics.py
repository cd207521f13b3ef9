"""Figures for a Prometheus server: requests by route, and the processing days that wait; text format of Prometheus."""

import os
from collections.abc import Iterator

from django.conf import settings
from django.db import connection
from django.db.models import Count
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST, REGISTRY, CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from herd.intake.models import DayState, ProcessingDay

METHODS = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"}
BUCKETS = (0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30)

REQUESTS = Counter("notchbook_requests", "Requests answered.", ["method", "route", "status"])
SECONDS = Histogram("notchbook_request_seconds", "Time to an answer, in seconds.", ["route"], buckets=BUCKETS)


def count_request(method: str, route: str, status: int, seconds: float) -> None:
    """Count one answered request; made-up methods count as one, so that nobody can fill the memory with them."""
    REQUESTS.labels(method if method in METHODS else "OTHER", route, str(status)).inc()
    SECONDS.labels(route).observe(seconds)


class Days(Collector):
    """Counts of the database at the moment of asking; none of them tells one outfit from another."""

    def collect(self) -> Iterator[GaugeMetricFamily]:
        """Yield days by state, and those whose lease has run out: a worker or the broker is gone."""
        days = GaugeMetricFamily("notchbook_days", "Processing days by state.", labels=["state"])
        found = dict(ProcessingDay.objects.values_list("state").annotate(Count("pk")).order_by())
        for state in DayState.values:
            days.add_metric([str(state)], found.get(state, 0))
        yield days
        overdue = ProcessingDay.objects.filter(lease_until__lt=timezone.now()).count()
        yield GaugeMetricFamily("notchbook_days_overdue", "Days that no worker works on any more.", value=overdue)


@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Answer who brings the token of NOTCHBOOK_METRICS_TOKEN; without one set there is no such page."""
    token = settings.METRICS_TOKEN
    if not token or not constant_time_compare(request.headers.get("Authorization", ""), f"Bearer {token}"):
        raise Http404
    body = generate_latest(_requests()) + generate_latest(_database())
    return HttpResponse(body, content_type=CONTENT_TYPE_LATEST)


def _requests() -> CollectorRegistry:
    """The counts of this process, or of all that share a folder, as the web server's processes do."""
    if "PROMETHEUS_MULTIPROC_DIR" not in os.environ:
        return REGISTRY
    shared = CollectorRegistry()
    MultiProcessCollector(shared)
    return shared


def _database() -> CollectorRegistry:
    connection.ensure_connection()
    asked = CollectorRegistry(auto_describe=False)
    asked.register(Days())
    return asked
