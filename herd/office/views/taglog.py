"""The tag log: tags put on, replaced, lost and taken off between two days, as 9 CFR 86.4 asks to keep it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice

from django.http import QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.facts import Origin, origin_of
from herd.office.forms.taglog import A_YEAR, LogForm
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.registry.models import TagKind, TagWearing, WearingBegan, WearingEnded
from herd.registry.queries.policies import policy_on
from herd.registry.queries.taglog import LogLine, log_lines, log_page, place_of
from herd.values.officialtags import YEARS_KEPT

A_PAGE = 100
STEP = 500
COLUMNS = (
    *("Day", "Animal", "What", "Old tag", "Old number", "New tag", "New number"),
    *("Reason", "Where it came off", "Written by", "File", "Line"),
)


@dataclass(frozen=True, slots=True)
class SaidLine:
    """One line of the log in words."""

    line: LogLine
    name: str
    what: str
    reason: str
    removed_at: str
    origin: Origin | None


@require_safe
@needs(Role.READER)
def log(request: OfficeRequest) -> HttpResponseBase:
    """The log of a period, a hundred lines a page."""
    outfit, today = request.outfit, today_of(request.outfit)
    form = LogForm(_given(request, today), today=today)
    years = policy_on(outfit, today).policy.identification_retention_years
    question = form.question()
    way = asked_way(request)
    if way:
        span = f"{say_day(question.since)} to {say_day(question.until)}"
        about = f"{span}, kept for {years} years (9 CFR 86.4: {YEARS_KEPT} at least)"
        kind = f", {TagKind(question.kind).label} only" if question.kind else ""
        table = Table("Tag log", COLUMNS, _rows(outfit, log_lines(outfit, question)), f"{about}{kind}.")
        return hand_out(request, way, table)
    after = place_of(request.GET.get("after", ""))
    lines = log_page(outfit, question, after, A_PAGE + 1)
    page = lines[:A_PAGE]
    context = {
        "here": "tags",
        "form": form,
        "question": question,
        "lines": _said(outfit, page),
        "next": _question(request, str(page[-1].place)) if len(lines) > len(page) else "",
        "first": _question(request, "") if after else "",
        "years_kept": years,
        "years_asked": YEARS_KEPT,
        "long_ago": _years_before(today, years),
        "today": today,
    }
    return render(request, "office/tags/log.html", context)


def _given(request: OfficeRequest, today: date) -> QueryDict:
    """What was asked, with the last twelve months where no day was."""
    given: QueryDict = request.GET.copy()
    if not given.get("since") and not given.get("until"):
        given["since"], given["until"] = f"{today - A_YEAR}", f"{today}"
    return given


def _years_before(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def _question(request: OfficeRequest, after: str) -> str:
    """This page's question from another place on."""
    question: QueryDict = request.GET.copy()
    question["after"] = after
    return f"?{question.urlencode()}"


def _said(outfit: Outfit, lines: Sequence[LogLine]) -> list[SaidLine]:
    names = names_of(outfit, (line.animal_id for line in lines))
    return [_say(line, names.get(str(line.animal_id), "no tag"), outfit) for line in lines]


def _say(line: LogLine, name: str, outfit: Outfit) -> SaidLine:
    old, new = line.old, line.new
    ended = WearingEnded(old.ended).label if old and old.ended else ""
    began = WearingBegan(new.began).label if new else ""
    what = f"{began}, {ended} before" if line.is_on and ended else began if line.is_on else ended
    told = [old.ended_reason if old else "", new.second_reason if new and line.is_on else ""]
    reason = "; ".join(part for part in told if part)
    return SaidLine(line, name, what, reason, old.removed_at if old else "", origin_of(line.change, outfit))


def _rows(outfit: Outfit, lines: Iterable[LogLine]) -> Iterator[Sequence[Cell]]:
    rest = iter(lines)
    while some := list(islice(rest, STEP)):
        for said in _said(outfit, some):
            change = said.line.change
            yield [
                said.line.place.day,
                said.name,
                said.what,
                *_cells(said.line.old),
                *_cells(said.line.new),
                said.reason,
                said.removed_at,
                change.changeset.person_name if change else "",
                change.source_file if change else "",
                change.source_line if change else None,
            ]


def _cells(wearing: TagWearing | None) -> list[Cell]:
    """The type and the number of a tag."""
    return [wearing.get_kind_display(), str(wearing.tag)] if wearing else [None, None]
