"""Old addresses of records that were merged into another lead to the one that stands for them."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect

from herd.office.access import OfficeRequest
from herd.registry.queries.merged import kept_for

View = Callable[..., HttpResponseBase]
MERGED = "The record that you asked for was merged into this one; its history stands here too."


def follow_merged(view: View) -> Callable[..., HttpResponse]:
    """Send whoever asks for a merged record to the one kept; stands below `needs`, which knows the outfit."""

    @wraps(view)
    def followed(request: OfficeRequest, animal_id: UUID, *args: Any, **kwargs: Any) -> Any:
        try:
            return view(request, animal_id, *args, **kwargs)
        except Http404:
            kept = kept_for(request.outfit, animal_id)
            if kept is None:
                raise
            return _lead_to(request, kept)

    return followed


def _lead_to(request: OfficeRequest, kept: UUID) -> HttpResponse:
    messages.info(request, MERGED)
    match = request.resolver_match
    name = match.view_name if match and list(match.kwargs) == ["animal_id"] else "office:animal"
    return redirect(name, kept)
