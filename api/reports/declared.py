"""What a report is: its name, its question, what it asks, what it answers, and how it is made."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, TypeVar

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework import serializers

from api.access import Caller
from api.problems import unfit
from api.reading import plausible_day
from api.reports.shapes import Rows
from api.serializers.fields import DayField, Strict
from herd.accounts.models import Outfit
from herd.registry.models import Group
from herd.reports.ownvalues import OwnValue, own_values
from herd.values.policyhistory import PolicyHistory

MOST_ROWS = 1_000
A_YEAR = timedelta(days=365)

Row = TypeVar("Row")


@dataclass(frozen=True, slots=True)
class Asked:
    """A report as it is asked for: by whom, on which day at the ranch, with what."""

    caller: Caller
    said: dict[str, Any]
    policies: PolicyHistory

    @property
    def outfit(self) -> Outfit:
        """The outfit."""
        return self.caller.outfit

    @property
    def today(self) -> date:
        """Today at the ranch."""
        return timezone.localdate(timezone=self.outfit.zone)

    def own(self, names: Iterable[str]) -> list[OwnValue]:
        """Which of these values were the outfit's own in what was reckoned so far."""
        return own_values(self.policies.used(), names)

    def day(self, name: str, otherwise: date | None = None) -> date:
        """The day asked for, which has come already; a Problem where it can't be."""
        day: date = self.said.get(name) or otherwise or self.today
        if plausible_day(day, name) > self.today:
            raise unfit(name, "That day lies in the future.")
        return day

    def days(self, span: timedelta = A_YEAR) -> tuple[date, date]:
        """The two days asked for, both included; the last `span` up to today where none are."""
        last = self.day("until")
        first = self.day("since", last - span)
        if last < first:
            raise unfit("until", "The last day comes before the first one.")
        return first, last

    def group(self, name: str) -> Group | None:
        """The group asked for; a Problem where the outfit has no such group."""
        key = self.said.get(name)
        if key is None:
            return None
        group = Group.objects.of(self.outfit).filter(pk=key).first()
        if group is None:
            raise unfit(name, "That group is not in this outfit's record.")
        return group

    def some(self, rows: Sequence[Row] | QuerySet[Any, Row]) -> tuple[Rows, list[Row]]:
        """The rows asked for of a long list, and which they are. Of a query only these are fetched."""
        total = rows.count() if isinstance(rows, QuerySet) else len(rows)
        first = self.said["from_row"]
        shown = list(rows[first : first + self.said["rows"]])
        return Rows(first, len(shown), total), shown


class Question(Strict):
    """What every report may be asked: where in a long list to begin, and how many rows of it to tell."""

    is_text = True

    from_row = serializers.IntegerField(default=0, min_value=0, max_value=10_000_000)
    rows = serializers.IntegerField(default=MOST_ROWS, min_value=1, max_value=MOST_ROWS)


class Period(Question):
    """Two days, both included; a year up to today where they are left out."""

    since = DayField(required=False)
    until = DayField(required=False)


@dataclass(frozen=True, slots=True)
class Report:
    """One report. `answer` is the type of what `make` returns, from which the OpenAPI document is written."""

    name: str
    question: str
    asks: type[Question]
    answer: type
    make: Callable[[Asked], Any]
    about: str = ""
