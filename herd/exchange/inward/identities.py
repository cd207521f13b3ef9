"""Who is meant: the animals and groups that a document names, found out before any of its rows is read."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.exchange.inward.wearings import read_numbers, read_wearings, worn_now
from herd.exchange.names import ANIMAL, TAG_SCHEMES, Identifier, as_uuid, called, counterpart
from herd.exchange.node import BadValue, Node
from herd.intake.deciding.tags import READING_KEYS
from herd.ledger.rows import in_steps
from herd.registry.models import Animal
from herd.registry.queries.merged import standing_for
from herd.values.problems import Unreadable
from herd.values.tagnumbers import read_tag_number

ANIMAL_RESOURCE = "icarAnimalCoreResource"
SET, JOIN, LEAVE = "icarAnimalSetResource", "icarAnimalSetJoinEventResource", "icarAnimalSetLeaveEventResource"
PARTING = ("icarMovementDepartureEventResource", "icarMovementDeathEventResource")


def resource_type(members: Mapping[str, Any]) -> str:
    """The resource by its schema's name, however it was written."""
    name = str(members.get("resourceType") or "").removeprefix("icar:")
    return name if name.startswith("icar") else f"icar{name}Resource"


@dataclass(slots=True)
class Identities:
    """What a document names. `numbers` are those that each animal wears, `main` its name by its other numbers.

    `known` are animals of the record by their names elsewhere; `left` those that a departure or death is told of.
    """

    outfit: Outfit
    today: date
    numbers: dict[Identifier, dict[str, str]] = field(default_factory=dict)
    main: dict[Identifier, Identifier] = field(default_factory=dict)
    named: set[Identifier] = field(default_factory=set)
    known: dict[Identifier, UUID] = field(default_factory=dict)
    left: set[Identifier] = field(default_factory=set)
    sets: dict[str, str] = field(default_factory=dict)
    joined_sets: set[str] = field(default_factory=set)

    def learn(self, members: Mapping[str, Any]) -> None:
        """Note whom a resource declares and names; what is bad in it is told when its row is read."""
        node, kind = Node(members), resource_type(members)
        try:
            if kind == ANIMAL_RESOURCE:
                self._declare(node)
            elif kind == SET:
                self.sets[node.text("id", 200)] = node.text("name", 200)
            else:
                self._learn_event(node, kind)
        except BadValue:
            return

    def _learn_event(self, node: Node, kind: str) -> None:
        if kind == JOIN:
            self.joined_sets.add(node.text("animalSetId", 200))
        if node.members.get("animalDetail"):
            self._declare(node.inside("animalDetail"))
        for members in ("progenyDetails", "progeny"):
            self.named.update(found for one in node.listed(members) if (found := one.identifier("identifier")))
        self.named.update(one.as_identifier() for one in node.listed("sireIdentifiers"))
        identifier = node.identifier("animal")
        if identifier is not None:
            self.named.add(identifier)
            if kind in PARTING:
                self.left.add(identifier)

    def _declare(self, node: Node) -> None:
        identifier = node.inside("identifier").as_identifier()
        self.named.add(identifier)
        self.main[identifier] = identifier
        worn = read_wearings(node, self.outfit, self.today)
        numbers, _ = read_numbers(node)
        self.numbers[identifier] = {**numbers, **worn_now(worn)} if worn else numbers
        for one in node.listed("alternativeIdentifiers"):
            self.main.setdefault(one.as_identifier(), identifier)
        self.named.update(found for one in node.listed("parentage") if (found := one.identifier("identifier")))

    def look_up(self) -> None:
        """Find the animals of the record among those that were named: by our own ids, or by those they got here."""
        asked: dict[UUID, Identifier] = {}
        for identifier in self.named:
            scheme, key = identifier
            own = as_uuid(key) if scheme == ANIMAL else None
            asked.update({one: identifier for one in (own, counterpart(self.outfit, scheme, key)) if one})
        kept = standing_for(self.outfit)
        wanted = {kept.get(one, one): identifier for one, identifier in asked.items()}
        for ids in in_steps(wanted):
            for found in Animal.objects.of(self.outfit).filter(pk__in=ids).values_list("pk", flat=True):
                self.known[wanted[found]] = found

    def readings_of(self, node: Node, key: str) -> dict[str, Any]:
        """Who a member names, as readings of a row; raises BadValue for one that nothing tells of."""
        identifier = node.identifier(key)
        if identifier is None:
            raise node.refuse(key, "It names no animal.")
        identifier = self.main.get(identifier, identifier)
        if identifier in self.known:
            return {"animal": str(self.known[identifier]), "is_dated": True}
        if identifier in self.numbers:
            given = str(counterpart(self.outfit, *identifier))
            return {"called": called(identifier), "called_id": given, **self.numbers[identifier]}
        kind = TAG_SCHEMES.get(identifier[0])
        if kind is None:
            reason = f"The animal {called(identifier)[:80]!r} is neither in the file nor in the record."
            raise node.refuse(key, reason)
        return {READING_KEYS[kind]: _number(node, key, kind, identifier[1])}

    def name_of(self, identifier: Identifier) -> str:
        """An animal named beside the row's own, as deciding looks it up: by our id, or by its name elsewhere."""
        main = self.main.get(identifier, identifier)
        return f"animal {self.known[main]}" if main in self.known else called(main)


def _number(node: Node, key: str, kind: str, text: str) -> str:
    try:
        return read_tag_number(kind, text).number
    except Unreadable as problem:
        raise node.refuse(key, problem.reason) from problem
