"""What nobody looked at for long: groups neither counted nor weighed, animals missing, tags that run out."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Max

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus, Event, Group, HeadCheck, TagBox, TagWearing
from herd.registry.queries.stock import boxes_of, count_boxes

# Two counts a year, at bull turn-out and at the new year: H. Hughes, "Calculating gross income".
COUNT_EVERY = timedelta(days=183)
# A weight older than a year says little of any animal (common practice, no source).
WEIGH_EVERY = timedelta(days=365)
# Missing for a month is long for an animal behind fences (common practice, no source).
MISSING_LONG = timedelta(days=30)
# Fewer free numbers than these are soon gone at the chute; only kinds in use this long are asked about (our choice).
FEW_TAGS = 25
IN_USE = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Neglected:
    """A group with head in it, and when it was last counted or weighed; None where it never was."""

    group: Group
    head: int
    last: date | None


@dataclass(frozen=True, slots=True)
class RunningOut:
    """A kind, colour and year of tag with few numbers left in its boxes; `box` is the newest of these."""

    box: TagBox
    free: int


def not_counted(outfit: Outfit, today: date) -> list[Neglected]:
    """The groups with head that were not counted for long, in three queries."""
    last = dict(HeadCheck.objects.of(outfit).order_by().values_list("group").annotate(Max("counted_on")))
    return _neglected(outfit, last, today - COUNT_EVERY)


def not_weighed(outfit: Outfit, today: date) -> list[Neglected]:
    """The groups of whose members none was weighed for long, in three queries."""
    rows = Event.objects.of(outfit).filter(kind="weight", animal__status=AnimalStatus.ON_HAND, animal__is_void=False)
    rows = rows.filter(animal__group__isnull=False, happened_on__isnull=False)
    last = dict(rows.order_by().values_list("animal__group").annotate(Max("happened_on")))
    return _neglected(outfit, last, today - WEIGH_EVERY)


def _neglected(outfit: Outfit, last: dict[object, date], since: date) -> list[Neglected]:
    here = Animal.objects.of(outfit).filter(status=AnimalStatus.ON_HAND, group__isnull=False)
    head = dict(here.order_by().values_list("group").annotate(Count("pk")))
    groups = Group.objects.of(outfit).filter(is_closed=False)
    found = [Neglected(group, head[group.pk], last.get(group.pk)) for group in groups if group.pk in head]
    return [one for one in found if one.last is None or one.last < since]


def missing_long(outfit: Outfit, today: date) -> int:
    """How many animals are missing for long, or since a day that isn't known."""
    rows = Animal.objects.of(outfit).filter(status=AnimalStatus.MISSING)
    return int(rows.exclude(status_since__gt=today - MISSING_LONG).count())


def running_out(outfit: Outfit, today: date) -> list[RunningOut]:
    """The kinds of tag in use of which few numbers are left, the fewest first."""
    boxes: dict[tuple[str, str, int], list[TagBox]] = defaultdict(list)
    for box in boxes_of(outfit):
        boxes[box.kind, box.colour, box.issuer_year].append(box)
    used = [some for key, some in boxes.items() if _is_in_use(outfit, key, today)]
    free = {one.box.pk: one.free for one in count_boxes(outfit, [box for some in used for box in some])} if used else {}
    found = [RunningOut(some[-1], sum(free[box.pk] for box in some)) for some in used]
    return sorted((one for one in found if one.free < FEW_TAGS), key=lambda one: one.free)


def _is_in_use(outfit: Outfit, key: tuple[str, str, int], today: date) -> bool:
    """Whether a tag of this kind went on lately; colour and year belong to visual tags alone."""
    kind, colour, year = key
    rows = TagWearing.objects.of(outfit).filter(kind=kind, worn_from__range=(today - IN_USE, today))
    if kind == "vid":
        rows = rows.filter(tag__colour=colour, tag__issuer_year=year)
    return bool(rows.exists())
