"""Set-up: the way to everything that is kept besides the animals."""

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, has_role, needs


@dataclass(frozen=True, slots=True)
class Place:
    """A place to go to: its name, what is done there, its address, and the least role that enters."""

    name: str
    says: str
    address: str
    least: Role


PLACES = (
    Place("Locations", "Where animals are kept, with premises numbers; who is there.", "office:locations", Role.READER),
    Place(
        "Values for reports",
        "Age windows, adjustment tables, days of gestation: what is published, and what the outfit has set itself.",
        "office:policy",
        Role.READER,
    ),
    Place("Withdrawal", "Who is in withdrawal, of what, and when each is free.", "office:withdrawal", Role.READER),
    Place(
        "Lists",
        "Breeds, products, tag boxes, standing rules, recipes; with import and export.",
        "admin:index",
        Role.OFFICE,
    ),
    Place(
        "Devices",
        "Phones, scale PCs and programs: enrol one, see what it sent, block a lost one.",
        "office:devices",
        Role.OFFICE,
    ),
    Place(
        "In step",
        "Other installations that keep this record as well: what is on its way, what came back.",
        "office:in-step",
        Role.OFFICE,
    ),
    Place(
        "People",
        "Who works in the outfit, in which role; codes for forgotten passwords.",
        "office:people",
        Role.OWNER,
    ),
    Place(
        "Archive",
        "The whole outfit in one file to keep; when the last backup was made.",
        "office:archive",
        Role.OWNER,
    ),
    Place("For programs", "The API: every call with its fields, to try out.", "api:docs", Role.READER),
    Place("Your password", "Choose a new one.", "office:password", Role.READER),
)


@require_safe
@needs(Role.READER)
def setup(request: OfficeRequest) -> HttpResponse:
    """What someone in this role may go to."""
    places = [(one, reverse(one.address)) for one in PLACES if has_role(request.role, one.least)]
    return render(request, "office/setup.html", {"here": "set-up", "places": places})
