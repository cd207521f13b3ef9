"""The animals that a person picked in a list, carried from page to page until something is done with them."""

import hashlib
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpRequest
from django.urls import reverse

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.access import Elsewhere
from herd.office.forms.herd import form_of
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import Animal
from herd.registry.queries.herdlist import ids_of

FIELD = "animals"
EVERY = "every"
GAP = "~"


@dataclass(frozen=True, slots=True)
class Selection:
    """Animals of the outfit, in the order picked; ids of anything else were passed over.

    `every` is the question where all that match were picked, with the fingerprint of what they were.
    """

    ids: tuple[UUID, ...]
    every: str = ""

    def __len__(self) -> int:
        return len(self.ids)

    @property
    def carried(self) -> str:
        """The hidden field's value, from which `selection_of` reads the same animals again."""
        return self.every or ",".join(str(one) for one in self.ids)


def selection_of(request: HttpRequest, outfit: Outfit) -> Selection:
    """Read the animals picked: fields named `animals`, each one id, several with commas between, or all that match.

    All that match are asked for anew; where they are others than those that the person saw, Elsewhere is raised,
    which shows the list again instead of acting on it.
    """
    given = request.POST if request.method == "POST" else request.GET
    values = given.getlist(FIELD)
    for value in values:
        if value.startswith(f"{EVERY}{GAP}"):
            return _all_again(outfit, value)
    words = (word for value in values for word in value.split(","))
    wanted = list(dict.fromkeys(found for word in words if (found := as_uuid(word.strip()))))
    known: set[UUID] = set()
    for ids in in_steps(wanted):
        known.update(Animal.objects.of(outfit).filter(pk__in=ids).values_list("pk", flat=True))
    return Selection(tuple(one for one in wanted if one in known))


def all_that_match(outfit: Outfit, query: str) -> Selection:
    """All animals that answer a question of the herd list, as they are now."""
    ids = ids_of(outfit, form_of(outfit, today_of(outfit), query).question())
    return Selection(tuple(ids), GAP.join([EVERY, _fingerprint(ids), query]))


def _all_again(outfit: Outfit, carried: str) -> Selection:
    query = carried.split(GAP, 2)[-1]
    found = all_that_match(outfit, query)
    if found.every != carried:
        raise Elsewhere(
            f"{reverse('office:herd')}?{query}&count=1",
            f"The list has changed since you picked it: {len(found)} head match now. Look again, then pick.",
        )
    return found


def _fingerprint(ids: list[UUID]) -> str:
    """The count and a digest of the ids, whatever their order."""
    digest = hashlib.sha256(b"".join(sorted(one.bytes for one in ids))).hexdigest()[:16]
    return f"{len(ids)}-{digest}"
