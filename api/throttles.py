"""Rate limits: by caller, and by address for those who have no token yet; counted where all processes see it."""

from typing import Any

from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

from api.access import Caller


class PerCaller(SimpleRateThrottle):
    """Counts the calls of one device or person, of one address where nobody is known, from minute to minute."""

    scope = "caller"
    # Read from the rate of the scope.
    num_requests: int | None
    duration: int | None

    def get_cache_key(self, request: Request, view: Any) -> str:
        """Who is counted."""
        caller = request.auth
        who = self.get_ident(request)
        if isinstance(caller, Caller):
            who = str(caller.device.pk if caller.device else caller.person.pk if caller.person else who)
        return self.cache_format % {"scope": self.scope, "ident": who}

    def allow_request(self, request: Request, view: Any) -> bool:
        """Count the call, and say whether it is among those allowed.

        One number is counted up in the cache, in one step, so that processes that share it miss none.
        """
        most, seconds = self.num_requests or 0, self.duration or 60
        now = self.timer()
        self.ends_in = seconds - now % seconds
        key = f"{self.get_cache_key(request, view)}:{int(now // seconds)}"
        if self.cache.add(key, 1, seconds):
            return most >= 1
        try:
            return bool(self.cache.incr(key) <= most)
        except ValueError:
            # It ran out between the two steps.
            return True

    def wait(self) -> float:
        """Seconds until calls are counted anew."""
        return self.ends_in


class Enrolment(PerCaller):
    """Counts the tries of one-time codes from one address."""

    scope = "enrolment"
