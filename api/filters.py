"""Filters of the lists, by what a caller may ask."""

from typing import Any, ClassVar

from django_filters import rest_framework as filters

from herd.registry.models import Animal


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
