"""Hip heights and scrotal circumferences: frame scores, sizes at 365 days, ratios among those kept alike."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Event
from herd.registry.queries.breeds import breed_namer
from herd.registry.queries.groupplaces import group_places
from herd.registry.queries.lives import lives_of
from herd.registry.queries.policies import policies_of
from herd.reports.growthcalves import names_of_places
from herd.values.classes import AnimalClass
from herd.values.contemporaries import Kept, Stage, contemporary_groups, ratios
from herd.values.figures import Figure
from herd.values.frames import adjusted_hip_height, frame_score
from herd.values.lengths import Length, length_of
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory
from herd.values.scrotal import adjusted_scrotal_circumference

HIP, SCROTAL = "hip_height", "scrotal"
FIELDS = {HIP: "height", SCROTAL: "circumference"}
TO_DAYS = 365
NO_BIRTH = "The day of birth isn’t known, so there is no age to reckon with."
NO_CLASS = "Its class on that day isn’t known."
NO_BULL = "It was no bull on that day, so nothing is adjusted."
NO_LENGTH = "The entry holds no length that can be read."
COLUMNS = ("pk", "animal_id", "happened_on", "data", "animal__born_on", "animal__born_precision", "animal__breed")


@dataclass(slots=True)
class MeasuredLine:
    """One measuring: the score of a height, the size at 365 days and its ratio; in words why there is none.

    `beside` are those with which it is compared, it among them.
    """

    animal_id: UUID
    day: date
    length: Length | None
    age_days: int | None
    breed: str
    kept: Kept | None = None
    score: Figure | None = None
    adjusted: Figure | None = None
    ratio: Figure | None = None
    beside: tuple[UUID, ...] = ()
    reason: str = ""
    cautions: list[str] = field(default_factory=list)


def measured(
    outfit: Outfit, kind: str, first: date, last: date, policies: PolicyHistory | None = None
) -> list[MeasuredLine]:
    """The measurings of a kind (HIP or SCROTAL) between two days, those adjusted in front, the largest first.

    Windows and factors are those in force on the day of each measuring. Heights are in inches, circumferences in
    centimetres, as their equations are. Nine queries, and three more for each eight hundred head.
    """
    policies = policies or policies_of(outfit)
    lines = list(_read(outfit, kind, first, last))
    _set_kept(outfit, lines)
    for line in lines:
        line.reason = _against(line, kind)
        if not line.reason:
            _adjust(line, kind, policies.on(line.day).policy)
    for policy, some in _by_policy(lines, policies):
        _compare(some, policy)
    return sorted(lines, key=_largest_in_front)


def _read(outfit: Outfit, kind: str, first: date, last: date) -> Iterator[MeasuredLine]:
    named = breed_namer(outfit)
    rows = Event.objects.of(outfit).filter(kind=kind, happened_on__range=(first, last), animal__is_void=False)
    columns: Any = rows.order_by("happened_on", "id").values_list(*COLUMNS)
    for _, animal_id, on, data, born, precision, breed in columns:
        age = (on - born).days if born and precision == "day" else None
        length = length_of(data.get(FIELDS[kind]))
        yield MeasuredLine(animal_id, on, length, age, named(breed))


def _set_kept(outfit: Outfit, lines: Sequence[MeasuredLine]) -> None:
    """Say of each how it was kept, as it stood on the eve: many are moved or cut on the day."""
    places, names = group_places(outfit), names_of_places(outfit)
    of_animal: dict[UUID, list[MeasuredLine]] = {}
    for line in lines:
        of_animal.setdefault(line.animal_id, []).append(line)
    for ids in in_steps(of_animal):
        for life in lives_of(outfit, ids):
            for line in of_animal[life.id]:
                standing = life.on(line.day - timedelta(days=1), places) or life.on(line.day, places)
                if standing and standing.animal_class:
                    where = (names[one] for one in (standing.group, standing.place) if one in names)
                    line.kept = Kept(AnimalClass(standing.animal_class), line.day, ", ".join(where))


def _against(line: MeasuredLine, kind: str) -> str:
    """What keeps a measuring from being adjusted; empty where nothing does."""
    if line.length is None:
        return NO_LENGTH
    if line.age_days is None:
        return NO_BIRTH
    if line.kept is None:
        return NO_CLASS
    return NO_BULL if kind == SCROTAL and line.kept.animal_class is not AnimalClass.BULL else ""


def _adjust(line: MeasuredLine, kind: str, policy: Policy) -> None:
    if line.length is None or line.age_days is None or line.kept is None:
        return
    animal_class = line.kept.animal_class
    try:
        if kind == HIP:
            line.score = frame_score(line.length.inches, line.age_days, animal_class, policy=policy)
            line.cautions = [one.text for one in line.score.cautions]
            line.adjusted = adjusted_hip_height(line.score, TO_DAYS, animal_class, policy=policy)
        else:
            size = line.length.centimetres
            line.adjusted = adjusted_scrotal_circumference(size, line.age_days, line.breed, policy=policy)
    except ValueError as refused:
        line.reason = str(refused)


def _by_policy(lines: Sequence[MeasuredLine], policies: PolicyHistory) -> Iterator[tuple[Policy, list[MeasuredLine]]]:
    """The adjusted lines by the policy of their day; one group is measured on one day, so none is parted."""
    found: dict[Policy, list[MeasuredLine]] = {}
    for line in lines:
        if line.adjusted:
            found.setdefault(policies.on(line.day).policy, []).append(line)
    yield from found.items()


def _compare(lines: Sequence[MeasuredLine], policy: Policy) -> None:
    """Set the ratio of each among its contemporaries: those kept alike, measured on the same day."""
    days: dict[date, list[MeasuredLine]] = {}
    for line in lines:
        days.setdefault(line.day, []).append(line)
    for some in days.values():
        mine = {line.animal_id: line for line in some}
        births = {key: line.day - timedelta(days=line.age_days or 0) for key, line in mine.items()}
        kept = {key: line.kept for key, line in mine.items() if line.kept}
        values = {key: line.adjusted.value for key, line in mine.items() if line.adjusted}
        groups = contemporary_groups(births, [Stage("measuring", kept)], policy=policy)
        found = ratios(values, groups, what="adjusted size")
        for group in groups:
            for key in found.keys() & set(group.members):
                mine[key].ratio, mine[key].beside = found[key], group.members


def _largest_in_front(line: MeasuredLine) -> tuple[bool, Any, date, UUID]:
    return line.adjusted is None, -line.adjusted.value if line.adjusted else 0, line.day, line.animal_id

