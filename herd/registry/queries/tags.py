"""Which tags animals wear."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from uuid import UUID

from django.db.models import QuerySet

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import TagKind, TagWearing


@dataclass(slots=True)
class Worn:
    """The tags an animal wears now; empty where it wears none of a kind."""

    eid: str = ""
    vid: str = ""
    vid_colour: str = ""
    others: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """What people call the animal: its visual tag, or the EID where it has none."""
        return " ".join(part for part in [self.vid, self.vid_colour] if part) or self.eid or "no tag"


def wearings_of(outfit: Outfit, kind: str, number: str) -> QuerySet[TagWearing]:
    """Who wears a number now. The tag's outfit is asked for as well, since a database finds numbers by outfit."""
    return TagWearing.objects.of(outfit).filter(kind=kind, ended="", tag__outfit=outfit, tag__number=number)


def worn_by(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, Worn]:
    """Return the open tags of each animal; animals without any are there with an empty one."""
    found: dict[UUID, Worn] = defaultdict(Worn)
    for ids in in_steps(dict.fromkeys(animal_ids)):
        rows = TagWearing.objects.of(outfit).filter(animal__in=ids, ended="")
        rows = rows.order_by("is_second", "worn_from", "id")
        for animal_id, kind, number, colour in rows.values_list(
            "animal_id", "kind", "tag__number", "tag__colour"
        ):
            _add(found[animal_id], kind, number, colour)
        for animal_id in ids:
            found.setdefault(animal_id, Worn())
    return found


def _add(worn: Worn, kind: str, number: str, colour: str) -> None:
    if kind == TagKind.EID and not worn.eid:
        worn.eid = number
    elif kind == TagKind.VID and not worn.vid:
        worn.vid, worn.vid_colour = number, colour
    else:
        worn.others.append(number)
