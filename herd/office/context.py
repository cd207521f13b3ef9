"""What every page knows: the signed-in person's outfit."""

from typing import Any

from django.http import HttpRequest


def office(request: HttpRequest) -> dict[str, Any]:
    """Give templates the outfit of the request."""
    return {"outfit": getattr(request, "outfit", None)}
