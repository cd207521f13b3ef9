"""Admin pages of the reference lists, written by services; and of the herd record, to look at only."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django.contrib import admin

from herd.accounts.admin import FileExchange
from herd.accounts.adminscope import OutfitAdmin, PastLine, ServiceAdmin
from herd.ledger.admin import past_of
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.registry.models import (
    Animal,
    Breed,
    Event,
    Group,
    GroupMembership,
    HeadCheck,
    HerdList,
    Location,
    MissingTag,
    PolicyValue,
    Product,
    Tag,
    TagBox,
    TagWearing,
)
from herd.registry.resources import BreedResource, LocationResource, ProductResource, TagBoxResource, box_of
from herd.registry.services import lists, stock
from herd.registry.services.refused import Refused

STANDS: Mapping[str, Any] = {"is_void": False}


class RecordAdmin(OutfitAdmin):
    """A table of the record; rows that were taken out are passed over."""

    standing = STANDS
    exclude = ("outfit", "is_void")

    def history_of(self, obj: Any) -> list[PastLine]:
        return past_of(obj.pk, obj.outfit.zone)


class ListAdmin(FileExchange, ServiceAdmin):
    """A reference list: rows that office and owner add, correct and take out."""

    standing = STANDS
    refuses = (Refused,)

    def history_of(self, obj: Any) -> list[PastLine]:
        return past_of(obj.pk, obj.outfit.zone)

    def entry(self, request: Any, title: str) -> Entry:
        """Who writes, and what for."""
        return Entry(request.outfit, request.user, ChangesetKind.OFFICE, f"{title} {self.opts.verbose_name}")

    def add(self, request: Any, facts: Mapping[str, Any]) -> Any:
        return lists.add(entry=self.entry(request, "New"), subject=self.model.SUBJECT, facts=facts)

    def change(self, request: Any, obj: Any, facts: Mapping[str, Any]) -> None:
        entry = self.entry(request, "Corrected")
        lists.correct(entry=entry, subject=self.model.SUBJECT, row_id=obj.pk, facts=facts)

    def take_out(self, request: Any, obj: Any) -> None:
        lists.take_out(entry=self.entry(request, "Taken out:"), subject=self.model.SUBJECT, row_id=obj.pk)


@admin.register(Breed)
class BreedAdmin(ListAdmin):
    """Breeds as the outfit writes them."""

    resource_classes: ClassVar = [BreedResource]
    fields = ("code", "name", "is_retired")
    list_display = ("code", "name", "is_retired")
    list_filter = ("is_retired",)
    search_fields = ("code", "name")


@admin.register(Location)
class LocationAdmin(ListAdmin):
    """Places, with their premises numbers."""

    resource_classes: ClassVar = [LocationResource]
    fields = ("name", "premises_number", "is_retired")
    list_display = ("name", "premises_number", "is_retired")
    list_filter = ("is_retired",)
    search_fields = ("name", "premises_number")


@admin.register(Product)
class ProductAdmin(ListAdmin):
    """Drugs and vaccines; withdrawal days are the label's, and label and veterinarian decide."""

    resource_classes: ClassVar = [ProductResource]
    fields = ProductResource.Meta.fields
    list_display = ("name", "ingredient", "is_vaccine", "meat_withdrawal_days", "needs_prescription", "is_retired")
    list_filter = ("is_vaccine", "needs_prescription", "is_retired")
    search_fields = ("name", "ingredient")


@admin.register(TagBox)
class TagBoxAdmin(ListAdmin):
    """Boxes of tags: received and corrected by the service of tag stock."""

    resource_classes: ClassVar = [TagBoxResource]
    fields = TagBoxResource.Meta.fields
    list_display = ("first", "last", "kind", "colour", "received_on", "supplier")
    list_filter = ("kind",)
    search_fields = ("first", "last", "supplier")

    def add(self, request: Any, facts: Mapping[str, Any]) -> Any:
        box = box_of(TagBox(**facts))
        return stock.receive_boxes(entry=self.entry(request, "Received"), boxes=[box])[0]

    def change(self, request: Any, obj: TagBox, facts: Mapping[str, Any]) -> None:
        stock.correct_box(entry=self.entry(request, "Corrected"), box=obj, new=box_of(obj), reason="")


@admin.register(Animal)
class AnimalAdmin(RecordAdmin):
    """One head."""

    list_display = ("id", "animal_class", "status", "status_since", "born_on", "breed", "group", "location")
    list_filter = ("status", "animal_class")
    list_select_related = ("group", "location")
    search_fields = ("wearings__tag__number__startswith", "=id")


@admin.register(Tag)
class TagAdmin(RecordAdmin):
    """A number fixed to an animal, now or before."""

    list_display = ("number", "kind", "colour", "issuer_year")
    list_filter = ("kind",)
    search_fields = ("number__startswith",)


@admin.register(TagWearing)
class TagWearingAdmin(RecordAdmin):
    """One tag on one animal from a day to a day."""

    list_display = ("tag", "animal", "kind", "worn_from", "began", "worn_to", "ended")
    list_filter = ("kind", "ended")
    list_select_related = ("tag", "animal")
    search_fields = ("tag__number__startswith",)


@admin.register(Event)
class EventAdmin(RecordAdmin):
    """Something that happened to an animal."""

    list_display = ("happened_on", "kind", "animal", "tube")
    list_filter = ("kind",)
    list_select_related = ("animal",)
    search_fields = ("=tube", "=animal__id")


@admin.register(Group)
class GroupAdmin(RecordAdmin):
    """Animals run together."""

    list_display = ("name", "kind", "location", "is_closed")
    list_filter = ("kind", "is_closed")
    list_select_related = ("location",)
    search_fields = ("name",)


@admin.register(GroupMembership)
class GroupMembershipAdmin(RecordAdmin):
    """One animal in one group from a day to a day."""

    list_display = ("animal", "group", "joined_on", "left_on")
    list_select_related = ("animal", "group")
    search_fields = ("group__name", "=animal__id")


@admin.register(MissingTag)
class MissingTagAdmin(RecordAdmin):
    """Numbers of a box that are not to be had."""

    list_display = ("number", "box", "reason")
    list_select_related = ("box",)
    search_fields = ("number",)


@admin.register(HerdList)
class HerdListAdmin(RecordAdmin):
    """Questions about the herd kept under a name."""

    list_display = ("name", "question")
    search_fields = ("name",)


@admin.register(PolicyValue)
class PolicyValueAdmin(RecordAdmin):
    """Values of herd arithmetic that the outfit has set for itself."""

    list_display = ("key", "in_force_from", "text", "is_published")
    list_filter = ("key",)


@admin.register(HeadCheck)
class HeadCheckAdmin(RecordAdmin):
    """Counts made in the field."""

    list_display = ("counted_on", "group", "counted", "expected", "note")
    list_select_related = ("group",)
    search_fields = ("group__name", "note")
