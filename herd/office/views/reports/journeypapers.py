"""The papers of a journey as tables: the check, the official numbers for the veterinarian, the sale sheet."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from herd.accounts.models import Outfit
from herd.office.forms.reports_moving import JOURNEYS
from herd.office.saying import say_age, say_day
from herd.office.tables import Cell, Table
from herd.reports.journeys import Level, Plan, Verdict, sex_of
from herd.reports.lastweights import LastWeight, last_weights
from herd.values.figures import round_half_up
from herd.values.movementrules import RULES
from herd.values.states import state_name

PREPARES = (
    "Prepared by the outfit from its record. It is no certificate: the accredited veterinarian issues that, and the"
    " states of origin and destination may ask for more."
)
CHECK = (
    *("Visual tag", "EID", "Class", "Age", "Needs official ID because", "Official numbers", "Put on", "Verdict"),
    "Reasons",
)
NUMBERS = ("No.", "Official number", "More official numbers", "Visual tag", "Put on", "Sex", "Breed", "Born", "Age")
SALE = ("No.", "Visual tag", "EID", "Class", "Weighed", "Days ago", "Last weight", "After shrink")
WORDS = {Level.STOP: "in the way", Level.LOOK: "look at it", Level.READY: "ready"}


@dataclass(frozen=True, slots=True)
class Sheet:
    """A journey with what the form said of it, and its animals judged."""

    outfit: Outfit
    plan: Plan
    said: Mapping[str, object]
    verdicts: Sequence[Verdict]

    @property
    def going(self) -> list[Verdict]:
        """The animals with nothing in the way."""
        return [one for one in self.verdicts if one.level is not Level.STOP]

    @property
    def left_out(self) -> int:
        """How many have something in the way."""
        return len(self.verdicts) - len(self.going)

    @property
    def premises_missing(self) -> list[str]:
        """A sentence for each premises number that was not given; those given were checked by the form."""
        named = (("from_premises", "sending"), ("to_premises", "receiving"))
        return [f"The {word} premises number is not given." for name, word in named if not self.said.get(name)]

    @property
    def without_birth(self) -> list[Verdict]:
        """The animals of which no birth is recorded."""
        return [one for one in self.verdicts if one.animal.born_on is None or one.animal.born_precision == "unknown"]

    @property
    def way(self) -> str:
        """From where to where, when and what for, in a sentence."""
        start = _place(self.outfit.name, self.said.get("from_premises"), self.said.get("from_state"))
        end = _place(self.said.get("receiver"), self.said.get("to_premises"), self.said.get("to_state"))
        return f"From {start} to {end} on {say_day(self.plan.on)}; for: {dict(JOURNEYS)[self.plan.journey]}."


def _place(name: object, premises: object, state: object) -> str:
    where = state_name(str(state)) if state else ""
    number = f"premises {premises}" if premises else ""
    return ", ".join(str(part) for part in (name, where, number) if part) or "a place not named"


def check_table(sheet: Sheet) -> Table:
    """Every animal with its verdict and the reasons."""
    return Table("Check before moving", CHECK, map(check_row, sheet.verdicts, _days(sheet)), f"{sheet.way} {PREPARES}")


def _days(sheet: Sheet) -> Iterator[date]:
    while True:
        yield sheet.plan.on


def check_row(one: Verdict, on: date) -> Sequence[Cell]:
    """One animal of the check."""
    need = RULES[one.need].words if one.need else ""
    reasons = " ".join([*one.stops, *one.looks])
    facts = (one.vid, one.eid, one.animal.animal_class, _age(one, on))
    return *facts, need, ", ".join(one.official), _put_on(one), WORDS[one.level], reasons


def _put_on(one: Verdict) -> str:
    """When each official number went on, in the order of the numbers."""
    days = ((number.put_on, number.precision) for number in one.put_on)
    return ", ".join(say_day(day, precision) if day else "day not known" for day, precision in days)


def _age(one: Verdict, on: date) -> str:
    age = say_age(one.animal.born_on, one.animal.born_precision, on)
    return "" if age == "age not known" else age


def numbers_table(sheet: Sheet) -> Table:
    """The official numbers, for the veterinarian who issues the certificate."""
    going = sheet.going
    about = f"Cattle, {len(going)} head. {sheet.way} {_premises_missing(sheet)}{_left_out(sheet)}{PREPARES}"
    return Table("Official numbers for the veterinarian", NUMBERS, _number_rows(going, sheet.plan.on), about)


def _premises_missing(sheet: Sheet) -> str:
    """A word where a premises number is not given, since the certificate may ask for both."""
    return " ".join([*sheet.premises_missing, ""])


def _left_out(sheet: Sheet) -> str:
    return f"{sheet.left_out} head with something in the way are left out. " if sheet.left_out else ""


def _number_rows(going: Sequence[Verdict], on: date) -> Iterator[Sequence[Cell]]:
    for place, one in enumerate(going, start=1):
        first, *more = one.official or [""]
        animal = one.animal
        born = animal.born_on if animal.born_precision == "day" else None
        facts = (sex_of(animal.animal_class), animal.breed, born, _age(one, on))
        yield place, first, ", ".join(more), one.vid, _put_on(one), *facts


def sale_table(sheet: Sheet) -> Table:
    """The animals with their last weights and what is paid for after shrink; the last lines have total and mean."""
    shrink, unit = _shrink(sheet), sheet.outfit.weight_unit
    about = (
        f"{sheet.way} Weights in {unit}: the last of each animal up to that day, as weighed; after shrink ="
        f" weight x (1 - {shrink} / 100). {_left_out(sheet)}The scale at the sale decides what is paid for."
    )
    weights = last_weights(sheet.outfit, [one.animal.pk for one in sheet.going], sheet.plan.on, shrink)
    weighed = [weights[one.animal.pk] for one in sheet.going if one.animal.pk in weights]
    return Table("Sale sheet", SALE, _sale_rows(sheet, weights, weighed), about)


def _shrink(sheet: Sheet) -> Decimal:
    said = sheet.said.get("shrink")
    return said if isinstance(said, Decimal) else Decimal(0)


def _sale_rows(
    sheet: Sheet, weights: Mapping[UUID, LastWeight], weighed: Sequence[LastWeight]
) -> Iterator[Sequence[Cell]]:
    for place, one in enumerate(sheet.going, start=1):
        last = weights.get(one.animal.pk)
        facts = (place, one.vid, one.eid, one.animal.animal_class)
        if last is None:
            yield *facts, "not weighed", None, None, None
        else:
            days = (sheet.plan.on - last.weighed_on).days
            yield *facts, last.weighed_on, days, round_half_up(last.gross), round_half_up(last.paid)
    if weighed:
        gross, paid = _sum(one.gross for one in weighed), _sum(one.paid for one in weighed)
        head = len(weighed)
        yield None, f"{head} head weighed", "", "", "in all", None, round_half_up(gross), round_half_up(paid)
        yield None, "", "", "", "mean", None, round_half_up(gross / head), round_half_up(paid / head)


def _sum(weights: Iterator[Fraction]) -> Fraction:
    return sum(weights, Fraction(0))


PAPERS = {"check": check_table, "numbers": numbers_table, "sale": sale_table}
