"""The statement of head."""

from collections.abc import Sequence
from datetime import date

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports import PeriodForm
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.headplot import plot_of_head, plural_of
from herd.reports.statement import CLOSING, OPENING, Statement, statement_of
from herd.values.inventory import Flow

# In the order of the sum: what came stands before what went.
LABELS = {
    OPENING: "Opening",
    "births": "Born",
    "purchases": "Bought",
    "transfers_in": "Came in",
    "found": "Found",
    "class_in": "Class in",
    "sales": "Sold",
    "deaths": "Died",
    "transfers_out": "Transferred",
    "missing": "Missing",
    "class_out": "Class out",
    CLOSING: "Closing",
}
HOW = {
    OPENING: "On hand at the end of the day before the first, from the record as it is now: the closing of the time"
    " before.",
    "births": "Came into the record on the day of birth, or as a calf later with a dam that was here.",
    "purchases": "A purchase is recorded, of an animal new here or one that had left.",
    "transfers_in": "Entered in any other way, such as with the first herd list or by a transfer.",
    "found": "Found again, or known to be sold or dead after it was missing.",
    "class_in": "Became this class: a bull castrated, a heifer that calved, a calf that turned a year old. As many as"
    " class out.",
    "sales": "Sold, by the day on which it happened, whenever that was written down.",
    "deaths": "Died, by the day on which it happened, whenever that was written down.",
    "transfers_out": "Moved away, by the day on which it happened, whenever that was written down.",
    "missing": "Missed, by the day on which it happened, whenever that was written down.",
    "class_out": "Left this class for another, as many as class in.",
    CLOSING: "Opening + born + bought + came in + found + class in − sold − died − transferred − missing − class out;"
    " the same is counted from the record at the end of the last day.",
}
SOURCE = (
    "Reconciliation of livestock inventories as taught for cow-calf outfits (H. Hughes, “Calculating gross income”)."
    " That an animal of less than 365 days counts as a calf is common practice, no source."
)
ABOUT = (
    "Opening is counted at the end of the day before the first, closing at the end of the last day. An animal under a"
    " year counts as a calf unless she has calved."
)


@require_safe
@needs(Role.READER)
def head(request: OfficeRequest) -> HttpResponseBase:
    """The statement by class from one day to another."""
    form = PeriodForm(request.GET if _asks(request) else None, today=today_of(request.outfit))
    first, last = form.days()
    statement = statement_of(request.outfit, first, last)
    way = asked_way(request)
    if way:
        return hand_out(request, way, _table(statement))
    days = {"since": first.isoformat(), "until": last.isoformat()}
    context = {
        "here": "reports",
        "form": form,
        "statement": statement,
        "labels": LABELS.values(),
        "rows": [(name, _cells(name, flow, days)) for name, flow in statement.by_class.items()],
        "total": _cells("", statement.sums.total, days),
        "how": [(label, HOW[way]) for way, label in LABELS.items()],
        "source": SOURCE,
        "reasons": statement.sums.reasons,
        "about": ABOUT,
        "times": _times(form.today),
        "plot": plot_of_head(statement),
    }
    return render(request, "office/reports/head.html", context)


def _asks(request: OfficeRequest) -> bool:
    return bool({"since", "until"} & set(request.GET))


def _cells(name: str, flow: Flow, days: dict[str, str]) -> list[tuple[str, int, str]]:
    """Each figure with its label and the question that lists its animals."""
    found = []
    for way, label in LABELS.items():
        figure = getattr(flow, way) or 0
        found.append((label, figure, urlencode({**days, "way": way, **({"class": name} if name else {})})))
    return found


def _table(statement: Statement) -> Table:
    rows: list[Sequence[Cell]] = [_row(plural_of(name), flow) for name, flow in statement.by_class.items()]
    rows.append(_row("all", statement.sums.total))
    sums = statement.sums
    said = "It balances." if sums.is_balanced else f"It does not balance: {' '.join(sums.reasons)}"
    title = f"Statement of head, {statement.first} to {statement.last}"
    return Table(title, ("Class", *LABELS.values(), "Unexplained"), rows, f"{said} {ABOUT}")


def _row(word: str, flow: Flow) -> list[Cell]:
    return [word, *(getattr(flow, way) or 0 for way in LABELS), flow.gap]


def _times(today: date) -> list[tuple[str, str]]:
    """Times that are often asked for, each with its question."""
    year = today.year
    times = (
        ("this year", date(year, 1, 1), today),
        (f"{year - 1}", date(year - 1, 1, 1), date(year - 1, 12, 31)),
        (f"{year - 2}", date(year - 2, 1, 1), date(year - 2, 12, 31)),
    )
    return [(name, urlencode({"since": since.isoformat(), "until": until.isoformat()})) for name, since, until in times]
