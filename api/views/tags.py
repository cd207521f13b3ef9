"""Tags on animals, and the look-up of an animal by any number."""

from typing import ClassVar

from django.db.models import QuerySet, prefetch_related_objects
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.access import Caller, Right
from api.bases import Listed, Shown
from api.filters import WearingFilter
from api.reading import tag_of
from api.serializers.tags import HitOut, TagOff, TagOn, WearingOut
from api.states import answer_with_state
from api.views.animals import WORN_NOW
from herd.registry.models import TagKind, TagWearing
from herd.registry.queries.find import find_animals
from herd.registry.services import tags
from herd.registry.services.batch import PutOn

LONGEST_ASKED = 80


class Wearings(Listed, Shown):
    """Which tag was on which animal, from when to when."""

    serializer_class = WearingOut
    filterset_class = WearingFilter
    rights: ClassVar = {"create": Right.CAPTURE, "end": Right.CAPTURE}

    def rows(self) -> QuerySet[TagWearing]:
        """The outfit's wearings; those of a device's groups where it may read no others."""
        worn = TagWearing.objects.of(self.caller.outfit).filter(animal__is_void=False).select_related("tag")
        return worn.filter(animal__group__in=self.caller.groups) if self.caller.groups else worn

    @extend_schema(request=TagOn, responses={201: WearingOut})
    def create(self, request: Request) -> Response:
        """Put a tag on an animal."""
        given = TagOn(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        typed = tag_of(said["kind"], said["number"])
        new = PutOn(
            said["animal"],
            said["kind"],
            typed.number,
            (said["colour"] or typed.colour) if said["kind"] == TagKind.VID else "",
            said["issuer_year"],
            said["on"],
            second_reason=said["second_reason"],
        )
        tags.put_on(entry=self.caller.entry(f"Put on {new.number}"), tag=new)
        row = TagWearing.objects.of(self.caller.outfit).get(animal=new.animal_id, tag__number=new.number, ended="")
        return answer_with_state(request, WearingOut(row).data, status=201)

    @extend_schema(request=TagOff, responses=WearingOut)
    @action(detail=True, methods=["post"])
    def end(self, request: Request, pk: str) -> Response:
        """Say how the tag came off, and in the same step which one took its place."""
        old = self.get_object()
        given = TagOff(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        if said["new_number"]:
            typed = tag_of(old.kind, said["new_number"], "new_number")
            new = PutOn(
                old.animal_id,
                old.kind,
                typed.number,
                (said["new_colour"] or typed.colour) if old.kind == TagKind.VID else "",
                said["new_issuer_year"],
                said["on"],
                began="retagged",
            )
            entry = self.caller.entry(f"Replaced {old.tag.number} by {new.number}")
            tags.replace(entry=entry, old=old, ended=said["ended"], new=new)
        else:
            entry = self.caller.entry(f"Took off {old.tag.number}")
            tags.take_off(entry=entry, wearing_id=old.pk, on=said["on"], ended=said["ended"])
        old.refresh_from_db()
        return answer_with_state(request, WearingOut(old).data)


class LookUp(APIView):
    """Which animals a number may mean: worn now, worn before, a tube, last digits, or one slip away."""

    @extend_schema(
        parameters=[OpenApiParameter("number", str, required=True, description="Any number that it wears or wore.")],
        responses=HitOut(many=True),
    )
    def get(self, request: Request) -> Response:
        """Find animals by any number; the surest comes first, and an animal comes once."""
        caller: Caller = request.auth  # type: ignore[assignment]
        number = request.query_params.get("number", "").strip()
        if not number or len(number) > LONGEST_ASKED:
            raise ValidationError({"number": [f"Ask for a number of 1 to {LONGEST_ASKED} characters."]})
        hits = find_animals(caller.outfit, number)
        if caller.groups:
            hits = [hit for hit in hits if hit.animal.group_id in caller.groups]
        prefetch_related_objects([hit.animal for hit in hits], WORN_NOW, "location")
        return Response(HitOut(hits, many=True).data)
