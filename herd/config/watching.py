"""Names each request, times it, counts it, and writes one line of the log about it."""

import logging
import time
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from herd.config.metrics import count_request
from herd.config.telling import name_request, request_id

logger = logging.getLogger("notchbook.requests")

NOWHERE = "(none)"


class Watched:
    """The outermost middleware, so that the time is the whole of ours and refusals are counted too."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        name = name_request(request.headers.get("X-Request-ID", ""))
        token = request_id.set(name)
        began = time.perf_counter()
        try:
            response = self.get_response(request)
            self._tell(request, response, time.perf_counter() - began)
        finally:
            request_id.reset(token)
        response.headers["X-Request-ID"] = name
        return response

    def _tell(self, request: HttpRequest, response: HttpResponse, seconds: float) -> None:
        """Count and log by the route, never by the address, which may hold a one-time code."""
        route = request.resolver_match.route if request.resolver_match else NOWHERE
        method = request.method or ""
        count_request(method, route, response.status_code, seconds)
        logger.info(
            "%s /%s %s", method, route, response.status_code,
            extra={
                "method": method, "route": route, "status": response.status_code, "ms": round(seconds * 1000, 1),
                "who": _who(request), "address": request.META.get("REMOTE_ADDR", ""),
            },
        )  # fmt: skip


def _who(request: HttpRequest) -> str:
    """The person or device by its id, which names nobody to whoever reads the log alone; empty for a stranger."""
    user = getattr(request, "user", None)
    return f"{user._meta.model_name}:{user.pk}" if user is not None and user.pk else ""
