"""Shares of a cohort: as a line of a report, and the animals above and below the line of the fraction."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from herd.office.views.reports.figurelines import FigureLine, figure_line
from herd.reports.calving import Noted
from herd.values.reproduction import Cohort, Measure, measure

# Which count has the animals of a number; of calves born their dams, since not each calf is in the record.
COUNT_OF = {
    "adjusted exposed females": "counted",
    "found pregnant": "pregnant",
    "calves born": "calved",
    "live calves": "calved",
    "calves that died before weaning": "died",
    "calves weaned": "weaned",
    "pregnant without a calf": "lost",
    "replacements that joined": "joined",
    "cows open, aged, culled and dead": "gone",
    "cows at the year's start": "opening",
}


def share_line(
    one: Measure, cohort: Cohort | None, question: str = "", why: str = "one of them is not known"
) -> FigureLine:
    """A share with its formula, or what it lacks."""
    figure, name = measure(cohort, one.code) if cohort else None, one.words.capitalize()
    if figure:
        return figure_line(name, figure, question=question)
    return FigureLine(name, None, "%", f"{one.top[0]} / {one.bottom[0]}: {why}", one.source)


def share_noted(one: Measure, behind: Mapping[str, Sequence[Noted]]) -> list[Noted]:
    """The animals that are counted, then those that they are a share of."""
    above, below = (behind.get(COUNT_OF[words], ()) for words in (one.top[0], one.bottom[0]))
    counted = [replace(each, words=f"Counted. {each.words}") for each in above]
    return [*counted, *(replace(each, words=f"In the divisor. {each.words}") for each in below)]
