"""Rows that were here already under another id: tags by their number, list entries by their name, wearings, stays."""

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.ledger.rows import in_steps
from herd.registry.models import (
    SUBJECTS,
    Breed,
    Group,
    GroupMembership,
    HerdList,
    Location,
    MissingTag,
    PolicyValue,
    Product,
    Tag,
    TagWearing,
)
from herd.registry.queries.merged import standing_for
from herd.registry.services.replaying.carried import Carried, creates, is_merge
from herd.registry.services.replaying.values import read_values, renamed

# What tells two rows of a table apart in the field, as the table's own constraint has it.
NATURAL: dict[str, tuple[str, ...]] = {
    Tag.SUBJECT: ("kind", "number", "colour", "issuer_year"),
    Breed.SUBJECT: ("code",),
    Location.SUBJECT: ("name",),
    Group.SUBJECT: ("name",),
    Product.SUBJECT: ("name",),
    HerdList.SUBJECT: ("name",),
    MissingTag.SUBJECT: ("box_id", "number"),
    PolicyValue.SUBJECT: ("key", "in_force_from"),
}


def find_aliases(outfit: Outfit, carried: Carried) -> dict[UUID, UUID]:
    """The ids that the changes name and that stand for other rows here, those known before among them."""
    found = dict(carried.aliases)
    if not is_merge(carried.changes):
        found.update({key: kept for key, kept in standing_for(outfit).items() if key not in found})
    unknown = set(carried.names) - _here(outfit, carried.names)
    for key in sorted(unknown - set(found), key=lambda one: _rank(carried.names[one])):
        stands = _named(outfit, renamed(carried.names[key], found))
        if stands is not None:
            found[key] = stands
    for change in carried.changes:
        if creates(change) and change.subject_kind in NATURAL and change.subject_id not in found:
            stands = _twin(outfit, change, found)
            if stands is not None:
                found[change.subject_id] = stands
    return found


def _rank(name: Mapping[str, Any]) -> int:
    return list(SUBJECTS).index(str(name.get("of", Tag.SUBJECT)))


def _here(outfit: Outfit, ids: Iterable[UUID]) -> set[UUID]:
    found: set[UUID] = set()
    for some in in_steps(set(ids)):
        for model in (Tag, TagWearing, GroupMembership):
            found.update(model.objects.filter(outfit=outfit, pk__in=some).values_list("pk", flat=True))
    return found


def _named(outfit: Outfit, name: Mapping[str, Any]) -> UUID | None:
    """The row that a name means here, if there is just one."""
    kind = name.get("of")
    if kind == GroupMembership.SUBJECT:
        wanted = {one: name.get(one) for one in ("animal_id", "group_id", "joined_on")}
        return _only(GroupMembership.objects.of(outfit).filter(**wanted))
    number = {one: name.get(one, "") for one in ("kind", "number", "colour")} | {
        "issuer_year": name.get("issuer_year", 0)
    }
    if kind == Tag.SUBJECT:
        return _only(Tag.objects.of(outfit).filter(**number))
    worn = TagWearing.objects.of(outfit).filter(animal=name.get("animal_id"), ended="")
    return _only(worn.filter(**{f"tag__{one}": value for one, value in number.items()}))


def _only(rows: Any) -> UUID | None:
    found = list(rows.values_list("pk", flat=True)[:2])
    return found[0] if len(found) == 1 else None


def _twin(outfit: Outfit, change: Change, aliases: Mapping[UUID, UUID]) -> UUID | None:
    """A row that is here under another id and that the field could not tell from the one that comes."""
    model = SUBJECTS[change.subject_kind]
    if model.objects.filter(outfit=outfit, pk=change.subject_id).exists():
        return None
    said = read_values(model, renamed(change.after or {}, aliases))
    wanted = {name: said.get(name, _empty(model, name)) for name in NATURAL[change.subject_kind]}
    return model.objects.of(outfit).filter(**wanted).values_list("pk", flat=True).first()


def _empty(model: Any, name: str) -> Any:
    return next(one for one in model._meta.concrete_fields if one.attname == name).get_default()
