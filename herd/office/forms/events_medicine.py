"""The form of a treatment or vaccination: product, dose, course, whose order, withdrawal."""

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any, ClassVar
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.events import EventForm
from herd.registry.models import Product
from herd.registry.services.medicine_checks import products_by_name
from herd.values.withdrawal import EXTRA_LABEL, label_faults

# Sites and limits: Univ. of Idaho Extension BUL 923 (neck, ahead of the shoulder; 10 cc a site from memory).
HINTS = {
    "product": "From your list, or any other by its full name.",
    "lot": "As printed on the bottle.",
    "expiry": "As printed on the bottle, such as 06/2027.",
    "body_weight": "With its unit, as weighed or judged for the dose. Empty: the log names the nearest weighing.",
    "dose": "With its unit, such as 20 mL. No more than 10 mL in one site, unless the label says otherwise.",
    "route": "As the label says: under the skin, in the muscle, by mouth.",
    "site": "The neck, ahead of the shoulder, unless the label says otherwise.",
    "place": "Pen, pasture or chute.",
    "last_on": "Only for a course of several days. The withdrawal counts from the last dose.",
    "use": "Extra-label is any dose, route, length, animal or illness that the label does not name.",
    "veterinarian": "Needed for a prescription, for extra-label use, and for fewer days than the label's.",
    "withdrawal_days": "Leave empty to take the label's days from your product list. More is always allowed.",
}
USES = [("", "not said"), ("label", "by the label"), (EXTRA_LABEL, "extra-label: other than the label says")]
ROUTES = ("under the skin", "in the muscle", "in the vein", "by mouth", "on the skin", "in the nose")


class MedicineForm(EventForm):
    """A treatment or vaccination, with what the record has to show of it."""

    GROUPS: ClassVar = (
        ("What was given", ("product", "lot", "expiry", "body_weight", "dose", "route", "site")),
        ("When and where", ("happened_on", "time", "last_on", "given_by", "place")),
        ("Why, and by whose order", ("condition", "use", "veterinarian", "prescription")),
        ("Meat withdrawal", ("withdrawal_days", "note")),
    )

    def prepare(self) -> None:
        """Add the hour, the hints, and the list to pick from."""
        self.fields["time"] = forms.TimeField(
            label="Time of day",
            required=False,
            widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            help_text="Of the last dose. With it the withdrawal ends at that hour; without it the whole day counts.",
            error_messages={"invalid": "Give the time as hours:minutes, such as 15:30."},
        )
        for name, hint in HINTS.items():
            self.fields[name].help_text = hint
        self.fields["use"].choices = USES  # type: ignore[attr-defined]
        self.fields["product"].widget.attrs["list"] = "products"
        self.fields["route"].widget.attrs["list"] = "routes"
        self.products = products_by_name(self.outfit)
        self.routes = ROUTES

    @property
    def offered(self) -> list[Product]:
        """The products in use that the kind is about."""
        is_vaccine = self.kind.key == "vaccination"
        return [one for one in self.products.values() if one.is_vaccine is is_vaccine and not one.is_retired]

    def finish(self, cleaned: dict[str, Any]) -> None:
        """Take the label's days where none were typed, place the hour, and ask what the label asks."""
        data = self.data_read
        listed = self.products.get(str(data.get("product", "")).casefold())
        if listed is not None:
            data["product"] = listed.name
            is_by_label = data.get("use") != EXTRA_LABEL and listed.meat_withdrawal_days is not None
            if is_by_label and "withdrawal_days" not in data:
                data["withdrawal_days"] = listed.meat_withdrawal_days
        self._place_hour(cleaned)
        label_days = listed.meat_withdrawal_days if listed else None
        needs = bool(listed and listed.needs_prescription)
        for name, sentence in label_faults(data, label_days, needs_prescription=needs):
            self.add_error(name, sentence)

    def _place_hour(self, cleaned: dict[str, Any]) -> None:
        first, last, hour = cleaned.get("happened_on"), cleaned.get("last_on"), cleaned.get("time")
        if last == first:
            self.data_read.pop("last_on", None)
            last = None
        if first and hour and last:
            self.data_read["last_at"] = _moment(last, hour, self.outfit).isoformat()
        elif first and hour:
            self.happened_at = _moment(first, hour, self.outfit)


def _moment(day: date, hour: time, outfit: Outfit) -> datetime:
    return datetime.combine(day, hour, outfit.zone)


def prefilled(product: Product) -> Mapping[str, Any]:
    """What a product of the list fills in before anything is typed."""
    return {"product": product.name, "dose": product.dose, "route": product.route}


def picked_product(outfit: Outfit, product_id: UUID | None) -> Mapping[str, Any]:
    """What the product of the list with this id fills in; nothing for another outfit's or none."""
    found = Product.objects.of(outfit).filter(pk=product_id, is_retired=False).first() if product_id else None
    return prefilled(found) if found else {}
