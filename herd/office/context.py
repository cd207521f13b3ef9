"""What every page knows: the outfit, the person's role in it, and what that role may do."""

from typing import Any

from django.http import HttpRequest

from herd.accounts.models import Role
from herd.office.access import has_role


def office(request: HttpRequest) -> dict[str, Any]:
    """Give templates the outfit of the request, the role, `may_write` (crew) and `may_decide` (office)."""
    role = getattr(request, "role", None)
    return {
        "outfit": getattr(request, "outfit", None),
        "role": role,
        "may_write": has_role(role, Role.CREW),
        "may_decide": has_role(role, Role.OFFICE),
    }
