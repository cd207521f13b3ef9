"""Fills an empty installation with an outfit that has a little of everything, for calls from outside."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.utils import timezone

from herd.accounts.models import Outfit, Role
from herd.registry.services import events, groups, lists
from herd.registry.services.batch import NewEvent
from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.cast import eid_tag, entry, join_outfit, register, vid_tag
from tests.intake.field import csv_file, work

FIRST = 840270000000100
NANOGRAMS_A_POUND = 453_592_370_000


def seed() -> dict[str, Any]:
    """Make two outfits with a program of the office each, and another installation of the first one's.

    Returns the tokens of all three, and the ids of the first outfit's things.
    """
    bench, rim = (Outfit.objects.create(code=code, name=code) for code in ("kettle-bench", "far-rim"))
    join_outfit(bench, "ada", Role.OWNER)
    home = groups.open_location(entry=entry(bench), name="Home")
    upper = groups.open_group(entry=entry(bench), name="Upper Bench", location_id=home)
    bulls = groups.open_group(entry=entry(bench), name="Bull Pasture")
    ids = {"location": home, "group": upper, "bulls": bulls, **_herd(bench, upper, bulls)}
    tokens = {outfit.code: _token(outfit) for outfit in (bench, rim)}
    return {
        "tokens": {**tokens, "sibling": _token(bench, DeviceKind.SIBLING)},
        "ids": {name: str(key) for name, key in ids.items()},
    }


def _token(outfit: Outfit, kind: DeviceKind = DeviceKind.PROGRAM) -> str:
    made = make_device(outfit=outfit, name=kind.value, kind=kind, role=DeviceRole.OFFICE, by=None)
    return enrol(made[1]).token


def _herd(outfit: Outfit, upper: UUID, bulls: UUID) -> dict[str, Any]:
    """Cows with calves, weights, checks, a medicine, a sample; and a day that waits for a person."""
    bull = register(outfit, vid_tag("900", "red"), animal_class="bull", group_id=bulls)
    cows = [
        register(outfit, eid_tag(str(FIRST + 17 * place)), vid_tag(str(101 + place)), group_id=upper)
        for place in range(6)
    ]
    calves = [_calf(outfit, cow, str(501 + place)) for place, cow in enumerate(cows[:4])]
    note = NewEvent(cows[0], "note", None, {"note": "quiet"}, precision="unknown")
    events.record(entry=entry(outfit), events=[note, *_happenings(cows)])
    product = {"name": "Example vaccine", "is_vaccine": True, "meat_withdrawal_days": 21}
    lines = ["EID,Weight", f"{FIRST},1180", "840270000000999,1200", f"{FIRST + 17},heavy"]
    return {
        "animal": cows[0],
        "calf": calves[0],
        "bull": bull,
        "event": note.id,
        "product": lists.add(entry=entry(outfit), subject="product", facts=product),
        "day": work(outfit, [csv_file("scale.csv", lines)]).pk,
    }


def _calf(outfit: Outfit, dam: UUID, number: str) -> UUID:
    born = timezone.localdate() - timedelta(days=230)
    facts = {"born_on": born, "born_precision": "day", "dam_id": dam}
    calf = register(outfit, vid_tag(number), animal_class="heifer", on=born, **facts)
    weights = [("birth", 0, 80), ("weaning", 205, 520)]
    weighed = [_weight(calf, born + timedelta(days=days), pounds, purpose) for purpose, days, pounds in weights]
    events.record(entry=entry(outfit), events=weighed)
    return calf


def _weight(animal: UUID, day: date, pounds: int, purpose: str) -> NewEvent:
    data = {"weight": str(pounds), "unit": "lb", "purpose": purpose}
    return NewEvent(animal, "weight", day, data, weight_ng=pounds * NANOGRAMS_A_POUND)


def _happenings(cows: list[UUID]) -> list[NewEvent]:
    today = timezone.localdate()
    found = {"result": "pregnant", "days": 260}
    given = {"product": "Example vaccine", "withdrawal_days": 21}
    return [
        *(NewEvent(cow, "pregnancy_check", today - timedelta(days=20), found) for cow in cows[4:]),
        NewEvent(cows[1], "vaccination", today - timedelta(days=3), given),
        NewEvent(cows[0], "sample", today, {"tube": "T001", "tissue": "ear"}),
    ]
