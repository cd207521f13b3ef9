"""Whether this record is in step with the ones kept elsewhere, what is on its way and what came back."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.sync.upstream.standing import siblings_of, standing_of


@require_safe
@needs(Role.OFFICE)
def in_step(request: OfficeRequest) -> HttpResponse:
    """With whom this record is kept in step."""
    context = {
        "here": "in-step",
        "standing": standing_of(request.outfit),
        "siblings": siblings_of(request.outfit),
    }
    return render(request, "office/devices/instep.html", context)
