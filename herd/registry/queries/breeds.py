"""Breeds as an outfit writes them: what its codes stand for."""

from collections.abc import Callable

from herd.accounts.models import Outfit
from herd.registry.models import Breed


def breed_namer(outfit: Outfit) -> Callable[[str], str]:
    """What turns a breed as it stands on an animal, a code in any case, into its name; others stay as written."""
    names = {code.casefold(): name for code, name in Breed.objects.of(outfit).values_list("code", "name")}
    return lambda breed: names.get(breed.strip().casefold(), breed)
