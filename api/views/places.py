"""Locations and products: lists that the office keeps and devices carry along."""

from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.bases import Changed, Listed, Shown
from api.once import KEY, once
from api.serializers.places import LocationChange, LocationIn, LocationOut, ProductChange, ProductIn, ProductOut
from herd.registry.models import Location, Product
from herd.registry.services import groups, lists


class Locations(Listed, Shown, Changed):
    """Places where animals are kept."""

    serializer_class = LocationOut
    input_serializer = LocationChange

    def rows(self) -> QuerySet[Location]:
        """The outfit's locations."""
        return Location.objects.of(self.caller.outfit)

    @extend_schema(parameters=[KEY], request=LocationIn, responses={201: LocationOut})
    @once
    def create(self, request: Request) -> Response:
        """Add a location."""
        said = self.read(LocationIn)
        return self.made(groups.open_location(entry=self.caller.entry(f"New location {said['name']}"), **said))

    def change(self, row: Any, values: dict[str, Any]) -> None:
        """Put it right, or take it out of use while no group lies there."""
        reason, is_retired = values.pop("reason", ""), values.pop("is_retired", None)
        entry = self.caller.entry(f"Changed the location {row.name}")
        with transaction.atomic():
            if values:
                lists.correct(entry=entry, subject=Location.SUBJECT, row_id=row.pk, facts=values, reason=reason)
            if is_retired is not None and is_retired != row.is_retired:
                groups.retire_location(entry=entry, location=row, is_retired=is_retired)


class Products(Listed, Shown, Changed):
    """Drugs and vaccines that the outfit uses; the label and the veterinarian decide."""

    serializer_class = ProductOut
    input_serializer = ProductChange

    def rows(self) -> QuerySet[Product]:
        """The outfit's products."""
        return Product.objects.of(self.caller.outfit)

    @extend_schema(parameters=[KEY], request=ProductIn, responses={201: ProductOut})
    @once
    def create(self, request: Request) -> Response:
        """Add a product, with what its label says."""
        said = self.read(ProductIn)
        entry = self.caller.entry(f"New product {said['name']}")
        return self.made(lists.add(entry=entry, subject=Product.SUBJECT, facts=said))

    def change(self, row: Any, values: dict[str, Any]) -> None:
        """Put it right, or take it out of use."""
        reason = values.pop("reason", "")
        entry = self.caller.entry(f"Changed the product {row.name}")
        lists.correct(entry=entry, subject=Product.SUBJECT, row_id=row.pk, facts=values, reason=reason)
