"""Who is in withdrawal, and when each is free: now, or on a day to come."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.holds import longest_first, say_cause
from herd.office.saying import say_class
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.registry.models import Animal
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.queries.withdrawal import herd_in_withdrawal
from herd.values.withdrawal import UNKNOWN_DAYS, Withdrawal

A_PAGE = 200
COLUMNS = ("Visual tag", "EID", "Class", "Group", "Free from", "Hour", "Held by")
ABOUT = (
    "Counted in days of 24 hours from the last dose, from what was entered. "
    "Follow the label and the veterinarian."
)

Held = tuple[UUID, list[Withdrawal]]


@dataclass(frozen=True, slots=True)
class HeldHead:
    """One line of the page: an animal, its tags, and what holds it, the longest first."""

    animal: Animal
    worn: Worn
    holds: list[Withdrawal]

    @property
    def last(self) -> Withdrawal:
        """The hold that ends last."""
        return self.holds[0]


@require_safe
@needs(Role.READER)
def withdrawal(request: OfficeRequest) -> HttpResponseBase:
    """The animals on hand that are not known to be free, those with a known end first, the soonest on top."""
    outfit, today = request.outfit, today_of(request.outfit)
    day = _day(request.GET.get("on", ""))
    held = _ordered(outfit, day if day and day != today else timezone.now())
    way = asked_way(request)
    if way:
        rows = _rows(outfit, held, day or today)
        return hand_out(request, way, Table(f"In withdrawal on {day or today}", COLUMNS, rows, ABOUT))
    return _page(request, held, day or today, today)


def _page(request: OfficeRequest, held: list[Held], day: date, today: date) -> HttpResponse:
    start = _start(request.GET.get("from", ""), len(held))
    shown = list(_heads(request.outfit, held[start : start + A_PAGE]))
    known = sum(1 for _, holds in held if holds[0].free_on)
    context = {
        "here": "withdrawal",
        "day": day,
        "today": today,
        "known": known,
        "unknown": len(held) - known,
        "timed": [one for one in shown if one.last.free_on],
        "untimed": [one for one in shown if not one.last.free_on],
        "head": len(held),
        "first": start + 1,
        "last": start + len(shown),
        "next": start + A_PAGE if len(held) > start + A_PAGE else None,
        "is_later_page": start > 0,
        "unknown_days": UNKNOWN_DAYS,
    }
    return render(request, "office/events/withdrawal.html", context)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _start(text: str, length: int) -> int:
    start = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
    return start if start < length else 0


def _ordered(outfit: Outfit, at: date | datetime) -> list[Held]:
    held = [(key, longest_first(holds)) for key, holds in herd_in_withdrawal(outfit, at).items()]
    return sorted(held, key=lambda one: (*_end(one[1][0]), one[0]))


def _end(hold: Withdrawal) -> tuple[date, float]:
    return hold.free_on or date.max, hold.free_at.timestamp() if hold.free_at else float("inf")


def _heads(outfit: Outfit, held: Sequence[Held]) -> Iterator[HeldHead]:
    """The lines, read in steps so that a large herd stays out of memory."""
    for some in in_steps(held):
        animals = Animal.objects.of(outfit).select_related("group").in_bulk([key for key, _ in some])
        worn = worn_by(outfit, animals)
        yield from (HeldHead(animals[key], worn[key], holds) for key, holds in some if key in animals)


def _rows(outfit: Outfit, held: Sequence[Held], day: date) -> Iterator[Sequence[Cell]]:
    for one in _heads(outfit, held):
        vid = " ".join(part for part in (one.worn.vid, one.worn.vid_colour) if part)
        group = one.animal.group.name if one.animal.group else ""
        end, hour = _free_cells(one.last)
        yield vid, one.worn.eid, say_class(one.animal, day), group, end, hour, "; ".join(map(say_cause, one.holds))


def _free_cells(hold: Withdrawal) -> tuple[Cell, str]:
    """The day, and the hour where it is known; where only the day is, the animal is free all of it."""
    if hold.free_at is not None:
        return hold.free_at.date(), f"{hold.free_at:%H:%M}"
    return hold.free_on or "not known", ""
