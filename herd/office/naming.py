"""What people call animals, for sentences and links."""

from collections.abc import Iterable
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.saying import group_digits
from herd.registry.models import Animal
from herd.registry.queries.tags import Worn, worn_by

NO_TAG = Worn().name


def name_of(worn: Worn) -> str:
    """The visual tag with its colour, else the EID grouped for reading, else "no tag"."""
    return group_digits(worn.name)


def names_of(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[str, str]:
    """Names by the id as text, in one query for a thousand animals."""
    wanted = set(animal_ids)
    if not wanted:
        return {}
    names = {str(animal_id): name_of(worn) for animal_id, worn in worn_by(outfit, wanted).items()}
    bare = [key for key, name in names.items() if name == NO_TAG]
    return {**names, **_merged_names(outfit, bare)} if bare else names


def _merged_names(outfit: Outfit, ids: Iterable[str]) -> dict[str, str]:
    """What records are called that went into another and so wear no tag of their own."""
    pairs = {key: kept for some in in_steps(ids) for key, kept in _kept(outfit, some)}
    called = worn_by(outfit, set(pairs.values())) if pairs else {}
    return {str(key): f"the record merged into {name_of(called[kept])}" for key, kept in pairs.items()}


def _kept(outfit: Outfit, ids: list[str]) -> Iterable[tuple[UUID, UUID]]:
    rows = Animal.objects.filter(outfit=outfit, pk__in=ids, same_as__isnull=False).values_list("pk", "same_as")
    return [(key, kept) for key, kept in rows if kept]
