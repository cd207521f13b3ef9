"""Each resource as rows of a processing day: whom it is about, what it tells, or why it can't be used."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from herd.accounts.models import Outfit
from herd.exchange.facts import SEXES, read_facts
from herd.exchange.inward.identities import ANIMAL_RESOURCE, JOIN, LEAVE, SET, Identities, resource_type
from herd.exchange.inward.wearings import read_numbers, read_wearings
from herd.exchange.kinds.shape import filled
from herd.exchange.kinds.table import RESOURCES
from herd.exchange.moments import When, read_day, read_when
from herd.exchange.names import EXTENSION, PREMISES, TAG_SCHEMES, as_uuid, counterpart
from herd.exchange.node import LONGEST_NAME, BadValue, Node
from herd.exchange.whole import WholeEvent, read_event, read_own_when
from herd.intake.deciding.tags import READING_KEYS
from herd.registry.models import GroupKind
from herd.values.classes import AnimalClass
from herd.values.eventkinds import EVENT_KINDS
from herd.values.withdrawal import LONGEST_COURSE

KINDS_OF_PURPOSE = {"Enclosure": "pen", "Feeding": "lot", "Finishing": "lot", "Growing": "lot"}
CLASSES = {one.value: one.value for one in AnimalClass}
GROUP_KINDS = {one.value: one.value for one in GroupKind}
STATES = {"Dead": ("dead", "Dead"), "OffFarm": ("transferred", "OffFarm")}
FACTS = {"breed": 60, "coat": 40, "origin": 80}


@dataclass(frozen=True, slots=True)
class Draft:
    """A row in the making: what it says, the bad values in it, and a few words for the page that lists lines."""

    readings: dict[str, Any] = field(default_factory=dict)
    problems: list[dict[str, Any]] = field(default_factory=list)
    says: str = ""


@dataclass(frozen=True, slots=True)
class Desk:
    """What reading resources needs to know."""

    outfit: Outfit
    identities: Identities
    today: date


def rows_of(node: Node, desk: Desk) -> Iterator[Draft]:
    """Yield the rows of a resource: one or several, or one that says why it can't be used."""
    kind = resource_type(node.members)
    read = READERS.get(kind)
    try:
        if not isinstance(node.members.get("resourceType"), str):
            raise node.refuse("resourceType", "The resource does not say what it is.")
        if read is None and kind not in RESOURCES:
            raise node.refuse("resourceType", f"Resources of the type {kind[:60]!r} are not taken here.")
        if node.inside("meta").flag("isDeleted"):
            reason = "It was taken back where it comes from; void it here by hand if it stands here."
            raise node.inside("meta").refuse("isDeleted", reason)
        # A resource that is bad in one place gives no rows at all but the one that says so.
        yield from list((read or _event)(replace(node, members={**node.members, "resourceType": kind}), desk))
    except BadValue as problem:
        yield unusable(problem)


def unusable(problem: BadValue) -> Draft:
    """The row of a value that can't be used."""
    value = str(problem.value)[:200]
    one = {"column": problem.pointer, "kind": "resource", "value": value, "code": "resource"}
    return Draft(problems=[{**one, "reason": problem.reason[:300]}], says=problem.reason[:200])


def _animal(node: Node, desk: Desk) -> Iterator[Draft]:
    whose = desk.identities.readings_of(node, "identifier")
    worn = read_wearings(node, desk.outfit, desk.today)
    numbers, bad = read_numbers(node)
    readings = {**whose, **numbers, **_facts(node, desk)}
    if worn:
        readings = {**{key: value for key, value in readings.items() if key not in _NUMBER_KEYS}, **whose, "worn": worn}
        readings |= desk.identities.numbers.get(node.inside("identifier").as_identifier(), {})
    elif node.identifier("identifier") not in desk.identities.left:
        state = STATES.get(node.text("status", 40))
        readings |= {"status": {"status": state[0], "word": state[1]}} if state else {}
    yield Draft(readings, says="animal")
    if not worn:
        yield from (unusable(one) for one in bad)


_NUMBER_KEYS = frozenset({*READING_KEYS.values(), "vid_colour"})


