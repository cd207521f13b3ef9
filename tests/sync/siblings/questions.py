"""Review: field files worked at any place, questions ruled on wherever they are seen, days applied at home."""

from contextlib import suppress

from hypothesis import strategies as st
from hypothesis.stateful import initialize, rule

from herd.intake import review
from herd.intake.models import DayState, Finding, ProcessingDay
from herd.intake.pipeline import apply_day
from herd.registry.services.refused import Refused
from tests.intake.field import csv_file, work
from tests.sync.siblings.walk import PLACES, Walk
from tests.sync.siblings.world import DAY, eid_of

STRANGER = eid_of(777)


class Questions(Walk):
    """Days and rulings."""

    @initialize(at=PLACES)
    def begins_with_a_question(self, at: int) -> None:
        """A day waits for review at one of the places."""
        self.works_a_day(at, 0)

    @rule(at=PLACES, animal=st.integers(0, 3))
    def works_a_day(self, at: int, animal: int) -> None:
        """A scale's file with a tag that nobody knows in it."""
        place = self.world.places[at]
        lines = ["EID,Weight", f"{eid_of(100 + animal)},{self.weight()}", f"{STRANGER},580"]
        with place.at.here():
            work(place.at.outfit, [csv_file("scale.csv", lines)], of=None, day=DAY)

    @rule(at=PLACES, which=st.integers(0, 2), choice=st.integers(0, 4), keep=st.booleans())
    def rules_on(self, at: int, which: int, choice: int, keep: bool) -> None:
        """Answer one of the questions that this place shows, or the next place that shows any."""
        for turned in (at, (at + 1) % 3, (at + 2) % 3):
            with self.world.places[turned].at.here():
                # Those come first that are decided elsewhere.
                asked = list(Finding.objects.filter(is_open=True).select_related("day").order_by("-day__home", "key"))
                if asked:
                    self.answer(turned, asked[which % len(asked)], choice, keep=keep)
                    return

    def answer(self, at: int, finding: Finding, choice: int, *, keep: bool) -> None:
        """Answer with one of its choices; the answer of a device's question goes to the office, like the question.

        What is kept as a rule for the future is one for every place.
        """
        choices = [one["choice"] for one in finding.choices if one["choice"] != "type"]
        if not choices:
            return
        with suppress(Refused):
            review.rule(day=finding.day, finding=finding, choice=choices[choice % len(choices)], keep=keep)
            homes = {place.at.name: number for number, place in enumerate(self.world.places)}
            home = 0 if finding.day.device_id else homes.get(finding.day.home, 0) if finding.day.home else at
            self.done.note(at, "ruling", finding.day_id, finding.key, home=home)

    @rule(at=PLACES, which=st.integers(0, 3))
    def applies(self, at: int, which: int) -> None:
        place = self.world.places[at]
        with place.at.here():
            days = list(ProcessingDay.objects.filter(state=DayState.REVIEW, home="").order_by("made_at"))
            if days:
                with suppress(Refused):
                    apply_day(days[which % len(days)], None)
