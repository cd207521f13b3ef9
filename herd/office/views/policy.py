"""The values that reports reckon with: what is published, what the outfit has set, from when, and by whom."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.models import Change
from herd.office.access import OfficeRequest, has_role, needs
from herd.office.changes import ChangeWords, say_changes
from herd.office.exports import asked_way, hand_out
from herd.office.forms.fields import show_refusals
from herd.office.forms.policy import PolicyForm
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import PolicyValue as OwnValue
from herd.registry.queries.policies import change_of
from herd.registry.services import policies
from herd.registry.services.refused import Refused
from herd.values.policyhistory import InForce, PolicyHistory
from herd.values.policyvalues import POLICY_VALUES, PolicyValue, read_value, say_value
from herd.values.problems import Unreadable

COLUMNS = ("Value", "In force", "Since", "Published", "Source of the published value", "To come")
MOST_CHANGES = 100


@dataclass(frozen=True, slots=True)
class Line:
    """A value: what counts today, since when where it is the outfit's own, and what is set for later."""

    value: PolicyValue
    words: str
    since: date | None
    is_passed_over: bool
    later: Sequence[OwnValue]

    @property
    def published(self) -> str:
        """The published value in words."""
        return say_value(self.value.name, self.value.published)

    @property
    def to_come(self) -> str:
        """What is set for later, in words."""
        return "; ".join(f"from {say_day(one.in_force_from)}: {say_own_value(one)}" for one in self.later)


@dataclass(frozen=True, slots=True)
class Past:
    """One own value in the history of its key; `state` says whether it counts today."""

    row: OwnValue
    words: str
    state: str


@require_safe
@needs(Role.READER)
def values(request: OfficeRequest) -> HttpResponseBase:
    """Every value, by what it is for."""
    outfit, today = request.outfit, today_of(request.outfit)
    rows = list(OwnValue.objects.of(outfit))
    in_force = PolicyHistory(map(change_of, rows)).on(today)
    lines = [_line(one, in_force, rows, today) for one in POLICY_VALUES.values()]
    way = asked_way(request)
    if way:
        about = "What the outfit has set itself has a day under Since; the others are as published."
        return hand_out(request, way, Table(f"Values for reports {today}", COLUMNS, _cells(lines), about))
    headings: dict[str, list[Line]] = {}
    for line in lines:
        headings.setdefault(line.value.heading, []).append(line)
    own = sum(line.since is not None for line in lines)
    context = {"here": "set-up", "headings": headings.items(), "own": own, "today": today}
    return render(request, "office/policy/values.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.READER, to_post=Role.OFFICE)
def value(request: OfficeRequest) -> HttpResponse:
    """One value, named by `value`: its history, and for the office the form that changes it from a day on."""
    key = request.GET.get("value", "")
    if not key:
        return redirect("office:policy")
    if key not in POLICY_VALUES:
        raise Http404
    outfit, today = request.outfit, today_of(request.outfit)
    one, rows = POLICY_VALUES[key], list(OwnValue.objects.of(outfit))
    in_force = PolicyHistory(map(change_of, rows)).on(today)
    stands = getattr(in_force.policy, key)
    needs_value = not request.POST.get("published")
    form = PolicyForm(request.POST or None, key=key, stands=stands, today=today, needs_value=needs_value)
    if request.method == "POST" and form.is_valid() and _write(request, form, one, today):
        return redirect(_address(key))
    line = _line(one, in_force, rows, today)
    context = {
        "here": "set-up",
        "line": line,
        "form": form if has_role(request.role, Role.OFFICE) else None,
        "past": list(_past(rows, key, today)),
        "changes": _changes(outfit, key),
    }
    return render(request, "office/policy/value.html", context)


@require_POST
@needs(Role.OFFICE)
def take_back(request: OfficeRequest, row_id: UUID) -> HttpResponse:
    """Take a change of a value back, as if it had not been made."""
    row = get_object_or_404(OwnValue.objects.of(request.outfit), pk=row_id)
    label = POLICY_VALUES[row.key].label if row.key in POLICY_VALUES else row.key
    try:
        policies.take_back(entry=entry_for(request, f"Took back a value: {label}"), row=row)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        sentence = f"{label}: what was set from {say_day(row.in_force_from)} on is taken back."
        tell_written(request, sentence + _past_words(row.in_force_from, today_of(request.outfit)), row_id)
    return redirect(_address(row.key))


def _address(key: str) -> str:
    """The page of a value; of all where there is none of that key any more."""
    return f"{reverse('office:policy-value')}?value={key}" if key in POLICY_VALUES else reverse("office:policy")


def _write(request: OfficeRequest, form: PolicyForm, one: PolicyValue, today: date) -> bool:
    day = form.cleaned_data["in_force_from"]
    is_published = bool(request.POST.get("published"))
    asked: dict[str, Any] = {"entry": entry_for(request, f"Set a value: {one.label}"), "name": one.name}
    try:
        if is_published:
            row = policies.publish_again(**asked, in_force_from=day, today=today)
        else:
            row = policies.set_value(**asked, text=form.cleaned_data["text"], in_force_from=day, today=today)
    except Refused as refused:
        show_refusals(form, refused)
        return False
    what = "the published value counts again" if is_published else "the outfit’s own value counts"
    tell_written(request, f"{one.label}: from {say_day(day)} on {what}.{_past_words(day, today)}", row)
    return True


def _past_words(day: date, today: date) -> str:
    """What a day that is not today means for reports."""
    if day < today:
        return f" Reports of days since {say_day(day)} come out with it from now on."
    return f" Reports of days before {say_day(day)} stay as they are."


def say_own_value(row: OwnValue) -> str:
    """What a row sets, in words; as it was typed where it can't be read any more."""
    change = change_of(row)
    if change.text is None:
        return "the published value again"
    try:
        return say_value(row.key, read_value(row.key, change.text))
    except (Unreadable, KeyError):
        return change.text


def _line(one: PolicyValue, in_force: InForce, rows: Sequence[OwnValue], today: date) -> Line:
    later = sorted((row for row in rows if row.key == one.name and row.in_force_from > today), key=_by_day)
    words = say_value(one.name, getattr(in_force.policy, one.name))
    return Line(one, words, in_force.since.get(one.name), one.name in in_force.passed_over, later)


def _by_day(row: OwnValue) -> date:
    return row.in_force_from


def _cells(lines: Sequence[Line]) -> Iterator[Sequence[Cell]]:
    for one in lines:
        yield one.value.label, one.words, one.since, one.published, one.value.source, one.to_come


def _past(rows: Sequence[OwnValue], key: str, today: date) -> Iterator[Past]:
    """What was set of a value, the latest day first."""
    counts = True
    for row in sorted((row for row in rows if row.key == key), key=_by_day, reverse=True):
        is_later = row.in_force_from > today
        state = "to come" if is_later else "counts now" if counts else "earlier"
        counts = counts and is_later
        yield Past(row, say_own_value(row), state)


def _changes(outfit: Outfit, key: str) -> list[ChangeWords]:
    """Who wrote what of a value and when, the newest first; what was taken back is in it."""
    ids = OwnValue.objects.filter(outfit=outfit, key=key).values_list("pk", flat=True)
    changes = Change.objects.filter(outfit=outfit, subject_id__in=list(ids)).select_related("changeset")
    return say_changes(outfit, list(changes.order_by("-position")[:MOST_CHANGES]))