def _facts(node: Node, desk: Desk) -> dict[str, Any]:
    own = node.inside(EXTENSION)
    facts, given = read_facts(node), own.inside("facts")
    facts |= {key: given.text(key, most) for key, most in FACTS.items() if key in given.members}
    facts |= {"class": given.choice("class", CLASSES)} if "class" in given.members else {}
    for key in own.words("without"):
        facts.pop(key, None)
    found: dict[str, Any] = {key: " ".join(facts[key].split()) for key in FACTS if facts.get(key)}
    sex = "" if own.members else SEXES.get(node.text("gender", 40), "")
    if facts.get("class") or sex:
        found["animal_class"] = {"class": facts["class"]} if facts.get("class") else {"sex": sex}
    born_own = Node({"when": own.members.get("birth")}, own.pointer)
    birth = read_own_when(born_own, read_when(node, "birthDate", desk.outfit.zone))
    if birth.on is not None:
        _check_past(node, "birthDate", birth, desk)
        found["born"] = {"on": birth.on.isoformat(), "precision": _precision(birth)}
    if entered := read_day(given, "enteredOn"):
        found["entered"] = entered.isoformat()
    return {**found, **_parents(node, desk)}


def _precision(when: When) -> str:
    return "day" if when.precision == "instant" else when.precision


def _parents(node: Node, desk: Desk) -> dict[str, Any]:
    found: dict[str, Any] = {}
    own = node.identifier("identifier")
    for one in node.listed("parentage"):
        if one.identifier("parentOf") != own or one.text("relation", 40) not in ("", "Genetic"):
            continue
        parent = one.identifier("identifier")
        sex = SEXES.get(one.text("gender", 40), "")
        if parent is not None and sex:
            found["dam" if sex == "female" else "sire"] = _relative(one, parent, desk)
    return found


def _relative(node: Node, identifier: tuple[str, str], desk: Desk) -> dict[str, str]:
    """A parent as deciding looks it up: by its name elsewhere, or by the number it wears."""
    kind = TAG_SCHEMES.get(identifier[0])
    if kind and identifier not in desk.identities.main:
        readings = desk.identities.readings_of(node, "identifier")
        return {"kind": kind, "number": str(readings[READING_KEYS[kind]])}
    return {"kind": "called", "number": desk.identities.name_of(identifier)}


def _birth(node: Node, desk: Desk) -> Iterator[Draft]:
    """The registration of a birth: the day, and all of the animal where its detail is told."""
    whose = desk.identities.readings_of(node, "animal")
    if node.members.get("animalDetail"):
        yield from _animal(node.inside("animalDetail"), desk)
    when = read_own_when(node.inside(EXTENSION), read_when(node, "eventDateTime", desk.outfit.zone))
    born = {}
    if when.on is not None and node.text("registrationReason", 40) != "Registered":
        _check_past(node, "eventDateTime", when, desk)
        born = {"born": {"on": when.on.isoformat(), "precision": _precision(when)}}
    yield Draft({**whose, **born}, says="birth")


def _event(node: Node, desk: Desk) -> Iterator[Draft]:
    whose = desk.identities.readings_of(node, "animal")
    if node.members.get("animalDetail"):
        yield from _animal(node.inside("animalDetail"), desk)
    for place, event in enumerate(read_event(node, desk.outfit.zone)):
        _check_past(node, "eventDateTime", event.when, desk)
        _check_course(node, event)
        yield Draft({**whose, **_told(node, event, place, desk)}, says=_words(event))


def _told(node: Node, event: WholeEvent, place: int, desk: Desk) -> dict[str, Any]:
    meta = node.inside("meta")
    source, given = meta.text("source", 200), meta.text("sourceId", 200) or node.text("id", 200)
    given = f"{given}#{place}" if given and place else given
    own = str(counterpart(desk.outfit, source, given)) if given else None
    when = event.when
    told = {
        "kind": event.kind,
        "data": event.data,
        "ng": event.ng,
        "at": when.at.isoformat() if when.at else None,
        "id": own,
        "ids": [one for one in (own, given if as_uuid(given) else None) if one],
        "animals": {key: desk.identities.name_of(one) for key, one in event.animals.items()},
        "places": event.places,
    }
    day = {"day": when.on.isoformat(), "day_precision": when.precision} if when.on else {"day_precision": "unknown"}
    return {"told": told, **day}


