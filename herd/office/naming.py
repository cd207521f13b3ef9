"""What people call animals, for sentences and links."""

from collections.abc import Iterable
from uuid import UUID

from herd.accounts.models import Outfit
from herd.office.saying import group_digits
from herd.registry.queries.tags import Worn, worn_by


def name_of(worn: Worn) -> str:
    """The visual tag with its colour, else the EID grouped for reading, else "no tag"."""
    return group_digits(worn.name)


def names_of(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[str, str]:
    """Names by the id as text, in one query for a thousand animals."""
    wanted = set(animal_ids)
    if not wanted:
        return {}
    return {str(animal_id): name_of(worn) for animal_id, worn in worn_by(outfit, wanted).items()}
