"""Reports on health: what was given, who had which vaccine, which samples are out, who is held by what."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from rest_framework import serializers

from api.problems import unfit
from api.reports.declared import Asked, Period, Question, Report
from api.reports.shapes import Rows
from herd.registry.models import Event
from herd.registry.queries.headcount import members_on
from herd.registry.queries.withdrawal import held_by, herd_in_withdrawal
from herd.reports.medicines import ingredients, medicines_given, undated_medicines, vaccines_of
from herd.reports.samples import results_of, samples_taken
from herd.values.eventkinds import MEDICINE_KINDS
from herd.values.withdrawal import Withdrawal

CAUTION = "As entered. The label and the veterinarian decide on dose, route and withdrawal."
Said = Mapping[str, str]


class TreatmentsAsked(Period):
    """The days of the log, and what is in it."""

    kind = serializers.ChoiceField(MEDICINE_KINDS, required=False)
    product = serializers.CharField(max_length=80, required=False, help_text="Any part of its name.")


@dataclass(frozen=True, slots=True)
class Given:
    """What was given to an animal: the event's fields, the product's ingredient, and what it holds the animal for."""

    event: UUID
    animal: UUID
    animal_class: str
    kind: str
    given_on: date | None
    said: Said
    ingredient: str
    withdrawal: Withdrawal | None


@dataclass(frozen=True, slots=True)
class Treatments:
    """The log of a time; `undated` were given on a day that isn't known, and stand in no log."""

    first: date
    last: date
    undated: int
    rows: Rows
    given: Sequence[Given]


def _treatments(asked: Asked) -> Treatments:
    first, last = asked.days()
    kinds = (asked.said["kind"],) if "kind" in asked.said else MEDICINE_KINDS
    events = medicines_given(asked.outfit, first, last, kinds)
    if "product" in asked.said:
        events = events.filter(data__product__icontains=asked.said["product"])
    rows, some = asked.some(events)
    known = ingredients(asked.outfit)
    given = [
        Given(
            one.pk,
            one.animal_id,
            one.animal.animal_class,
            one.kind,
            one.happened_on,
            said_in(one),
            known.get(str(one.data.get("product", "")).casefold(), ""),
            held_by(one, asked.outfit),
        )
        for one in some
    ]
    return Treatments(first, last, undated_medicines(asked.outfit, kinds), rows, given)


def said_in(event: Event) -> Said:
    """The fields of an event in words; empty ones are left out."""
    return {key: str(value) for key, value in event.data.items() if value not in (None, "")}


class VaccinesAsked(Period):
    """A group as it was on the last day, and since when a vaccine counts."""

    group = serializers.UUIDField()


@dataclass(frozen=True, slots=True)
class Vaccinated:
    """When an animal last had each vaccine."""

    animal: UUID
    last: Mapping[str, date]


@dataclass(frozen=True, slots=True)
class Vaccines:
    """How many of a group had each vaccine, how many had none, and each animal with its last days."""

    first: date
    last: date
    head: int
    without: int
    had: Mapping[str, int]
    rows: Rows
    animals: Sequence[Vaccinated]


def _vaccines(asked: Asked) -> Vaccines:
    (first, last), group = asked.days(), asked.group("group")
    if group is None:
        raise unfit("group", "Name a group.")
    status = vaccines_of(asked.outfit, members_on(asked.outfit, group.pk, last), first, last)
    rows, some = asked.some(status.animal_ids)
    had = {name: status.had(name) for name in status.products}
    animals = [Vaccinated(one, status.last.get(one, {})) for one in some]
    return Vaccines(first, last, len(status.animal_ids), len(status.without), had, rows, animals)


class SamplesAsked(Period):
    """The days of the samples, and whether those with a result are told."""

    only_open = serializers.BooleanField(default=False)


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample with its tube, and the results that came back, the earliest first."""

    event: UUID
    animal: UUID
    tube: str
    taken_on: date | None
    said: Said
    results: Sequence[Said]


@dataclass(frozen=True, slots=True)
class Samples:
    """The samples of a time by tube."""

    first: date
    last: date
    rows: Rows
    samples: Sequence[Sample]


def _samples(asked: Asked) -> Samples:
    first, last = asked.days()
    has_result = False if asked.said["only_open"] else None
    rows, some = asked.some(samples_taken(asked.outfit, first, last, has_result=has_result))
    results = results_of(asked.outfit, [one.tube for one in some])
    found = [
        Sample(
            one.pk,
            one.animal_id,
            one.tube,
            one.happened_on,
            said_in(one),
            [said_in(result) for result in results.get(one.tube, ())],
        )
        for one in some
    ]
    return Samples(first, last, rows, found)


@dataclass(frozen=True, slots=True)
class Held:
    """An animal with all that holds it."""

    animal: UUID
    holds: Sequence[Withdrawal]


@dataclass(frozen=True, slots=True)
class Holds:
    """The animals on hand that are not known to be free today."""

    day: date
    rows: Rows
    animals: Sequence[Held]


def _holds(asked: Asked) -> Holds:
    held = [Held(key, holds) for key, holds in herd_in_withdrawal(asked.outfit, asked.today).items()]
    return Holds(asked.today, *asked.some(held))


TREATMENTS = Report(
    "treatments",
    "Who was given what, how much, by whom, and how long does it hold?",
    TreatmentsAsked,
    Treatments,
    _treatments,
    f"{CAUTION} Fields as in 21 CFR 530.5 and the quality assurance guidance.",
)
VACCINES = Report(
    "vaccines",
    "Who had which vaccine, when last, and who had none?",
    VaccinesAsked,
    Vaccines,
    _vaccines,
    "Which vaccine is due when: the label and the veterinarian.",
)
SAMPLES = Report(
    "samples", "Which tube holds whose sample, and which have no result?", SamplesAsked, Samples, _samples
)
HOLDS = Report("withdrawal", "Who is held by what, and when is each free?", Question, Holds, _holds, CAUTION)
