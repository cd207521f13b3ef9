"""Recomputes every animal's standing from its events and memberships and says whose differs."""

import sys
from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herd.accounts.models import Outfit
from herd.registry.models import Animal
from herd.registry.queries.paging import by_key
from herd.registry.queries.tags import worn_by
from herd.registry.services.standing import COLUMNS, correct_standing, folded
from herd.values.life import Standing

STEP = 1_000


class Command(BaseCommand):
    """Check class, status, since when, group and location of every animal; exit 1 where any differs."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Declare the outfit and whether to mend."""
        parser.add_argument("--outfit", help="the outfit's code; without it all outfits are checked")
        parser.add_argument("--mend", action="store_true", help="write what was computed where it differs")

    def handle(self, *args: Any, **options: Any) -> None:
        """Check the outfits one after the other."""
        code = options["outfit"]
        outfits = list(Outfit.objects.filter(**{"code": code} if code else {}))
        if code and not outfits:
            raise CommandError(f"There is no outfit with the code {code!r}.")
        differing = sum(self._check(outfit, mend=options["mend"]) for outfit in outfits)
        if differing and not options["mend"]:
            sys.exit(1)

    def _check(self, outfit: Outfit, *, mend: bool) -> int:
        checked, differing = 0, 0
        for animals in by_key(Animal.objects.of(outfit).only("id"), STEP):
            ids = [animal.pk for animal in animals]
            found = list(_differences(outfit, ids))
            if found:
                worn = worn_by(outfit, [animal.pk for animal, _ in found])
            for animal, words in found:
                self.stdout.write(f"{worn[animal.pk].name} ({animal.pk}): {words}")
            if mend and found:
                correct_standing(outfit, [animal.pk for animal, _ in found])
            checked, differing = checked + len(ids), differing + len(found)
        ending = "mended" if mend else "differ"
        self.stdout.write(f"{outfit.name}: {checked} animals checked, {differing} {ending}.")
        return differing


def _differences(outfit: Outfit, ids: list[Any]) -> Iterator[tuple[Animal, str]]:
    for animal, standing in folded(outfit, ids):
        pairs = zip(COLUMNS, _values(standing), strict=True)
        wrong = [
            f"{column.removesuffix('_id')} is {_shown(getattr(animal, column))}, should be {_shown(value)}"
            for column, value in pairs
            if getattr(animal, column) != value
        ]
        if wrong:
            yield animal, "; ".join(wrong)


def _values(standing: Standing) -> tuple[Any, ...]:
    return (standing.animal_class, standing.status, standing.since, standing.group, standing.place)


def _shown(value: Any) -> str:
    return "nothing" if value in (None, "") else str(value)
