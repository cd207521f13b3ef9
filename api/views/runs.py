"""Runs: the calves of a season and a lot that was bought, each written as one changeset."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any, ClassVar
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Called
from api.once import KEY, once
from api.problems import unfit
from api.reading import plausible_day, tag_facts, weight_of
from api.serializers.runs import BirthsIn, LotIn, RunOut
from herd.accounts.models import Outfit
from herd.ledger.models import Changeset
from herd.registry.models import GroupMembership, TagKind
from herd.registry.queries.changes import animals_made
from herd.registry.queries.lotnumbers import Numbered, number_lot
from herd.registry.queries.stays import open_stays
from herd.registry.services import runs
from herd.registry.services.refused import Refusal, Refused
from herd.values.problems import Unreadable

Stays = Mapping[UUID, GroupMembership]
LONGEST_TITLE = 200


class Births(Called):
    """Calves with their dams' calvings."""

    rights: ClassVar = {"post": Right.CAPTURE}

    @extend_schema(operation_id="births_create", parameters=[KEY], request=BirthsIn, responses={201: RunOut})
    @once
    def post(self, request: Request) -> Response:
        """Register births: calf, tags, birth weight and group, and the calving of its dam.

        `animals` has the calves that live, in the order of the births.
        """
        outfit, said = self.caller.outfit, self.read(BirthsIn)["births"]
        stays = open_stays(outfit, [one["dam"] for one in said])
        births = [_birth(outfit, one, stays, f"births/{place}") for place, one in enumerate(said)]
        entry = self.caller.entry(f"Registered {len(births)} birth{'' if len(births) == 1 else 's'}")
        try:
            written = runs.register_births(entry=entry, births=births)
        except Refused as refused:
            raise _beside(refused, {one.calf_id: f"births/{place}" for place, one in enumerate(births)}) from refused
        return _answer(written, [one.calf_id for one in births if one.is_alive])


def _birth(outfit: Outfit, said: dict[str, Any], stays: Stays, member: str) -> runs.Birth:
    born = plausible_day(said["born_on"], f"{member}/born_on")
    weight = weight_of(outfit, said["weight"], said.get("unit"), f"{member}/weight") if said["weight"] else None
    tags = [tag_facts(tag, f"{member}/tags/{place}/number") for place, tag in enumerate(said["tags"])]
    facts = {"entry_class": said["animal_class"], "sire_id": said["sire"], "breed": said["breed"], "coat": said["coat"]}
    calving = {name: said[name] for name in ("ease", "note") if said[name]}
    return runs.Birth(said["dam"], born, said["is_alive"], facts, tags, weight, calving, _joins(said, stays))


def _joins(said: dict[str, Any], stays: Stays) -> tuple[UUID, date] | None:
    """The group that a calf joins and since when: its dam's from its birth on, or since she is there."""
    born, stay = said["born_on"], stays.get(said["dam"])
    if "group" in said:
        return (said["group"], born) if said["group"] else None
    return (stay.group_id, max(born, stay.joined_on)) if stay else None


class Lots(Called):
    """Head that were bought together."""

    rights: ClassVar = {"post": Right.CAPTURE}

    @extend_schema(operation_id="lots_create", parameters=[KEY], request=LotIn, responses={201: RunOut})
    @once
    def post(self, request: Request) -> Response:
        """Register a lot: each head with its numbers, its purchase and its group."""
        said = self.read(LotIn)
        plausible_day(said["on"], "on")
        facts = {name: said[name] for name in ("born_on", "born_precision", "breed", "coat", "origin")}
        facts["entry_class"] = said["animal_class"]
        tags = _numbered(self.caller.outfit, said)
        seller = f" from {said['seller']}" if said["seller"] else ""
        entry = self.caller.entry(f"Bought {said['head']:,} head{seller}"[:LONGEST_TITLE])
        lot = runs.Lot(tags, said["on"], facts, said["seller"], said["price"], said["group"])
        written = runs.register_lot(entry=entry, lot=lot)
        return _answer(written, animals_made(written))


def _numbered(outfit: Outfit, said: dict[str, Any]) -> list[tuple[dict[str, Any], ...]]:
    """The tags of each head; a Problem beside the kind of which there are not enough."""
    kinds = [kind for kind in (TagKind.VID, TagKind.EID) if kind.value in said]
    if not kinds:
        raise unfit("vid", "Give them visual tags or EIDs, or nobody could tell them apart.")
    found = []
    for kind in kinds:
        run = said[kind.value]
        wanted = Numbered(kind, said["head"], run["first"], run["colour"], run.get("issuer_year"))
        try:
            found.append(number_lot(outfit, wanted))
        except Unreadable as problem:
            raise unfit(f"{kind.value}/first", problem.reason) from problem
    return list(zip(*found, strict=True))


def _beside(refused: Refused, places: Mapping[UUID, str]) -> Refused:
    """The refusals, each beside the one of many that it concerns."""
    return Refused([_placed(one, places.get(one.animal_id) if one.animal_id else None) for one in refused.refusals])


def _placed(refusal: Refusal, place: str | None) -> Refusal:
    return refusal if place is None else replace(refusal, field=f"{place}/{refusal.field}".rstrip("/"))


def _answer(written: Changeset, animals: list[UUID]) -> Response:
    return Response(RunOut({"changeset": written.pk, "animals": animals}).data, 201)
