"""Tags on animals, and the look-up of an animal by any number."""

from typing import ClassVar

from django.db.models import QuerySet, prefetch_related_objects
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.access import Right
from api.bases import Called, Listed, Shown
from api.filters import WearingFilter
from api.once import KEY, once
from api.reading import tag_facts
from api.serializers.tags import HitOut, NumberAsked, TagOff, TagOn, WearingOut
from api.states import answer_with_state
from api.views.animals import WORN_NOW
from herd.registry.models import TagWearing
from herd.registry.queries.find import find_animals
from herd.registry.services import tags
from herd.registry.services.batch import PutOn


class Wearings(Listed, Shown):
    """Which tag was on which animal, from when to when."""

    serializer_class = WearingOut
    filterset_class = WearingFilter
    rights: ClassVar = {"create": Right.CAPTURE, "end": Right.CAPTURE}

    def rows(self) -> QuerySet[TagWearing]:
        """The outfit's wearings; those of a device's groups where it may read no others."""
        worn = TagWearing.objects.of(self.caller.outfit).filter(animal__is_void=False).select_related("tag")
        return worn.filter(animal__group__in=self.caller.groups) if self.caller.groups else worn

    @extend_schema(parameters=[KEY], request=TagOn, responses={201: WearingOut})
    @once
    def create(self, request: Request) -> Response:
        """Put a tag on an animal."""
        said = self.read(TagOn)
        new = PutOn(said["animal"], **tag_facts(said), worn_from=said["on"])
        tags.put_on(entry=self.caller.entry(f"Put on {new.number}"), tag=new)
        open_now = TagWearing.objects.of(self.caller.outfit).filter(animal=new.animal_id, kind=new.kind, ended="")
        row = open_now.filter(tag__number=new.number).select_related("tag").latest("pk")
        answer = answer_with_state(request, WearingOut(row).data, status=201)
        answer["Location"] = f"{request.path}{row.pk}/"
        return answer

    @extend_schema(parameters=[KEY], request=TagOff, responses=WearingOut)
    @action(detail=True, methods=["post"])
    @once
    def end(self, request: Request, pk: str) -> Response:
        """Say how the tag came off, and in the same step which one took its place."""
        old, said = self.get_object(), self.read(TagOff)
        more = {"reason": said["reason"], "removed_at": said["removed_at"]}
        if said["new_number"]:
            new = {
                "kind": old.kind,
                **{name: said[f"new_{name}"] for name in ("number", "colour", "issuer_year")},
            }
            put_on = PutOn(
                old.animal_id, **tag_facts(new, "new_number"), worn_from=said["on"], began="retagged"
            )
            entry = self.caller.entry(f"Replaced {old.tag.number} by {put_on.number}")
            tags.replace(entry=entry, old=old, ended=said["ended"], new=put_on, **more)
        else:
            entry = self.caller.entry(f"Took off {old.tag.number}")
            tags.take_off(entry=entry, wearing_id=old.pk, on=said["on"], ended=said["ended"], **more)
        old.refresh_from_db()
        return answer_with_state(request, WearingOut(old).data)


class LookUp(Called):
    """Which animals a number may mean: worn now, worn before, a tube, last digits, or one slip away."""

    @extend_schema(parameters=[NumberAsked], responses=HitOut(many=True))
    def get(self, request: Request) -> Response:
        """Find animals by any number; the surest comes first, and an animal comes once."""
        caller = self.caller
        hits = find_animals(caller.outfit, self.read_address(NumberAsked)["number"])
        if caller.groups:
            hits = [hit for hit in hits if hit.animal.group_id in caller.groups]
        prefetch_related_objects([hit.animal for hit in hits], WORN_NOW, "location")
        return Response(HitOut(hits, many=True).data)
