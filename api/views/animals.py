"""Animals."""

from typing import Any, ClassVar

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Changed, Listed, Shown
from api.filters import AnimalFilter
from api.once import KEY, once
from api.problems import Problem
from api.reading import tag_facts
from api.serializers.animals import AnimalChange, AnimalOut, NewAnimal
from api.states import answer_with_state
from herd.registry.models import Animal, TagWearing
from herd.registry.services import animals

WORN_NOW = Prefetch(
    "wearings",
    TagWearing.objects.filter(is_void=False, ended="").select_related("tag").order_by("kind", "is_second", "id"),
    to_attr="worn_now",
)


class Animals(Listed, Shown, Changed):
    """Animals as they stand: facts, class, status, group, place, tags worn."""

    serializer_class = AnimalOut
    input_serializer = AnimalChange
    filterset_class = AnimalFilter
    rights: ClassVar = {"partial_update": Right.CAPTURE, "create": Right.CAPTURE}

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

    @extend_schema(parameters=[KEY], request=NewAnimal, responses={201: AnimalOut, 200: AnimalOut})
    @once
    def create(self, request: Request) -> Response:
        """Register an animal with its tags and group. Sent again with the same `id` it is the same animal."""
        said = self.read(NewAnimal)
        key, tags = said.pop("id", None), said.pop("tags")
        group, on = said.pop("group"), said.pop("on")
        if key and (known := Animal.objects.filter(pk=key).first()):
            return self._again(request, known, said)
        tags = [tag_facts(tag, f"tags/{place}/number") for place, tag in enumerate(tags)]
        title = f"Registered {tags[0]['number'] if tags else 'an animal without a tag'}"
        made = animals.register(
            entry=self.caller.entry(title), facts=said, tags=tags, group_id=group, on=on, animal_id=key
        )
        return self._answer(made)

    def _again(self, request: Request, known: Animal, facts: dict[str, Any]) -> Response:
        is_same = all(getattr(known, name) == value for name, value in facts.items())
        if known.outfit_id != self.caller.outfit.pk or known.is_void or not is_same:
            raise Problem("conflict", "Another animal has that id.")
        return answer_with_state(request, self.shown(known.pk))

    def _answer(self, key: Any) -> Response:
        if self.caller.groups and not self.rows().filter(pk=key).exists():
            # A device that reads some groups may register into others, and sees no more of it than its id.
            return Response({"id": str(key)}, 201)
        return self.made(key)
