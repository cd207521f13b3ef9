"""Tag stock changed: boxes received, corrected or taken out, numbers missing or found again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.stock import CorrectBoxForm, NumbersForm, ReasonForm, ReceiveForm, boxes_typed, shown_of
from herd.office.saying import group_digits
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import TagBox
from herd.registry.queries.stock import count_boxes
from herd.registry.services import stock
from herd.registry.services.refused import Refused
from herd.registry.services.stock import NewBox

MISSING_HINT = "Such as never arrived, spoiled in the pliers, or lost before it was used."
FOUND_HINT = "Such as found in the truck."


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def receive(request: OfficeRequest) -> HttpResponse:
    """Take boxes into stock."""
    form = ReceiveForm(request.POST or None, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid() and (boxes := boxes_typed(form)):
        called = _called(boxes)
        try:
            ids = stock.receive_boxes(entry=entry_for(request, f"Took in {called}"), boxes=boxes)
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"{called[0].upper()}{called[1:]} is in stock.", ids[0])
            return redirect("office:tag-boxes") if len(ids) > 1 else redirect("office:tag-box", ids[0])
    return _form(request, form, None, "Take in a box of tags", "Take it in")


def _called(boxes: Sequence[NewBox]) -> str:
    run = f"{group_digits(boxes[0].first)} to {group_digits(boxes[-1].last)}"
    return f"the box {run}" if len(boxes) == 1 else f"a run of {len(boxes)} boxes, {run},"


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def correct(request: OfficeRequest, box_id: UUID) -> HttpResponse:
    """Set right what a box is."""
    box = get_object_or_404(TagBox.objects.of(request.outfit), pk=box_id)
    form = CorrectBoxForm(request.POST or None, initial=shown_of(box))
    if request.method == "POST" and form.is_valid():
        entry = entry_for(request, f"Corrected the box {box}")
        try:
            stock.correct_box(entry=entry, box=box, new=form.box(), reason=form.cleaned_data["reason"])
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, "The box is corrected.", box_id)
            return redirect("office:tag-box", box_id)
    return _form(request, form, box, "Correct a box", "Correct it")


@dataclass(frozen=True, slots=True)
class Marking:
    """What is said of numbers of a box: the service that writes it, and the words around it."""

    write: Callable[..., list[UUID]]
    occasion: str
    done: str
    hint: str
    title: str
    button: str


MISSING = Marking(
    stock.mark_range, "Marked missing", "marked missing", MISSING_HINT, "Mark numbers missing", "Mark them missing"
)
FOUND = Marking(
    stock.found_again, "Found again", "found again", FOUND_HINT, "Numbers found again", "They are here again"
)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def missing(request: OfficeRequest, box_id: UUID) -> HttpResponse:
    """Mark numbers of a box missing."""
    return _mark(request, box_id, MISSING)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def found(request: OfficeRequest, box_id: UUID) -> HttpResponse:
    """Take back that numbers of a box are missing."""
    return _mark(request, box_id, FOUND)


def _mark(request: OfficeRequest, box_id: UUID, what: Marking) -> HttpResponse:
    box = get_object_or_404(TagBox.objects.of(request.outfit), pk=box_id)
    form = NumbersForm(request.POST or None, initial=request.GET.dict(), box=box, hint=what.hint)
    if request.method == "POST" and form.is_valid():
        first, last, reason = (form.cleaned_data[name] for name in ("number", "last", "reason"))
        entry = entry_for(request, f"{what.occasion}: {_span(first, last)}")
        try:
            ids = what.write(entry=entry, box=box, first=first, last=last, reason=reason)
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"{_number(ids)} {what.done}.", ids[0])
            return redirect("office:tag-box", box_id)
    return _form(request, form, box, what.title, what.button)


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def take_out(request: OfficeRequest, box_id: UUID) -> HttpResponse:
    """Take a box out of stock."""
    box = get_object_or_404(TagBox.objects.of(request.outfit), pk=box_id)
    form = ReasonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        entry = entry_for(request, f"Took out the box {box}")
        try:
            stock.take_out(entry=entry, box=box, reason=form.cleaned_data["reason"])
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The box {box} is out of stock.", box_id)
            return redirect("office:tag-boxes")
    count = count_boxes(request.outfit, [box])[0]
    about = (
        f"Used so far: {count.used:,}. Those tags stay on their animals and in the tag log. "
        f"Free: {count.free:,}. Those numbers will not be offered any more."
    )
    return _form(request, form, box, "Take a box out of stock", "Take it out", about)


def _form(
    request: OfficeRequest, form: object, box: TagBox | None, title: str, button: str, about: str = ""
) -> HttpResponse:
    context = {"here": "tags", "form": form, "box": box, "title": title, "button": button, "about": about}
    return render(request, "office/tags/box_form.html", context)


def _span(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"


def _number(ids: Sequence[UUID]) -> str:
    return "1 number is" if len(ids) == 1 else f"{len(ids):,} numbers are"
