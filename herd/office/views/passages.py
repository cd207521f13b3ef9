"""Who joined and left a group, or came to and went from a location, between two days."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.naming import name_of
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.registry.models import AnimalStatus, Group, Location
from herd.registry.queries.headcount import members_on
from herd.registry.queries.stays import Passage, animals_at, group_passages, place_passages
from herd.registry.queries.tags import Worn, worn_by
from herd.values.life import Standing

SHOWN = 500
USUAL_DAYS = 30
COLUMNS = ("Day", "Way", "Visual tag", "EID", "From or to")


@dataclass(frozen=True, slots=True)
class Line:
    """One animal that came or went on a day."""

    day: date
    is_in: bool
    animal_id: UUID
    worn: Worn
    other: str

    @property
    def name(self) -> str:
        """What people call it."""
        return name_of(self.worn)


@dataclass(frozen=True, slots=True)
class Ledger:
    """Head at the end of the day before, those who came, those who went, and head at the end of the last day."""

    before: int
    came: int
    went: int
    after: int


@require_safe
@needs(Role.READER)
def group_moves(request: OfficeRequest, group_id: UUID) -> HttpResponseBase:
    """Who joined and who left a group between two days."""
    group = get_object_or_404(Group.objects.of(request.outfit), pk=group_id)
    first, last = _span(request)
    passages = group_passages(request.outfit, group_id, first, last)
    ends = [len(members_on(request.outfit, group_id, day)) for day in (first - timedelta(days=1), last)]
    names = dict(Group.objects.of(request.outfit).values_list("pk", "name"))
    page = _Page("group", group_id, group.name, names)
    return _answer(request, page, passages, (first, last), ends)


@require_safe
@needs(Role.READER)
def location_moves(request: OfficeRequest, location_id: UUID) -> HttpResponseBase:
    """Who came to a location and who went from it between two days."""
    place = get_object_or_404(Location.objects.of(request.outfit), pk=location_id)
    first, last = _span(request)
    passages = place_passages(request.outfit, location_id, first, last)
    ends = [len(animals_at(request.outfit, location_id, day)) for day in (first - timedelta(days=1), last)]
    names = dict(Location.objects.of(request.outfit).values_list("pk", "name"))
    return _answer(request, _Page("place", location_id, place.name, names), passages, (first, last), ends)


@dataclass(frozen=True, slots=True)
class _Page:
    """What is looked at: the part of a standing, its id and name, and the names of all of the kind."""

    part: str
    id: UUID
    name: str
    names: dict[UUID, str]


def _span(request: OfficeRequest) -> tuple[date, date]:
    """The first and last day asked for; else the last thirty days."""
    today = today_of(request.outfit)
    last = _day(request.GET.get("to", ""), today)
    first = _day(request.GET.get("from", ""), last - timedelta(days=USUAL_DAYS - 1))
    return (first, last) if first <= last else (last, first)


def _day(text: str, usual: date) -> date:
    try:
        # Day one of the calendar has no day before it.
        return max(date.fromisoformat(text), date(1900, 1, 1))
    except ValueError:
        return usual


def _answer(
    request: OfficeRequest, page: _Page, passages: Sequence[Passage], span: tuple[date, date], ends: Sequence[int]
) -> HttpResponseBase:
    first, last = span
    came = sum(_is_in(one, page) for one in passages)
    ledger = Ledger(ends[0], came, len(passages) - came, ends[1])
    way = asked_way(request)
    if way:
        about = f"{ledger.before} head before, {came} came, {ledger.went} went, {ledger.after} head after."
        cells = _cells(_lines(request.outfit, page, passages))
        return hand_out(request, way, Table(f"{page.name} {first} to {last}", COLUMNS, cells, about))
    context = {
        "here": "groups",
        "page": page,
        "first": first,
        "last": last,
        "ledger": ledger,
        "lines": list(_lines(request.outfit, page, passages[:SHOWN])),
        "more": max(0, len(passages) - SHOWN),
    }
    return render(request, "office/groups/moves.html", context)


def _is_in(passage: Passage, page: _Page) -> bool:
    return passage.after is not None and getattr(passage.after, page.part) == page.id


def _lines(outfit: Outfit, page: _Page, passages: Iterable[Passage]) -> Iterator[Line]:
    for some in in_steps(passages):
        worn = worn_by(outfit, [one.animal_id for one in some])
        for one in some:
            is_in = _is_in(one, page)
            other = _other(one.before if is_in else one.after, page)
            yield Line(one.day, is_in, one.animal_id, worn[one.animal_id], other)


def _other(standing: Standing | None, page: _Page) -> str:
    """Where an animal came from or went to, in words."""
    if standing is None:
        return "new in the herd"
    if standing.status != AnimalStatus.ON_HAND:
        return str(AnimalStatus(standing.status).label)
    unknown = "no group" if page.part == "group" else "a place not known"
    return page.names.get(getattr(standing, page.part), unknown)


def _cells(lines: Iterable[Line]) -> Iterator[list[Cell]]:
    for one in lines:
        tag = " ".join(part for part in (one.worn.vid, one.worn.vid_colour) if part)
        yield [one.day, "in" if one.is_in else "out", tag, one.worn.eid, one.other]
