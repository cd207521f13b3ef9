"""Ends a session that was left alone for long, and any session in the end, however busy it was."""

import time
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse

BEGUN, SEEN = "begun", "seen"
# The mark is written anew only so often, since each time is a write to the database.
MARK_SECONDS = 300


class EndsWhenIdle:
    """Signs a person out who was idle for SESSION_IDLE_SECONDS, or signed in for SESSION_COOKIE_AGE; 0 for no bound."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if settings.SESSION_IDLE_SECONDS and request.user.is_authenticated:
            _look_at(request)
        return self.get_response(request)


def _look_at(request: HttpRequest) -> None:
    session, now = request.session, int(time.time())
    begun, seen = session.get(BEGUN, now), session.get(SEEN, 0)
    if now - begun > settings.SESSION_COOKIE_AGE or (seen and now - seen > settings.SESSION_IDLE_SECONDS):
        logout(request)
    # Or the clock was set back, and the mark would hold for ever.
    elif abs(now - seen) > MARK_SECONDS:
        session[BEGUN], session[SEEN] = min(begun, now), now
