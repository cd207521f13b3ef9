"""Tag stock: the boxes with what is left in them, and the numbers of one box with who wears each."""

from collections.abc import Iterator, Sequence
from uuid import UUID

from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, has_role, needs
from herd.office.exports import asked_way, hand_out
from herd.office.naming import names_of
from herd.office.tables import Cell, Table
from herd.registry.models import TagBox, TagKind, WearingEnded
from herd.registry.queries.boxnumbers import NumberLine, Show, number_lines, number_page
from herd.registry.queries.stock import boxes_of, count_boxes

BOXES_A_PAGE = 25
NUMBERS_A_PAGE = 100
STEP = 500
BOX_COLUMNS = (
    *("Kind", "First", "Last", "Colour", "Year", "Received", "Supplier"),
    *("Numbers", "Used", "Missing", "Free", "Next free"),
)
NUMBER_COLUMNS = ("Number", "State", "Animal", "Put on", "Came off", "Ended", "Reason missing")
SHOWN = {
    Show.ALL: "All numbers",
    Show.FREE: "Free",
    Show.USED: "Used",
    Show.MISSING: "Missing",
}


@require_safe
@needs(Role.READER)
def boxes(request: OfficeRequest) -> HttpResponseBase:
    """The boxes, the newest first, twenty-five a page."""
    outfit = request.outfit
    kind = request.GET.get("kind", "")
    rows = boxes_of(outfit, kind if kind in TagKind.values else "").reverse()
    way = asked_way(request)
    if way:
        return hand_out(request, way, Table("Tag stock", BOX_COLUMNS, _box_rows(outfit, list(rows))))
    page = _page_number(request.GET.get("page", ""))
    some = list(rows[(page - 1) * BOXES_A_PAGE : page * BOXES_A_PAGE + 1])
    context = {
        "here": "tags",
        "counts": count_boxes(outfit, some[:BOXES_A_PAGE]),
        "kinds": [(one, TagKind(one).label) for one in sorted(set(boxes_of(outfit).values_list("kind", flat=True)))],
        "kind": kind,
        "page": page,
        "has_more": len(some) > BOXES_A_PAGE,
        "may_write": has_role(request.role, Role.OFFICE),
    }
    return render(request, "office/tags/boxes.html", context)


def _page_number(text: str) -> int:
    return max(1, int(text)) if text.isascii() and text.isdigit() and len(text) < 6 else 1


def _box_rows(outfit: Outfit, listed: Sequence[TagBox]) -> Iterator[Sequence[Cell]]:
    for start in range(0, len(listed), BOXES_A_PAGE):
        for one in count_boxes(outfit, listed[start : start + BOXES_A_PAGE]):
            box = one.box
            about: list[Cell] = [box.get_kind_display(), box.first, box.last, box.colour, box.issuer_year or None]
            yield [*about, box.received_on, box.supplier, one.total, one.used, one.missing, one.free, one.next_free]


@require_safe
@needs(Role.READER)
def box(request: OfficeRequest, box_id: UUID) -> HttpResponseBase:
    """One box and its numbers, a hundred a page."""
    outfit = request.outfit
    held = get_object_or_404(TagBox.objects.of(outfit), pk=box_id)
    show = next((one for one in Show if one.value == request.GET.get("show")), Show.ALL)
    way = asked_way(request)
    if way:
        title = f"Tags {held.first} to {held.last}"
        return hand_out(request, way, Table(title, NUMBER_COLUMNS, _number_rows(held, show), SHOWN[show]))
    after = request.GET.get("after", "")
    page = number_page(held, show, after, NUMBERS_A_PAGE + 1)
    lines = page[:NUMBERS_A_PAGE]
    context = {
        "here": "tags",
        "box": held,
        "count": count_boxes(outfit, [held])[0],
        "lines": _with_names(outfit, lines),
        "show": show,
        "shown": [(one.value, words) for one, words in SHOWN.items()],
        "next": lines[-1].number if len(page) > len(lines) else None,
        "is_later_page": bool(after),
        "may_mark": has_role(request.role, Role.CREW),
        "may_write": has_role(request.role, Role.OFFICE),
    }
    return render(request, "office/tags/box.html", context)


def _with_names(outfit: Outfit, lines: Sequence[NumberLine]) -> list[tuple[NumberLine, str]]:
    """Each line with what people call the animal of it."""
    names = names_of(outfit, (one.wearing.animal_id for one in lines if one.wearing))
    return [(one, names.get(str(one.wearing.animal_id), "") if one.wearing else "") for one in lines]


def _number_rows(held: TagBox, show: Show) -> Iterator[Sequence[Cell]]:
    step: list[NumberLine] = []
    for line in number_lines(held, show):
        step.append(line)
        if len(step) == STEP:
            yield from _rows_of(held.outfit, step)
            step = []
    yield from _rows_of(held.outfit, step)


def _rows_of(outfit: Outfit, lines: Sequence[NumberLine]) -> Iterator[Sequence[Cell]]:
    for line, name in _with_names(outfit, lines):
        worn, mark = line.wearing, line.missing
        ended = WearingEnded(worn.ended).label if worn and worn.ended else ""
        days: list[Cell] = [worn.worn_from, worn.worn_to] if worn else [None, None]
        yield [line.number, state_of(line), name, *days, ended, mark.reason if mark else ""]


def state_of(line: NumberLine) -> str:
    """What became of a number, in a word or two."""
    if line.wearing:
        return "worn" if line.wearing.is_open else "worn before"
    return "missing" if line.missing else "free"


