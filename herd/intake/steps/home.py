"""Where a day is decided: here, or in another installation of which this one holds a copy."""

from herd.intake.models import ProcessingDay
from herd.registry.services.refused import Refusal, Refused


def check_home(day: ProcessingDay) -> None:
    """Raise Refused for the copy of a day that is decided and applied elsewhere."""
    if day.home:
        says = f"This day is read, decided and applied at {day.home}; here it can be looked at and ruled on."
        raise Refused([Refusal(says, "day")])
