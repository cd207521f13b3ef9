"""The samples of a period with tube and animal, as a laboratory asks for them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports import A_YEAR, BACK, OUT, SamplesForm
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.models import Event
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.journeys import sex_of
from herd.reports.samples import results_of, samples_taken, still_out, undated_samples

COLUMNS = (
    *("Tube", "Visual tag", "EID", "Sex", "Breed", "Born", "Sampled on", "Tissue", "Laboratory"),
    *("Result", "Result on"),
)
ABOUT = "As entered; the laboratory's own form and chain of custody come first."


@dataclass(frozen=True, slots=True)
class SampleLine:
    """One sample: its event, what its animal wears, and the results in words."""

    event: Event
    worn: Worn
    results: str
    last: date | None


@require_safe
@needs(Role.READER)
def samples(request: OfficeRequest) -> HttpResponseBase:
    """The samples between two days by tube, or only those without a result."""
    outfit, today = request.outfit, today_of(request.outfit)
    form = SamplesForm(question_of(request), today=today, since=today - A_YEAR)
    first, last = form.days()
    asked = form.cleaned_data.get("result", "") if form.is_bound else ""
    rows = samples_taken(outfit, first, last, has_result={OUT: False, BACK: True}.get(asked))
    way = asked_way(request)
    if way:
        table = Table(f"Samples, {first} to {last}", COLUMNS, _rows(outfit, rows.iterator(chunk_size=800)), ABOUT)
        return hand_out(request, way, table)
    page = page_of(request, rows)
    context = {
        "here": "reports",
        "form": form,
        "span": urlencode({"since": first.isoformat(), "until": last.isoformat()}),
        "first": first,
        "last": last,
        "page": page,
        "lines": list(_lines(outfit, page.rows)),
        "out": (out := still_out(rows, outfit)),
        "back": page.total - out,
        "undated": undated_samples(outfit),
    }
    return render(request, "office/reports/samples.html", context)


def _lines(outfit: Outfit, events: Any) -> Iterator[SampleLine]:
    for some in in_steps(events):
        worn = worn_by(outfit, [event.animal_id for event in some])
        results = results_of(outfit, [event.tube for event in some])
        for event in some:
            found = results.get(event.tube, [])
            days = [one.happened_on for one in found if one.happened_on]
            yield SampleLine(event, worn[event.animal_id], "; ".join(map(_say, found)), max(days, default=None))


def _say(result: Event) -> str:
    data = result.data
    test = f"{data['test']}: " if data.get("test") else ""
    measured = f" ({data['value']} {data.get('value_unit', '')}".rstrip() + ")" if data.get("value") else ""
    return f"{test}{data.get('result', '')}{measured}"


def _rows(outfit: Outfit, events: Any) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, events):
        event, animal = one.event, one.event.animal
        tissue, laboratory = (str(event.data.get(key) or "") for key in ("tissue", "laboratory"))
        born = animal.born_on if animal.born_precision == "day" else None
        facts = (sex_of(animal.animal_class), animal.breed, born, event.happened_on)
        yield event.tube, visual_tag(one.worn), one.worn.eid, *facts, tissue, laboratory, one.results, one.last