def _words(event: WholeEvent) -> str:
    kind = EVENT_KINDS[event.kind]
    return f"{kind.label} {event.data.get(kind.main, '')} {event.data.get('unit', '')}".strip()[:200]


def _check_past(node: Node, key: str, when: When, desk: Desk) -> None:
    if when.on is not None and when.on > desk.today:
        raise node.refuse(key, f"The day {when.on} lies in the future.")


def _check_course(node: Node, event: WholeEvent) -> None:
    last = event.data.get("last_on")
    if last and event.when.on is not None:
        days = (date.fromisoformat(str(last)) - event.when.on).days
        if not 0 <= days <= LONGEST_COURSE:
            raise node.refuse(EXTENSION, f"The last day of a course lies 0 to {LONGEST_COURSE} days after its first.")


def _set(node: Node, desk: Desk) -> Iterator[Draft]:
    """A group; who is in it now, where no joining of it is told."""
    own = node.inside(EXTENSION)
    name = (node.text("name", LONGEST_NAME) or node.needed("id", LONGEST_NAME)).strip()
    kind = own.choice("kind", GROUP_KINDS) or KINDS_OF_PURPOSE.get(node.text("purpose", 40), "herd")
    facts = {"name": name, "kind": kind, "is_closed": own.flag("isClosed")}
    place = {"subject": "group", "facts": facts, "location": own.text("lies", LONGEST_NAME) or None}
    yield Draft({"place": place}, says=name)
    if node.text("id", 200) not in desk.identities.joined_sets:
        for one in node.listed("member"):
            yield _member(one, name, desk)


def _member(node: Node, group: str, desk: Desk) -> Draft:
    above, _, key = node.pointer.rpartition("/")
    try:
        whose = desk.identities.readings_of(Node({key: node.members}, above), key)
    except BadValue as problem:
        return unusable(problem)
    return Draft({**whose, "group": group}, says=f"in {group}")


def _move(node: Node, desk: Desk, *, do: str) -> Iterator[Draft]:
    whose, own = desk.identities.readings_of(node, "animal"), node.inside(EXTENSION)
    key = node.needed("animalSetId", 200)
    group = own.text("group", LONGEST_NAME) or desk.identities.sets.get(key) or key
    if len(group) > LONGEST_NAME:
        raise node.refuse("animalSetId", f"The name of a group has at most {LONGEST_NAME} characters.")
    when = read_own_when(own, read_when(node, "eventDateTime", desk.outfit.zone))
    if when.on is None:
        raise node.refuse("eventDateTime", "The day is missing.")
    _check_past(node, "eventDateTime", when, desk)
    meta = node.inside("meta")
    source, stay = meta.text("source", 200), own.text("stay", 100)
    given = stay or (meta.text("sourceId", 200) or node.text("id", 200) if do == "join" else "")
    here = str(counterpart(desk.outfit, source, given)) if given else None
    ids = [one for one in (here, stay if as_uuid(stay) else None) if one]
    said = {"do": do, "group": group.strip(), "on": when.on.isoformat(), "id": here, "ids": ids}
    yield Draft({**whose, "stay": said}, says=f"{do}s {group}")


def _location(node: Node, _: Desk) -> Iterator[Draft]:
    identifier = node.inside("identifier").as_identifier()
    name = (node.text("name", LONGEST_NAME) or identifier[1]).strip()
    numbers = [identifier, *(one.as_identifier() for one in node.listed("alternativeIdentifiers"))]
    premises = next((key for scheme, key in numbers if scheme == PREMISES), "")
    if len(premises) > 8:
        raise node.refuse("alternativeIdentifiers", "A premises number has at most eight characters.")
    facts = {"name": name[:LONGEST_NAME], "premises_number": premises}
    facts |= filled({"is_retired": node.inside(EXTENSION).flag("isRetired") or None})
    yield Draft({"place": {"subject": "location", "facts": facts}}, says=name)


READERS: dict[str, Callable[[Node, Desk], Iterator[Draft]]] = {
    ANIMAL_RESOURCE: _animal,
    "icarMovementBirthEventResource": _birth,
    SET: _set,
    JOIN: lambda node, desk: _move(node, desk, do="join"),
    LEAVE: lambda node, desk: _move(node, desk, do="leave"),
    "icarLocationResource": _location,
}
