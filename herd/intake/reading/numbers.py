"""Lists of tag numbers typed by a reader that acts as a keyboard: many on a line, even run together."""

import re

NUMBER_LENGTH = 15
_SEPARATED = re.compile(r"[\d\s,;|\x1c-\x1f\x02\x03]+")
_PARTS = re.compile(r"\d+")


def glued_numbers(digits: str) -> list[str]:
    """The 15-digit numbers a longer run of digits is made of; empty when it is no such run.

    The length must be a multiple of 15 and every piece must begin with the same three digits, as tags of one
    country or one maker do (ISO 11784: three digits of country or manufacturer, twelve of the animal).
    """
    if len(digits) <= NUMBER_LENGTH or len(digits) % NUMBER_LENGTH or not digits.isascii() or not digits.isdigit():
        return []
    pieces = [digits[start : start + NUMBER_LENGTH] for start in range(0, len(digits), NUMBER_LENGTH)]
    return pieces if len({piece[:3] for piece in pieces}) == 1 else []


def is_number_list(lines: list[str]) -> bool:
    """True when the lines hold nothing but 15-digit numbers (or glued ones) and no table of even width."""
    if not lines or any(not _SEPARATED.fullmatch(line) for line in lines):
        return False
    counts = []
    for line in lines:
        parts = _PARTS.findall(line)
        if any(len(part) != NUMBER_LENGTH and not glued_numbers(part) for part in parts):
            return False
        if parts:
            counts.append(len(parts))
    if not counts:
        return False
    several = len(counts) > 1 and len(set(counts)) == 1 and counts[0] > 1
    return not several


def numbers_of(line: str) -> tuple[list[str], bool]:
    """The numbers of one line in order, and whether some were run together without a separator."""
    numbers: list[str] = []
    glued = False
    for part in _PARTS.findall(line):
        pieces = glued_numbers(part)
        glued = glued or bool(pieces)
        numbers += pieces or [part]
    return numbers, glued
