"""Filters of the lists, by what a caller may ask."""

import re
from datetime import date, datetime
from typing import Any, ClassVar
from uuid import UUID

from django import forms
from django.db.models import F, QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field

from api.reading import day_of, moment_of
from herd.intake.models import Finding, ProcessingDay, StagedRow
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Event, Group, GroupMembership, TagWearing

EMPTY = "Give a value, or leave it out."
_ID = re.compile("[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")


class _Day(forms.CharField):
    def clean(self, value: Any) -> date | None:
        """Read a day; ValidationError for what is none."""
        text = super().clean(value)
        return _read(day_of, text) if text else None


class _Moment(forms.CharField):
    def clean(self, value: Any) -> datetime | None:
        """Read a moment; ValidationError for what is none."""
        text = super().clean(value)
        return _read(moment_of, text) if text else None


class _Id(forms.CharField):
    def clean(self, value: Any) -> UUID | None:
        """Read an id; ValidationError for what is none."""
        text = super().clean(value)
        return _read(_id_of, text) if text else None


def _id_of(text: str) -> UUID:
    """An id in its one spelling (RFC 9562)."""
    if not _ID.fullmatch(text):
        raise ValueError("Give an id such as 0190a5e4-7b6c-7d9e-8f10-2a3b4c5d6e7f.")
    return UUID(text)


def _read(read: Any, text: str) -> Any:
    try:
        return read(text)
    except ValueError as problem:
        raise forms.ValidationError(str(problem), code="invalid") from problem


@extend_schema_field(OpenApiTypes.DATE)
class DayOf(filters.Filter):
    """A day as YYYY-MM-DD."""

    field_class = _Day


@extend_schema_field(OpenApiTypes.DATETIME)
class MomentOf(filters.Filter):
    """A moment with its offset (RFC 3339)."""

    field_class = _Moment


@extend_schema_field(OpenApiTypes.UUID)
class IdOf(filters.Filter):
    """An id; one that the outfit has not is found nowhere."""

    field_class = _Id


@extend_schema_field(OpenApiTypes.BOOL)
class YesNo(filters.TypedChoiceFilter):
    """Yes or no, as `true` or `false`; anything else is told rather than passed over."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        choices = [("true", "true"), ("false", "false")]
        super().__init__(*args, choices=choices, coerce=lambda word: word == "true", **kwargs)


class Asked(filters.FilterSet):
    """Filters that take nothing for granted: an empty value is told, except where a text may be empty."""

    def is_valid(self) -> bool:
        """Whether all could be read."""
        form = self.form
        form.full_clean()
        for name, one in self.filters.items():
            if self.data.get(name) == "" and not isinstance(one, filters.CharFilter):
                form.add_error(name, EMPTY)
        return not form.errors


class AnimalFilter(Asked):
    """Animals by their standing."""

    group = IdOf(field_name="group_id")
    location = IdOf(field_name="location_id")
    dam = IdOf(field_name="dam_id")
    sire = IdOf(field_name="sire_id")
    born_from = DayOf(field_name="born_on", lookup_expr="gte")
    born_to = DayOf(field_name="born_on", lookup_expr="lte")

    class Meta:
        model = Animal
        fields: ClassVar[Any] = ["status", "animal_class"]


class EventFilter(Asked):
    """Events by kind, animal and day."""

    animal = IdOf(field_name="animal_id")
    happened_from = DayOf(field_name="happened_on", lookup_expr="gte")
    happened_to = DayOf(field_name="happened_on", lookup_expr="lte")

    class Meta:
        model = Event
        fields: ClassVar[Any] = ["kind", "tube"]


class WearingFilter(Asked):
    """Wearings by number, animal, kind, and whether the tag is on now."""

    animal = IdOf(field_name="animal_id")
    number = filters.CharFilter(method="keep_number", label="The tag's number.")
    is_on = YesNo(method="keep_on", label="Whether the tag is on now.")

    class Meta:
        model = TagWearing
        fields: ClassVar[Any] = ["kind"]

    def keep_number(self, rows: QuerySet[TagWearing], _: str, number: str) -> QuerySet[TagWearing]:
        """Keep those of a number, which a database finds by outfit."""
        return rows.filter(tag__outfit=F("outfit"), tag__number=number)

    def keep_on(self, rows: QuerySet[TagWearing], _: str, is_on: bool) -> QuerySet[TagWearing]:  # noqa: FBT001
        """Keep those that are on, or those that are off."""
        return rows.filter(ended="") if is_on else rows.exclude(ended="")


class GroupFilter(Asked):
    """Groups by place, and whether they are closed."""

    location = IdOf(field_name="location_id")
    is_closed = YesNo()

    class Meta:
        model = Group
        fields: ClassVar[Any] = ["kind"]


class MembershipFilter(Asked):
    """Memberships by animal and group."""

    animal = IdOf(field_name="animal_id")
    group = IdOf(field_name="group_id")

    class Meta:
        model = GroupMembership
        fields: ClassVar[Any] = []


class DayFilter(Asked):
    """Processing days by state, group and day worked."""

    group = IdOf(field_name="group_id")
    worked_from = DayOf(field_name="worked_on", lookup_expr="gte")
    worked_to = DayOf(field_name="worked_on", lookup_expr="lte")

    class Meta:
        model = ProcessingDay
        fields: ClassVar[Any] = ["state"]


class RowFilter(Asked):
    """Lines of field files by how they ended."""

    file = IdOf(field_name="file_id")
    animal = IdOf(field_name="animal_id")

    class Meta:
        model = StagedRow
        fields: ClassVar[Any] = ["state"]


class FindingFilter(Asked):
    """Findings by kind, and whether they are still open."""

    is_open = YesNo()

    class Meta:
        model = Finding
        fields: ClassVar[Any] = ["kind"]


class ChangesetFilter(Asked):
    """Changesets by kind and moment."""

    day_id = IdOf()
    is_undone = YesNo()
    recorded_from = MomentOf(field_name="recorded_at", lookup_expr="gte")
    recorded_to = MomentOf(field_name="recorded_at", lookup_expr="lt")

    class Meta:
        model = Changeset
        fields: ClassVar[Any] = ["kind"]


class ChangeFilter(Asked):
    """Changes by their changeset and by what they are about."""

    changeset = IdOf(field_name="changeset_id")
    subject_id = IdOf()
    animal_id = IdOf()

    class Meta:
        model = Change
        fields: ClassVar[Any] = ["subject_kind"]
