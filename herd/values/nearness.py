"""Numbers one slip away from another: one character wrong, two swapped, one left out or put in."""

from functools import cache

DIGITS = "0123456789"

# Pairs that are taken for each other on a dirty tag or a small screen (common practice, no source).
LOOKALIKES = {
    "0": "OD",
    "O": "0",
    "1": "IL7",
    "I": "1",
    "5": "S",
    "S": "5",
    "8": "B",
    "B": "8",
    "2": "Z",
    "Z": "2",
}


@cache
def near_numbers(number: str) -> frozenset[str]:
    """Return every number one slip away from this one; for 15 digits that is a few hundred."""
    found: set[str] = set()
    for place, character in enumerate(number):
        before, after = number[:place], number[place + 1 :]
        swaps = DIGITS if character.isdigit() else ""
        found.update(before + other + after for other in swaps + LOOKALIKES.get(character, ""))
        if after and after[0] != character:
            found.add(before + after[0] + character + after[1:])
        if len(number) < 15 and len(number) > 2:
            found.add(before + after)
    if 2 <= len(number) < 8 and number.isdigit():
        for place in range(len(number) + 1):
            found.update(number[:place] + digit + number[place:] for digit in DIGITS)
    found.discard(number)
    return frozenset(found)


def is_near(one: str, other: str) -> bool:
    """Whether two numbers are one slip apart: one character wrong, missing or added, or two neighbours swapped."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    if len(one) == len(other):
        differing = [place for place, pair in enumerate(zip(one, other, strict=True)) if pair[0] != pair[1]]
        if len(differing) == 1:
            return True
        return (
            len(differing) == 2
            and differing[1] == differing[0] + 1
            and one[differing[0]] == other[differing[1]]
            and one[differing[1]] == other[differing[0]]
        )
    short, long = sorted((one, other), key=len)
    return any(long[:place] + long[place + 1 :] == short for place in range(len(long)))
