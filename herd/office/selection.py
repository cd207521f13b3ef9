"""The animals that a person picked in a list, carried from page to page until something is done with them."""

from dataclasses import dataclass
from uuid import UUID

from django.http import HttpRequest

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.wording import as_uuid
from herd.registry.models import Animal

FIELD = "animals"


@dataclass(frozen=True, slots=True)
class Selection:
    """Animals of the outfit, in the order picked; ids of anything else were passed over."""

    ids: tuple[UUID, ...]

    def __len__(self) -> int:
        return len(self.ids)

    @property
    def carried(self) -> str:
        """The hidden field's value, from which `selection_of` reads the same animals again."""
        return ",".join(str(one) for one in self.ids)


def selection_of(request: HttpRequest, outfit: Outfit) -> Selection:
    """Read the animals picked: fields named `animals`, each one id or several with commas between."""
    given = request.POST if request.method == "POST" else request.GET
    words = (word for value in given.getlist(FIELD) for word in value.split(","))
    wanted = list(dict.fromkeys(found for word in words if (found := as_uuid(word.strip()))))
    known: set[UUID] = set()
    for ids in in_steps(wanted):
        known.update(Animal.objects.of(outfit).filter(pk__in=ids).values_list("pk", flat=True))
    return Selection(tuple(one for one in wanted if one in known))
