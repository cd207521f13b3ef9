"""The statement of head: opening, what came, what went, closing, by class, held against the counts of both days."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, GroupMembership
from herd.registry.queries.headcount import CALF_DAYS, CLASSES, count_head_on, has_events, keys_of
from herd.registry.queries.lives import Life, lives_of
from herd.reports.moves import Move, moves_in
from herd.reports.onhand import on_hand_on
from herd.values.eventkinds import EVENT_KINDS, Effect
from herd.values.inventory import Flow, Reconciliation, reconcile

OPENING, CLOSING = "opening", "closing"
WAYS = tuple(one.name for one in fields(Flow) if one.name not in {OPENING, CLOSING})
COMING = frozenset({"births", "purchases", "transfers_in", "found", "class_in"})
# A change of place changes no count.
_COUNTED_KINDS = [key for key, kind in EVENT_KINDS.items() if kind.effect not in {None, Effect.MOVES}]


@dataclass(frozen=True, slots=True)
class Statement:
    """The head of an outfit from the morning of one day to the evening of another.

    Opening and closing are counted on their own, so that what happened in between has to explain the difference.
    """

    first: date
    last: date
    sums: Reconciliation
    changes: Mapping[date, Mapping[str, int]]

    @property
    def by_class(self) -> Mapping[str, Flow]:
        """The flow of each class that had any head or any movement."""
        return {name: flow for name, flow in self.sums.by_class.items() if flow != Flow(0, closing=0)}


def head_by_day(statement: Statement) -> dict[date, Counter[str]]:
    """The head of each class at the end of each day on which it changed, the eve of the first day in front."""
    head = Counter({name: flow.opening for name, flow in statement.sums.by_class.items()})
    found = {statement.first - timedelta(days=1): Counter(head)}
    for day in sorted(statement.changes):
        head.update(statement.changes[day])
        found[day] = Counter(head)
    return found


def statement_of(outfit: Outfit, first: date, last: date) -> Statement:
    """Make the statement of both days and those between, by what the record knows now.

    Raises ValueError where the last day lies before the first.
    """
    if last < first:
        raise ValueError("The last day lies before the first.")
    opened = count_head_on(outfit, first - timedelta(days=1)).by_class
    closed = count_head_on(outfit, last).by_class
    moved: Counter[tuple[str, str]] = Counter()
    changes: dict[date, Counter[str]] = defaultdict(Counter)
    for move in moves_of(outfit, first, last):
        moved[move.name, move.way] += 1
        changes[move.day][move.name] += 1 if move.way in COMING else -1
    flows = {
        name: Flow(
            opening=opened.get(name, 0),
            closing=closed.get(name, 0),
            **{way: moved[name, way] for way in WAYS},
        )
        for name in CLASSES
    }
    return Statement(first, last, reconcile(flows), changes)


def moves_of(outfit: Outfit, first: date, last: date) -> Iterator[Move]:
    """Yield every coming, going and change of class between two days, both included, animal by animal."""
    touched = _touched(outfit, first, last)
    has_more = has_events(_COUNTED_KINDS) | _came_early()
    for some in in_steps(_plain_lives(touched.exclude(has_more))):
        yield from _moves_of_lives(some, first, last)
    for ids in in_steps(keys_of(touched.filter(has_more))):
        yield from _moves_of_lives(list(lives_of(outfit, ids)), first, last)


def _plain_lives(rows: QuerySet[Animal]) -> Iterator[Life]:
    """Lives of animals to which nothing happened that counts: birth and entry say all."""
    columns = ("pk", "entry_class", "entered_on", "born_on")
    for key, entry_class, entered_on, born_on in rows.order_by().values_list(*columns).iterator():
        yield Life(key, entry_class, entered_on, born_on, [], [])


def _moves_of_lives(lives: Sequence[Life], first: date, last: date) -> Iterator[Move]:
    bred = set(_bred_here([life.id for life in lives]))
    for life in lives:
        yield from moves_in(life, first, last, is_bred=life.id in bred)


def behind(outfit: Outfit, first: date, last: date, way: str, name: str = "") -> list[Move]:
    """The animals behind one figure of the statement, the earliest day in front; an empty name stands for all classes.

    Those of the opening and the closing have the day that was counted, and no event.
    """
    if way in {OPENING, CLOSING}:
        day = first - timedelta(days=1) if way == OPENING else last
        here = (Move(key, day, way, counted) for key, counted in on_hand_on(outfit, day))
        return [move for move in here if name in {"", move.name}]
    found = (move for move in moves_of(outfit, first, last) if move.way == way and name in {"", move.name})
    return sorted(found, key=_by_day)


def _bred_here(ids: list[UUID]) -> QuerySet[Animal, UUID]:
    """Those of the animals whose dam was in the herd when they were born."""
    dam_was_here = Q(dam__entered_on=None) | Q(dam__entered_on__lte=F("born_on"))
    return Animal.objects.filter(dam_was_here, pk__in=ids, dam__isnull=False).values_list("pk", flat=True)


def _by_day(move: Move) -> tuple[date, UUID]:
    return move.day, move.animal_id


def _touched(outfit: Outfit, first: date, last: date) -> QuerySet[Animal]:
    """The animals of which anything that counts is dated between the days, or that turned a year old."""
    span, year = (first, last), timedelta(days=CALF_DAYS)
    events = has_events(_COUNTED_KINDS, happened_on__range=span)
    came = Q(entered_on__range=span) | Q(born_on__range=span)
    grew = Q(born_on__range=(first - year, last - year)) & ~Q(entry_class="cow")
    early = _came_early(Q(joined_on__range=span) | Q(left_on__range=span))
    return Animal.objects.of(outfit).filter(came | grew | events | early)


def _came_early(*when: Q) -> Q:
    """Who ran in a group before the day of entry or birth: these count from the day of joining on."""
    early = Q(joined_on__lt=F("animal__entered_on")) | Q(joined_on__lt=F("animal__born_on"))
    return Q(Exists(GroupMembership.objects.filter(early, *when, animal=OuterRef("pk"), is_void=False)))
