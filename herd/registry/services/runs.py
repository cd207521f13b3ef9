"""Runs: the calves of a season and a lot that was bought, each written as one changeset."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from herd.ledger.entry import Entry
from herd.ledger.models import Changeset
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent, PutOn
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.writer import write
from herd.values.identity import new_id
from herd.values.mass import Weight

MOST_HEAD = 2_000
LONGEST_ORIGIN = 80

Tags = Sequence[Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Birth:
    """One calf of a run. `calving` holds more fields of the dam's calving event, `tags` what the calf wears.

    A calf born dead comes into the record as its dam's calving alone: it is no head of the herd. Otherwise the calf
    is known by `calf_id`.
    """

    dam_id: UUID
    born_on: date
    is_alive: bool = True
    facts: Mapping[str, Any] = field(default_factory=dict)
    tags: Tags = ()
    weight: Weight | None = None
    calving: Mapping[str, Any] = field(default_factory=dict)
    joins: tuple[UUID, date] | None = None
    calf_id: UUID = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class Lot:
    """Head bought together: the tags of each, and what is true of all. `price` is for one head, as written.

    Where `facts` names no origin they come from the seller.
    """

    tags: Sequence[Tags]
    on: date
    facts: Mapping[str, Any]
    seller: str = ""
    price: str = ""
    group_id: UUID | None = None


def register_births(*, entry: Entry, births: Sequence[Birth]) -> Changeset:
    """Register calves with their tags, groups and birth weights, and the calving of each dam; raises Refused."""
    _check_head(len(births))
    _check_dead(births)
    batch = Batch()
    for birth in births:
        calf = _add_calf(batch, birth) if birth.is_alive else None
        named = {"calf": str(calf)} if calf else {}
        data = {**named, "outcome": "live" if birth.is_alive else "dead", **birth.calving}
        batch.events.append(NewEvent(birth.dam_id, "calving", birth.born_on, data))
    return write(entry, batch)


def _add_calf(batch: Batch, birth: Birth) -> UUID:
    born = {"born_on": birth.born_on, "born_precision": "day", "entered_on": birth.born_on}
    calf = NewAnimal({**birth.facts, **born, "dam_id": birth.dam_id}, birth.calf_id)
    batch.animals.append(calf)
    batch.put_on.extend(PutOn(calf.id, worn_from=birth.born_on, **tag) for tag in birth.tags)
    if birth.weight is not None:
        data = {"weight": str(birth.weight.entered), "unit": birth.weight.unit.value, "purpose": "birth"}
        batch.events.append(
            NewEvent(calf.id, "weight", birth.born_on, data, weight_ng=birth.weight.nanograms)
        )
    if birth.joins is not None:
        batch.joins.append(Join(calf.id, *birth.joins))
    return calf.id


def register_lot(*, entry: Entry, lot: Lot) -> Changeset:
    """Register the head of a lot with their tags, the purchase of each, and the group they join; raises Refused."""
    _check_head(len(lot.tags))
    said = {"seller": lot.seller, "price": lot.price}
    data = {key: value for key, value in said.items() if value}
    facts = {**lot.facts, "origin": lot.facts.get("origin") or lot.seller[:LONGEST_ORIGIN], "entered_on": lot.on}
    batch = Batch()
    for tags in lot.tags:
        animal = NewAnimal(facts)
        batch.animals.append(animal)
        batch.put_on.extend(PutOn(animal.id, worn_from=lot.on, **tag) for tag in tags)
        batch.events.append(NewEvent(animal.id, "purchase", lot.on, data))
        if lot.group_id is not None:
            batch.joins.append(Join(animal.id, lot.group_id, lot.on))
    return write(entry, batch)


def _check_head(head: int) -> None:
    if not 1 <= head <= MOST_HEAD:
        raise Refused([Refusal(f"A run has between 1 and {MOST_HEAD:,} head.", "head")])


def _check_dead(births: Sequence[Birth]) -> None:
    said = "A calf born dead is kept as its dam’s calving alone; leave out its tags and weight."
    refusals = [
        Refusal(said, field, one.calf_id)
        for one in births
        if not one.is_alive
        for field, given in (("tags", one.tags), ("weight", one.weight))
        if given
    ]
    if refusals:
        raise Refused(refusals)
