"""Scrotal circumference of young bulls, adjusted to 365 days."""

from herd.values.figures import Amount, Figure, Part, positive
from herd.values.policy import PUBLISHED, Policy, value_for

_TO_DAYS = 365


def adjusted_scrotal_circumference(
    centimetres: Amount, age_days: int, breed: str, *, policy: Policy = PUBLISHED
) -> Figure:
    """Scrotal circumference at 365 days, in centimetres, by the breed's growth a day.

    Source: Beef Improvement Federation guidelines, "Scrotal Circumference"; factors as the policy names them.
    Raises ValueError outside the age window, for a breed without a factor and for a measure not above zero.
    """
    measured = positive(centimetres, "The circumference")
    if age_days not in policy.scrotal_window:
        first, last = policy.scrotal_window.first, policy.scrotal_window.last
        raise ValueError(f"Circumferences are adjusted from {first} to {last} days of age, not at {age_days}.")
    factor = value_for(policy.scrotal_factors, breed)
    if factor is None:
        raise ValueError("There is no factor for this breed, so the circumference can't be adjusted.")
    growth = positive(factor, "The factor")
    return Figure(
        measured + (_TO_DAYS - age_days) * growth,
        "cm",
        "circumference + (365 - age) x factor of the breed",
        (
            Part("circumference", measured, "cm"),
            Part("age", age_days, "days"),
            Part("factor of the breed", growth, "cm a day"),
        ),
        policy.source_of("scrotal_factors"),
    )
