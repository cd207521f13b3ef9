"""What must be true of events before they are written."""

from datetime import date
from uuid import UUID

from herd.ledger.rows import in_steps, read_rows
from herd.registry.models import Animal, Event, Location, Record
from herd.registry.services.batch import NewEvent
from herd.registry.services.work import Work, fetch
from herd.values.eventkinds import EVENT_KINDS, FieldKind, check_event, class_fault
from herd.values.withdrawal import LONGEST_COURSE

ANIMAL_FIELDS = frozenset(
    field.key for kind in EVENT_KINDS.values() for field in kind.fields if field.kind is FieldKind.ANIMAL
)
# An animal's birth, where it is known to the day, and its class.
Known = dict[UUID, tuple[date | None, str]]
POINTERS: dict[str, type[Record]] = {**dict.fromkeys(ANIMAL_FIELDS, Animal), "location": Location}


def check_events(work: Work, wanted: list[NewEvent]) -> None:
    """Refuse events that contradict their kind, their animal, the calendar, or point outside the outfit."""
    known = _known(work, {one.animal_id for one in wanted})
    for one in wanted:
        _check_one(work, one, known)
    _check_pointers(work, wanted)
    _check_tubes(work, wanted)


def _known(work: Work, animal_ids: set[UUID]) -> Known:
    """The animals that are in the record, each with its birth where that is known to the day, and its class."""
    found: Known = {}
    columns = ("id", "born_on", "born_precision", "entry_class", "animal_class")
    for some in in_steps(animal_ids):
        rows = Animal.objects.of(work.outfit).filter(pk__in=some).values_list(*columns)
        for key, born, precision, entry_class, animal_class in read_rows(rows):
            # A class that is edited together with its events is folded only afterwards.
            found[key] = (born if precision == "day" else None, entry_class or animal_class)
    return found


def as_id(value: object) -> UUID | None:
    """The id that a field of an event holds; None where it holds words."""
    try:
        return UUID(str(value))
    except ValueError:
        return None


def _check_pointers(work: Work, wanted: list[NewEvent]) -> None:
    """Refuse ids of animals, locations and corrected events that this outfit does not have."""
    for key, model in POINTERS.items():
        named = {ref: one for one in wanted if key in one.data and (ref := as_id(one.data[key]))}
        for missing in set(named) - set(fetch(model, work.outfit, named)):
            work.refuse(
                f"The {model.SUBJECT} named as {key} is not in this outfit's record.",
                field_name=key,
                animal_id=named[missing].animal_id,
            )
    corrected = {one.supersedes for one in wanted if one.supersedes}
    for some in in_steps(corrected):
        rows = Event.objects.filter(outfit=work.outfit, pk__in=some)
        if set(some) - set(rows.values_list("pk", flat=True)):
            work.refuse("The event to be corrected is not in this outfit's record.")


def _check_one(work: Work, one: NewEvent, known: Known) -> None:
    if one.animal_id not in known:
        work.refuse("That animal is not in this outfit's record.", animal_id=one.animal_id)
        return
    born, animal_class = known[one.animal_id]
    for reason in check_event(one.kind, dict(one.data)):
        work.refuse(reason, field_name="data", animal_id=one.animal_id)
    unfit = class_fault(one.kind, animal_class)
    if unfit:
        work.refuse(unfit, field_name="kind", animal_id=one.animal_id)
    if "weight" in one.data and not (one.weight_ng and one.weight_ng > 0):
        work.refuse("A weight must be more than nothing.", field_name="weight", animal_id=one.animal_id)
    if one.happened_on and one.happened_on > work.today:
        work.refuse(
            f"The day {one.happened_on} lies in the future.",
            field_name="happened_on",
            animal_id=one.animal_id,
        )
    _check_course(work, one)
    if one.happened_on and born and one.happened_on < born:
        work.refuse(
            f"The animal was born on {born}; this is dated {one.happened_on}.",
            field_name="happened_on",
            animal_id=one.animal_id,
        )


def _check_course(work: Work, one: NewEvent) -> None:
    """Refuse a course that ends before it begins, in the future, or months later."""
    last, first = one.data.get("last_on"), one.happened_on
    if not last or not first or check_event(one.kind, dict(one.data)):
        return
    days = (date.fromisoformat(str(last)) - first).days
    if not 0 <= days <= LONGEST_COURSE:
        work.refuse(
            f"The last day of a course lies 0 to {LONGEST_COURSE} days after its first; "
            f"{last} does not, seen from {first}.",
            field_name="last_on",
            animal_id=one.animal_id,
        )
    elif date.fromisoformat(str(last)) > work.today:
        work.refuse(
            f"The day {last} lies in the future; record the course when the last dose has been given.",
            field_name="last_on",
            animal_id=one.animal_id,
        )


def _check_tubes(work: Work, wanted: list[NewEvent]) -> None:
    """Refuse a sample tube that another sample has used."""
    tubes = [str(one.data.get("tube", "")) for one in wanted if one.kind == "sample"]
    for some in in_steps(set(tubes)):
        used = Event.objects.of(work.outfit).filter(kind="sample", tube__in=some)
        for event in used:
            work.refuse(
                f"Tube {event.tube} was used on {event.happened_on}.",
                field_name="tube",
                animal_id=event.animal_id,
            )
    for tube in {tube for tube in tubes if tubes.count(tube) > 1}:
        work.refuse(f"Tube {tube} would be used twice.", field_name="tube")
