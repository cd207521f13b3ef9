"""Filters of the lists, by what a caller may ask."""

from typing import Any, ClassVar

from django.db.models import QuerySet
from django_filters import rest_framework as filters

from herd.intake.models import Finding, ProcessingDay, StagedRow
from herd.ledger.models import Changeset
from herd.registry.models import Animal, Event, Group, TagWearing


class AnimalFilter(filters.FilterSet):
    """Animals by their standing."""

    group = filters.UUIDFilter(field_name="group_id")
    location = filters.UUIDFilter(field_name="location_id")
    dam = filters.UUIDFilter(field_name="dam_id")
    sire = filters.UUIDFilter(field_name="sire_id")
    born_from = filters.DateFilter(field_name="born_on", lookup_expr="gte")
    born_to = filters.DateFilter(field_name="born_on", lookup_expr="lte")

    class Meta:
        model = Animal
        fields: ClassVar[Any] = ["status", "animal_class"]


class EventFilter(filters.FilterSet):
    """Events by kind, animal and day."""

    animal = filters.UUIDFilter(field_name="animal_id")
    happened_from = filters.DateFilter(field_name="happened_on", lookup_expr="gte")
    happened_to = filters.DateFilter(field_name="happened_on", lookup_expr="lte")

    class Meta:
        model = Event
        fields: ClassVar[Any] = ["kind", "tube"]


class WearingFilter(filters.FilterSet):
    """Wearings by number, animal, kind, and whether the tag is on now."""

    animal = filters.UUIDFilter(field_name="animal_id")
    number = filters.CharFilter(field_name="tag__number")
    is_on = filters.BooleanFilter(method="keep_on", label="Whether the tag is on now.")

    class Meta:
        model = TagWearing
        fields: ClassVar[Any] = ["kind"]

    def keep_on(self, rows: QuerySet[TagWearing], _: str, is_on: bool) -> QuerySet[TagWearing]:  # noqa: FBT001
        """Keep those that are on, or those that are off."""
        return rows.filter(ended="") if is_on else rows.exclude(ended="")


class GroupFilter(filters.FilterSet):
    """Groups by place, and whether they are closed."""

    location = filters.UUIDFilter(field_name="location_id")

    class Meta:
        model = Group
        fields: ClassVar[Any] = ["kind", "is_closed"]


class DayFilter(filters.FilterSet):
    """Processing days by state, group and day worked."""

    group = filters.UUIDFilter(field_name="group_id")
    worked_from = filters.DateFilter(field_name="worked_on", lookup_expr="gte")
    worked_to = filters.DateFilter(field_name="worked_on", lookup_expr="lte")

    class Meta:
        model = ProcessingDay
        fields: ClassVar[Any] = ["state"]


class RowFilter(filters.FilterSet):
    """Lines of field files by how they ended."""

    file = filters.UUIDFilter(field_name="file_id")
    animal = filters.UUIDFilter(field_name="animal_id")

    class Meta:
        model = StagedRow
        fields: ClassVar[Any] = ["state"]


class FindingFilter(filters.FilterSet):
    """Findings by kind, and whether they are still open."""

    class Meta:
        model = Finding
        fields: ClassVar[Any] = ["kind", "is_open"]


class ChangesetFilter(filters.FilterSet):
    """Changesets by kind and moment."""

    recorded_from = filters.IsoDateTimeFilter(field_name="recorded_at", lookup_expr="gte")
    recorded_to = filters.IsoDateTimeFilter(field_name="recorded_at", lookup_expr="lt")

    class Meta:
        model = Changeset
        fields: ClassVar[Any] = ["kind", "is_undone", "day_id"]


