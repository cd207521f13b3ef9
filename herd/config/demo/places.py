"""The demo's places, groups, breeds, products and tag boxes."""

from datetime import date
from uuid import UUID

from herd.registry.models import Breed, Group, Location, Product, TagBox
from herd.registry.services.batch import Batch, NewPlace
from herd.values.premises import check_character

UPPER_BENCH, MILL_TRAP, HEIFER_LOT = "Upper Bench", "Mill Trap", "Heifer Lot"
BULL_PASTURE, WEANED = "Bull Pasture", "Weaned Calves"

# Invented premises numbers with the right check character.
LOCATIONS = {
    "Home place": "00KB01",
    "Bench allotment": "00KB02",
    "Mill Creek": "00KB03",
}
GROUPS = {
    UPPER_BENCH: ("herd", "Bench allotment"),
    MILL_TRAP: ("pasture", "Mill Creek"),
    HEIFER_LOT: ("lot", "Home place"),
    BULL_PASTURE: ("pasture", "Home place"),
    WEANED: ("pen", "Home place"),
}
# Codes of three breeds, from memory.
BREEDS = {"AN": "Angus", "HH": "Hereford", "AR": "Red Angus"}
# Ingredients and kinds of vaccine, no brands; the days are from memory and stand for what a label would say.
PRODUCTS = {
    "penicillin G procaine": ("penicillin G procaine", False, 10),
    "oxytetracycline": ("oxytetracycline", False, 28),
    "flunixin": ("flunixin meglumine", False, 4),
    "clostridial 7-way": ("clostridial bacterin-toxoid", True, 21),
    "respiratory 5-way": ("modified live respiratory viruses", True, 21),
    "vibrio-lepto": ("campylobacter and leptospira bacterin", True, 21),
    "brucellosis RB51": ("Brucella abortus strain RB51", True, 21),
}


def open_places(batch: Batch, received_on: date, boxes: list[tuple[str, str]]) -> dict[str, UUID]:
    """Put the reference rows into a batch and return the groups' ids by name."""
    located: dict[str, UUID] = {}
    for name, number in LOCATIONS.items():
        place = NewPlace(Location.SUBJECT, {"name": name, "premises_number": number + check_character(number)})
        located[name] = place.id
        batch.places.append(place)
    groups: dict[str, UUID] = {}
    for name, (kind, location) in GROUPS.items():
        facts = {"name": name, "kind": kind, "location_id": located[location]}
        place = NewPlace(Group.SUBJECT, facts)
        groups[name] = place.id
        batch.places.append(place)
    for code, name in BREEDS.items():
        batch.places.append(NewPlace(Breed.SUBJECT, {"code": code, "name": name}))
    for name, (ingredient, is_vaccine, days) in PRODUCTS.items():
        facts = {"ingredient": ingredient, "is_vaccine": is_vaccine, "meat_withdrawal_days": days}
        batch.places.append(NewPlace(Product.SUBJECT, {"name": name, **facts}))
    for first, last in boxes:
        facts = {"kind": "eid", "first": first, "last": last, "received_on": received_on}
        batch.places.append(NewPlace(TagBox.SUBJECT, facts))
    return groups
