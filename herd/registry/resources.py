"""The reference lists as files, written by the services of the lists and of tag stock."""

from collections.abc import Sequence
from typing import Any

from import_export.fields import Field
from import_export.instance_loaders import CachedInstanceLoader

from herd.accounts.resources import OutfitResource, Taken
from herd.accounts.sheetcolumns import Day, WholeNumber, YesNo
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.registry.models import Breed, Location, Product, TagBox
from herd.registry.services import lists, stock


class ListResource(OutfitResource):
    """A list whose rows are known by one column."""

    class Meta(OutfitResource.Meta):
        instance_loader_class = CachedInstanceLoader

    def get_queryset(self) -> Any:
        return super().get_queryset().filter(is_void=False)

    def entry(self, taken: Sequence[Taken]) -> Entry:
        """Who takes the file in."""
        return Entry(self.outfit, self.person, ChangesetKind.OFFICE, self.count(taken))

    def write(self, taken: Sequence[Taken]) -> None:
        new = [self.facts(one.instance) for one in taken if one.is_new]
        changed = {one.instance.pk: self.facts(one.instance) for one in taken if not one.is_new}
        subject = self._meta.model.SUBJECT
        lists.take_in(entry=self.entry(taken), subject=subject, new=new, changed=changed)

    def facts(self, instance: Any) -> dict[str, Any]:
        """The row's columns of this list."""
        return {field.attribute: field.get_value(instance) for field in self.get_import_fields()}


class BreedResource(ListResource):
    """Breeds by their code."""

    is_retired = Field(attribute="is_retired", column_name="retired", widget=YesNo(), default=False)

    class Meta(ListResource.Meta):
        model = Breed
        fields = ("code", "name", "is_retired")
        import_id_fields = ("code",)


class LocationResource(ListResource):
    """Locations by their name."""

    premises_number = Field(attribute="premises_number", column_name="premises number")
    is_retired = Field(attribute="is_retired", column_name="retired", widget=YesNo(), default=False)

    class Meta(ListResource.Meta):
        model = Location
        fields = ("name", "premises_number", "is_retired")
        import_id_fields = ("name",)


class ProductResource(ListResource):
    """Products by their name; withdrawal days are the label's."""

    is_vaccine = Field(attribute="is_vaccine", column_name="vaccine", widget=YesNo(), default=False)
    meat_withdrawal_days = Field(
        attribute="meat_withdrawal_days", column_name="meat withdrawal days", widget=WholeNumber()
    )
    needs_prescription = Field(
        attribute="needs_prescription", column_name="needs prescription", widget=YesNo(), default=False
    )
    is_retired = Field(attribute="is_retired", column_name="retired", widget=YesNo(), default=False)

    class Meta(ListResource.Meta):
        model = Product
        fields = (
            "name",
            "ingredient",
            "is_vaccine",
            "meat_withdrawal_days",
            "dose",
            "route",
            "needs_prescription",
            "is_retired",
        )
        import_id_fields = ("name",)


class TagBoxResource(OutfitResource):
    """Boxes of tags by kind, first and last number; what is new is received, what differs is corrected."""

    called = "tag boxes"
    also_known_by = ("colour", "year")

    received_on = Field(attribute="received_on", column_name="received on", widget=Day())
    issuer_year = Field(attribute="issuer_year", column_name="year", widget=WholeNumber(), default=0)

    class Meta(OutfitResource.Meta):
        model = TagBox
        fields = ("kind", "first", "last", "colour", "issuer_year", "received_on", "supplier")
        import_id_fields = ("kind", "first", "last")

    def get_queryset(self) -> Any:
        return super().get_queryset().filter(is_void=False)

    def get_instance(self, instance_loader: Any, row: Any) -> TagBox | None:
        """The box of the same run; one of another colour or year is another box."""
        year = str(row.get("year") or "0")
        same: TagBox | None = (
            self.get_queryset()
            .filter(kind=row["kind"], first=row["first"], last=row["last"], colour=row.get("colour", ""))
            .filter(issuer_year=int(year) if year.isascii() and year.isdigit() else -1)
            .first()
        )
        return same

    def write(self, taken: Sequence[Taken]) -> None:
        entry = Entry(self.outfit, self.person, ChangesetKind.OFFICE, self.count(taken))
        boxes = [box_of(one.instance) for one in taken if one.is_new]
        if boxes:
            stock.receive_boxes(entry=entry, boxes=boxes)
        for one in taken:
            if not one.is_new:
                stock.correct_box(entry=entry, box=one.instance, new=box_of(one.instance), reason="from a file")


def box_of(row: Any) -> stock.NewBox:
    """What a row says of a box, as the service of tag stock takes it."""
    return stock.NewBox(
        kind=row.kind,
        first=row.first,
        last=row.last,
        colour=row.colour,
        issuer_year=row.issuer_year or 0,
        received_on=row.received_on,
        supplier=row.supplier,
    )

