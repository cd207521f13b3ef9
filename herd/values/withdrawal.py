"""Meat withdrawal: the first day on which an animal is free of what it was given."""

from datetime import date, timedelta


def free_from(last_given_on: date, days: int) -> date:
    """The first day on which the animal is free, for a withdrawal of `days` of 24 hours each.

    The hours count from the last time it was given (FDA Compliance Policy Guide 615.200: withdrawal follows
    the last treatment; the full 24 hours from memory). Where only the date is known the last minute of that
    day has to be taken, so the animal is free from the day after date + days. None at all (0 days) frees it
    at once. Raises ValueError for less than nothing. This is arithmetic on what was entered, not advice: the
    label and the veterinarian say how many days there are.
    """
    if days < 0:
        raise ValueError("A withdrawal can't be less than no days.")
    return last_given_on + timedelta(days=days + 1) if days else last_given_on
