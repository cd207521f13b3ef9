"""The policy's values one by one: what each is called, what it may be, how it is typed and said."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from herd.values.policy import PUBLISHED, Policy
from herd.values.policyshapes import (
    START_RULES,
    YES_NO,
    Limits,
    Shape,
    plain_number,
    read_breeds,
    read_choice,
    read_dams,
    read_number,
    read_whole,
    read_window,
    write_value,
)
from herd.values.problems import Unreadable

GROWTH, BREEDING, OTHER = "Growth", "Breeding and calving", "Land and papers"


@dataclass(frozen=True, slots=True)
class PolicyValue:
    """One value of the policy as a person knows it; `hint` says how it is typed, `unit` stands behind it."""

    name: str
    label: str
    heading: str
    shape: Shape
    limits: Limits = Limits(Decimal(1), Decimal(1000))  # noqa: RUF009
    unit: str = "days"
    hint: str = ""
    words: Mapping[str, str] | None = None

    @property
    def published(self) -> Any:
        """The published value."""
        return getattr(PUBLISHED, self.name)

    @property
    def source(self) -> str:
        """Where the published value stands."""
        return PUBLISHED.source_of(self.name)


_WINDOW_HINT = "First and last day of age, both included, such as 160 to 250."
_BREED_HINT = "A breed and its number on each line, such as: Angus 281."


def _limits(least: str | int, most: str | int) -> Limits:
    return Limits(Decimal(least), Decimal(most))


def _days(name: str, label: str, heading: str, least: int, most: int, **more: Any) -> PolicyValue:
    return PolicyValue(name, label, heading, Shape.NUMBER, _limits(least, most), **more)


def _window(name: str, label: str, heading: str, least: int, most: int, hint: str = _WINDOW_HINT) -> PolicyValue:
    return PolicyValue(name, label, heading, Shape.WINDOW, _limits(least, most), hint=hint)


def _choice(name: str, label: str, heading: str, words: Mapping[str, str]) -> PolicyValue:
    return PolicyValue(name, label, heading, Shape.CHOICE, unit="", words=words)


POLICY_VALUES: dict[str, PolicyValue] = {
    one.name: one
    for one in (
        _window("weaning_window", "Age at a weaning weight that is adjusted", GROWTH, 30, 400),
        _window("yearling_window", "Age at a yearling weight that is adjusted", GROWTH, 250, 700),
        PolicyValue(
            "dam_ages", "Added for the dam’s age", GROWTH, Shape.DAMS, _limits(0, 300), "lb",
            "On each line: the dam’s years at the birth from which it counts, then pounds added to the birth weight,"
            " to the weaning weight of males, of heifers. Such as: 2, 8, 60, 54.",
        ),
        _choice("adjusts_without_dam_age", "Adjust for age alone where the dam’s age isn’t known", GROWTH, YES_NO),
        PolicyValue(
            "standard_birth_weight", "Birth weight taken where a calf wasn’t weighed", GROWTH, Shape.WEIGHT,
            _limits(30, 160), "lb", "In pounds; your breed’s standard.",
        ),
        _days("birth_window", "Contemporaries are born within", GROWTH, 1, 200),
        _days("fill_caution", "A gain is cautioned over less than", GROWTH, 1, 200),
        _window("frame_window", "Age for a frame score", GROWTH, 152, 639,
                "First and last day of age, inside 152 to 639, for which the equations were made."),
        _window("scrotal_window", "Age for an adjusted scrotal circumference", GROWTH, 250, 600),
        PolicyValue(
            "scrotal_factors", "Growth of the scrotal circumference by breed", GROWTH, Shape.BREEDS,
            _limits("0.001", "0.2"), "cm a day", "A breed and its centimetres a day on each line: Angus 0.0374.",
        ),
        _days("gestation", "Gestation", BREEDING, 240, 320),
        _days("gestation_spread", "Usual spread of gestation, either way", BREEDING, 0, 30),
        PolicyValue(
            "gestation_by_breed", "Gestation by breed", BREEDING, Shape.BREEDS, _limits(240, 320), "days",
            f"{_BREED_HINT} Leave it empty to take one length for all.",
        ),
        _window("gestation_limits", "Gestation outside is doubted", BREEDING, 200, 400,
                "Shortest and longest, both included, such as 260 to 305."),
        _window("calving_interval_limits", "Calving interval outside is doubted", BREEDING, 270, 2000,
                "Shortest and longest in days, both included, such as 300 to 730."),
        _days("shortest_calving_interval", "Two calvings can’t be closer than", BREEDING, 200, 365),
        _choice("calving_start", "Calving periods count from", BREEDING, START_RULES),
        _days("calving_start_after", "Days from the first day of breeding to day 1", BREEDING, 240, 320),
        _days("calving_period", "Length of a calving period", BREEDING, 7, 60),
        _days("calving_periods", "Periods counted apart", BREEDING, 1, 12, unit="periods"),
        PolicyValue("first_period_goal", "Goal for the first period, at least", BREEDING, Shape.WEIGHT,
                    _limits(0, 100), "% of calves"),
        _days("mature_cow_years", "A cow is mature from", BREEDING, 2, 8, unit="years"),
        _days("identification_retention_years", "Papers on identification are kept", OTHER, 5, 50, unit="years",
              hint="At least 5 years: 9 CFR 86.3. Notchbook itself deletes nothing."),
        _days("treatment_retention_years", "Records of treatments are kept", OTHER, 2, 50, unit="years",
              hint="At least 2 years: 21 CFR 530.5; your state or buyer may ask for more."),
    )
}  # fmt: skip
"""Every value that an outfit can set, in the order in which they are shown."""


def read_value(name: str, text: str) -> Any:
    """What was typed for a value, as the policy holds it; raises Unreadable with the reason.

    An empty text is a value of its own only where a table may be empty.
    """
    one = POLICY_VALUES[name]
    if one.shape is Shape.BREEDS:
        return read_breeds(text, one.limits)
    if not text.strip():
        raise Unreadable(text, "empty", "A value is needed.")
    if one.shape is Shape.CHOICE:
        return read_choice(text, one.words or {})
    readers = {Shape.NUMBER: read_whole, Shape.WEIGHT: read_number, Shape.WINDOW: read_window, Shape.DAMS: read_dams}
    return readers[one.shape](text, one.limits)


def say_value(name: str, value: Any) -> str:
    """A value in words, with its unit."""
    one = POLICY_VALUES[name]
    if value is None:
        return "none"
    if one.shape is Shape.CHOICE:
        return dict(one.words or {})[write_value(value)]
    if one.shape is Shape.DAMS:
        return "; ".join(
            f"{plain_number(Decimal(row.from_months) / 12)} years {plain_number(row.birth)}, "
            f"{plain_number(row.weaning_male)} and {plain_number(row.weaning_female)} {one.unit}"
            for row in value
        )
    if one.shape is Shape.BREEDS:
        return f"{', '.join(write_value(value).splitlines())} {one.unit}" if value else "no breed apart"
    return f"{write_value(value)} {one.unit}"


def policy_with(own: Mapping[str, Any]) -> Policy:
    """The published policy with an outfit's own values in it; raises ValueError where they don't go together."""
    return replace(PUBLISHED, **own)
