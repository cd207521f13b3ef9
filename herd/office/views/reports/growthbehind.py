"""What stands behind each figure of a gain: of all together, and of one head."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal

from herd.office.saying import say_day
from herd.office.views.reports.figurelines import FigureLine, figure_line
from herd.reports.calving import Noted
from herd.reports.growth import GainLine, GroupGain
from herd.values.figures import Amount, Figure, exact, round_half_up
from herd.values.growth import Weighed

MEAN, DEADS_IN, DEADS_OUT = "mean", "with-the-dead", "without-the-dead"
GAINED, DIED, LEFT_OUT, HEAD = "gained", "died", "left-out", "head-"
COUNTS = {
    GAINED: ("Head with a gain", "weighed on two days at least, and alive at the end"),
    DIED: ("Head that died", "dead in this time, whatever they weighed"),
    LEFT_OUT: ("Head in no figure", "not weighed, or weighed on one day only"),
}


def round_weight(weight: Amount) -> Decimal:
    """A weight as weights are shown: whole from 100 up, to one decimal below."""
    value = exact(weight)
    return round_half_up(value, 0 if abs(value) >= 100 else 1)


def gain_figures(found: GroupGain, question: Callable[[str], str]) -> dict[str, FigureLine]:
    """The figures of all together; with nobody dead, in and out are the same. `question` leads to the animals."""
    named: dict[str, tuple[str, Figure | None]] = {
        MEAN: ("Mean daily gain of those with one", found.mean),
        DEADS_IN: ("With the dead in" if found.died else "Gain a head and day", found.deads_in),
        DEADS_OUT: ("With the dead out", found.deads_out if found.died else None),
    }
    lines = {key: figure_line(name, one, 2, question(key)) for key, (name, one) in named.items() if one}
    many = {GAINED: found.gained, DIED: found.died, LEFT_OUT: found.left_out}
    for key, (name, how) in COUNTS.items():
        if many[key] or key == GAINED:
            lines[key] = FigureLine(name, many[key], "head", f"{how}; of {len(found.lines)}", question=question(key))
    return lines


def gain_noted(found: GroupGain, what: str, unit: str) -> list[Noted]:
    """The animals of one of these figures."""
    counts: dict[str, Callable[[GainLine], bool]] = {
        DEADS_IN: lambda one: not one.reason,
        DIED: lambda one: one.died_on is not None,
        LEFT_OUT: lambda one: bool(one.reason),
    }
    takes = counts.get(what, lambda one: one.per_day is not None and one.died_on is None)
    return [_noted(one, unit) for one in found.lines if takes(one)]


def head_figures(line: GainLine) -> list[FigureLine]:
    """The figures of one head, each with how it was made."""
    named = (("Gain a day", line.per_day), ("Weight per day of age", line.per_day_of_age))
    found = [figure_line(name, figure, 2) for name, figure in named if figure]
    remark = line.reason or ("It died, and counts with the dead in only." if line.died_on else "")
    return [replace(one, cautions=(*one.cautions, remark)) for one in found] if remark else found


def head_noted(line: GainLine, unit: str) -> Iterator[Noted]:
    """The weighings of one head."""
    for name, weighed in (("First", line.first), ("Last", line.last)):
        if weighed:
            yield Noted(line.animal_id, weighed.day, f"{name} weight: {round_weight(weighed.weight)} {unit}.")


def line_of(found: GroupGain, what: str) -> GainLine | None:
    """The line of the head that is asked for."""
    return next((one for one in found.lines if what == f"{HEAD}{one.animal_id}"), None)


def _noted(line: GainLine, unit: str) -> Noted:
    said = [_weighed(one, unit) for one in (line.first, line.last) if one]
    words = f"{' to '.join(dict.fromkeys(said))}." if said else ""
    gain = f"{line.per_day.rounded(2)} {unit} a day." if line.per_day else ""
    died = f"Died {say_day(line.died_on)}." if line.died_on else ""
    day = line.died_on or (line.last.day if line.last else None)
    return Noted(line.animal_id, day, " ".join(filter(None, (words, gain, died, line.reason))))


def _weighed(one: Weighed, unit: str) -> str:
    return f"{round_weight(one.weight)} {unit} on {say_day(one.day)}"
