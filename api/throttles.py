"""Rate limits: by caller, and by address for those who have no token yet."""

from typing import Any

from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

from api.access import Caller


class PerCaller(SimpleRateThrottle):
    """Counts the calls of one device or person; of one address where nobody is known."""

    scope = "caller"

    def get_cache_key(self, request: Request, view: Any) -> str:
        """Who is counted."""
        caller = request.auth
        who = self.get_ident(request)
        if isinstance(caller, Caller):
            who = str(caller.device.pk if caller.device else caller.person.pk if caller.person else who)
        return self.cache_format % {"scope": self.scope, "ident": who}


class Enrolment(PerCaller):
    """Counts the tries of one-time codes from one address."""

    scope = "enrolment"
