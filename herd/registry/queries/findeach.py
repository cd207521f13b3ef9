"""Finds the animals that many numbers mean, all together: each number ends with one animal or with a reason."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import TagWearing
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.problems import Unreadable
from herd.values.visual import read_visual


@dataclass(frozen=True, slots=True)
class Found:
    """One number as it was written, with the animal it means, or why it means none."""

    text: str
    animal_id: UUID | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class _Asked:
    """A number in the record's spellings, with the colour that stood beside it."""

    spellings: tuple[str, ...]
    colour: str = ""


@dataclass(frozen=True, slots=True)
class _Worn:
    """A tag on an animal, now or before."""

    animal_id: UUID
    colour: str
    is_open: bool


def find_each(outfit: Outfit, texts: Sequence[str]) -> list[Found]:
    """Say for each number which animal wears it, or else wore it, in the order given; near misses are no answer.

    Two queries at the most for eight hundred numbers. A number that several animals answer to names none.
    """
    asked = {text: _ask(text) for text in dict.fromkeys(texts)}
    spellings = [word for one in asked.values() if isinstance(one, _Asked) for word in one.spellings]
    worn = _worn(outfit, spellings)
    return [_answer(text, asked[text], worn) for text in texts]


def _ask(text: str) -> _Asked | str:
    """The number in a line, or why it can't be read."""
    try:
        if might_be_electronic(text):
            return _Asked((read_electronic(text).number.digits,))
        visual = read_visual(text)
    except Unreadable as problem:
        return problem.reason
    whole = " ".join(text.upper().split())[:30]
    bare = whole.replace(" ", "").replace("-", "")
    return _Asked(tuple(dict.fromkeys((visual.number, whole, bare))), visual.colour)


def _worn(outfit: Outfit, spellings: Iterable[str]) -> dict[str, list[_Worn]]:
    worn: dict[str, list[_Worn]] = defaultdict(list)
    for numbers in in_steps(dict.fromkeys(spellings)):
        rows = TagWearing.objects.of(outfit).filter(tag__number__in=numbers, animal__is_void=False)
        for number, colour, animal_id, ended in rows.values_list("tag__number", "tag__colour", "animal_id", "ended"):
            worn[number].append(_Worn(animal_id, colour, not ended))
    return worn


def _answer(text: str, asked: _Asked | str, worn: dict[str, list[_Worn]]) -> Found:
    if isinstance(asked, str):
        return Found(text, reason=asked)
    hits = next((worn[word] for word in asked.spellings if word in worn), [])
    if asked.colour:
        hits = [one for one in hits if one.colour in (asked.colour, "")]
    for is_open in (True, False):
        animals = {one.animal_id for one in hits if one.is_open is is_open}
        if len(animals) == 1:
            return Found(text, animals.pop())
        if animals:
            return Found(text, reason=f"{len(animals)} animals answer to it; add the tag's colour or give the EID.")
    return Found(text, reason="No animal of this outfit wears or wore it.")
