"""Animals."""

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_view

from api.access import Right
from api.bases import IF_MATCH, Changed, Listed, Shown
from api.filters import AnimalFilter
from api.serializers.animals import AnimalChange, AnimalOut
from herd.registry.models import Animal, TagWearing
from herd.registry.services import animals

WORN_NOW = Prefetch(
    "wearings",
    TagWearing.objects.filter(is_void=False, ended="").select_related("tag").order_by("kind", "is_second", "id"),
    to_attr="worn_now",
)


@extend_schema_view(
    partial_update=extend_schema(parameters=[IF_MATCH], request=AnimalChange, responses=AnimalOut),
)
class Animals(Listed, Shown, Changed):
    """Animals as they stand: facts, class, status, group, place, tags worn."""

    serializer_class = AnimalOut
    input_serializer = AnimalChange
    filterset_class = AnimalFilter
    rights: ClassVar = {"partial_update": Right.CAPTURE}

    def rows(self) -> QuerySet[Animal]:
        """The outfit's animals; those of a device's groups where it may read no others."""
        animals_ = Animal.objects.of(self.caller.outfit).select_related("group", "location")
        if self.caller.groups:
            animals_ = animals_.filter(group__in=self.caller.groups)
        return animals_.prefetch_related(WORN_NOW)

    def change(self, row: Any, values: dict[str, Any]) -> None:
        """Correct facts, with the reason."""
        reason = values.pop("reason", "")
        animals.correct(entry=self.caller.entry("Corrected facts"), animal=row, facts=values, reason=reason)
