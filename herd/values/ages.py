"""Ages counted in plain days, and in completed months and years."""

from datetime import date


def age_in_days(born_on: date, on: date) -> int:
    """Days from birth, the day of birth being day 0; raises ValueError for a day before birth."""
    days = (on - born_on).days
    if days < 0:
        raise ValueError(f"{on.isoformat()} lies before the birth on {born_on.isoformat()}.")
    return days


def completed_months(born_on: date, on: date) -> int:
    """Whole months lived; one born on the 31st completes a month on the 1st after a shorter one.

    Raises ValueError for a day before birth.
    """
    age_in_days(born_on, on)
    months = (on.year - born_on.year) * 12 + on.month - born_on.month
    return months - (on.day < born_on.day)


def completed_years(born_on: date, on: date) -> int:
    """Whole years lived; raises ValueError for a day before birth."""
    return completed_months(born_on, on) // 12
