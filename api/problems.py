"""Every error as problem details (RFC 9457), with one vocabulary of types."""

import logging
from collections.abc import Iterator, Mapping
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.db import IntegrityError, InterfaceError, OperationalError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.views import set_rollback

from herd.registry.services.refused import Refused

LOG = logging.getLogger(__name__)
MEDIA_TYPE = "application/problem+json"
URN = "urn:notchbook:problem:"


class Problem(exceptions.APIException):
    """A problem of one type; `extra` members stand beside the usual ones."""

    def __init__(self, word: str, detail: str, **extra: Any) -> None:
        self.status_code, self.title = VOCABULARY[word]
        self.word, self.extra = word, extra
        super().__init__(detail)


# The whole vocabulary: the word at the end of `type`, its status, its title.
VOCABULARY: dict[str, tuple[int, str]] = {
    "malformed": (400, "The request can't be read."),
    "invalid": (400, "Some values are not valid."),
    "unauthenticated": (401, "Sign in, or send a device's token."),
    "forbidden": (403, "Your right does not reach that far."),
    "not-found": (404, "There is no such thing in this outfit."),
    "not-allowed": (405, "That can't be done to this."),
    "not-acceptable": (406, "No such form of an answer."),
    "conflict": (409, "That does not go with how things stand."),
    "epoch-changed": (409, "The record was restored from a backup since."),
    "scope-changed": (409, "What this device may read has changed."),
    "schema-changed": (409, "What is sent has another shape now."),
    "cursor-expired": (410, "There is no reading on from that cursor."),
    "stale": (412, "It has changed since you read it."),
    "too-large": (413, "That is too large."),
    "unsupported": (415, "That kind of content is not read here."),
    "refused": (422, "The record refused it; nothing was written."),
    "unfit": (422, "Some values can't be what they are given for."),
    "precondition-required": (428, "Say which state you read, in If-Match."),
    "throttled": (429, "Too many calls; wait a little."),
    "failed": (500, "Something broke here."),
    "unavailable": (503, "The record can't be reached just now; try again."),
}


class Unavailable(Problem):
    """The database is away or too busy: nothing was said, and the caller tries again."""

    wait = 1.0

    def __init__(self) -> None:
        super().__init__("unavailable", "Nothing was written.")


WORDS_OF_STATUS = {
    400: "malformed",
    401: "unauthenticated",
    403: "forbidden",
    404: "not-found",
    405: "not-allowed",
    406: "not-acceptable",
    415: "unsupported",
    429: "throttled",
}


def unfit(member: str, detail: str) -> Problem:
    """The problem of a value that is of the right type and still can't be meant."""
    return Problem("unfit", detail, errors=[{"pointer": f"/{member}", "detail": detail}])


def answer_problem(fault: Exception, context: Mapping[str, Any]) -> Response | None:
    """Answer a fault with its problem details; where pages for developers are on, None lets ours through to them."""
    fault = _translated(fault)
    if not isinstance(fault, exceptions.APIException):
        if settings.DEBUG:
            return None
        LOG.error("An API call failed.", exc_info=fault)
        fault = Problem("failed", "It is written down here; try again later, or ask whoever runs this installation.")
    set_rollback()
    headers = {}
    if getattr(fault, "auth_header", None):
        headers["WWW-Authenticate"] = fault.auth_header  # type: ignore[attr-defined]
    if getattr(fault, "wait", None):
        headers["Retry-After"] = str(int(fault.wait) + 1)  # type: ignore[attr-defined]
    return Response(_details(fault), fault.status_code, headers=headers, content_type=MEDIA_TYPE)


def _translated(fault: Exception) -> Exception:
    if isinstance(fault, Http404):
        return exceptions.NotFound()
    if isinstance(fault, PermissionDenied):
        return exceptions.PermissionDenied()
    if isinstance(fault, SuspiciousOperation):
        return exceptions.ParseError("The request can't be read.")
    if isinstance(fault, OperationalError | InterfaceError):
        LOG.warning("The database did not answer.", exc_info=fault)
        return Unavailable()
    if isinstance(fault, IntegrityError):
        LOG.warning("Two writes clashed.", exc_info=fault)
        return Problem("conflict", "Another wrote the same at this moment, or has that id; read it again.")
    if isinstance(fault, Refused):
        errors = [
            {"pointer": f"/{one.field}" if one.field else "", "detail": one.reason}
            | ({"animal": str(one.animal_id)} if one.animal_id else {})
            for one in fault.refusals
        ]
        return Problem("refused", str(fault), errors=errors)
    return fault


def _details(fault: exceptions.APIException) -> dict[str, Any]:
    if isinstance(fault, Problem):
        return _body(fault.word, str(fault.detail)) | fault.extra
    if isinstance(fault, exceptions.ValidationError):
        return _body("invalid", "Nothing was written.") | {"errors": list(_pointed(fault.detail))}
    word = WORDS_OF_STATUS.get(fault.status_code, "malformed")
    return _body(word, str(fault.detail))


def _body(word: str, detail: str) -> dict[str, Any]:
    code, title = VOCABULARY[word]
    return {"type": f"{URN}{word}", "title": title, "status": code, "detail": detail}


def _pointed(detail: Any, pointer: str = "") -> Iterator[dict[str, str]]:
    """Flatten nested errors to JSON pointers (RFC 6901), each with its sentence."""
    if isinstance(detail, Mapping):
        for key, below in detail.items():
            own = "" if key == "non_field_errors" else f"/{key}"
            yield from _pointed(below, pointer + own)
    elif isinstance(detail, list):
        for index, below in enumerate(detail):
            nested = isinstance(below, (Mapping, list))
            yield from _pointed(below, f"{pointer}/{index}" if nested else pointer)
    else:
        yield {"pointer": pointer, "detail": str(detail)}
