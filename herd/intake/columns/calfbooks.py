"""Files that name cows and calves in one row: whose the facts beside them are, the cow's or the calf's."""

from collections.abc import Sequence

from herd.intake.columns.headings import Heading, words_of

_COW_WORD_LIST = "cow cows vaca vache kuh dam mother madre mere mutter mae matriz mama muttertier"
_CALF_WORD_LIST = "calf calves kalb veau ternero ternera becerro becerra bezerro bezerra terneiro cria"
_COW_WORDS, _CALF_WORDS = frozenset(_COW_WORD_LIST.split()), frozenset(_CALF_WORD_LIST.split())
_BIRTH_PURPOSES = frozenset({"birth", "weaning"})
_NUMBERS = ("eid", "vid", "metal")
_NAMED = 0.9


def names_cow(heading: Heading) -> bool:
    """Whether a heading has a word for a cow or dam."""
    return not _COW_WORDS.isdisjoint(words_of(heading.text))


def names_calf(heading: Heading) -> bool:
    """Whether a heading has a word for a calf."""
    return not _CALF_WORDS.isdisjoint(words_of(heading.text))


def is_of_births(heading: Heading) -> bool:
    """Whether a heading tells what is written of calves: birth, sex or class, birth or weaning weight."""
    kinds = heading.kinds
    if kinds.get("weight", 0) >= _NAMED and heading.purpose in _BIRTH_PURPOSES:
        return True
    if names_cow(heading):
        return False
    return max(kinds.get("born", 0), kinds.get("animal_class", 0)) >= (0.7 if names_calf(heading) else _NAMED)


def has_calf_numbers(headings: Sequence[Heading]) -> bool:
    """Whether a column holds the numbers of calves."""
    return any(heading.kinds.get("calf", 0) >= _NAMED for heading in headings)


def is_calf_book(headings: Sequence[Heading]) -> bool:
    """Whether each row is about a calf, beside the number of its cow.

    So when calves have a column of numbers, no number stands there that could be another's than the cow's,
    and the rest tells of births.
    """
    if not has_calf_numbers(headings):
        return False
    numbers = [one for one in headings if _is_number(one)]
    if not all(names_cow(one) or names_calf(one) or one.number == "count" for one in numbers):
        return False
    return any(is_of_births(one) or _is_fact_of_calf(one) for one in headings)


def _is_number(heading: Heading) -> bool:
    return bool(heading.number) or any(heading.kinds.get(kind, 0) >= _NAMED for kind in _NUMBERS)


def _is_fact_of_calf(heading: Heading) -> bool:
    """A fact with the word calf beside it, such as "calf weight"."""
    facts = set(heading.kinds) - {"calf", "eid", "vid", "metal", "row_number"}
    return names_calf(heading) and heading.kinds.get("calf", 0) < _NAMED and bool(facts)
