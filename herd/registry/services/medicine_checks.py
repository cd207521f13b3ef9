"""What a person is held to who writes by hand that a medicine was given, or that an animal goes to another owner.

A field file is not held to it: what it says happened, and what looks wrong in it is asked in review.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Product
from herd.registry.queries.withdrawal import withdrawals
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refusal
from herd.values.eventkinds import MEDICINE_KINDS, PARTING_KINDS
from herd.values.withdrawal import Withdrawal, label_faults, latest_end

DESPITE = "despite_withdrawal"


def products_by_name(outfit: Outfit) -> dict[str, Product]:
    """The outfit's list of products by name, whatever its capitals; retired ones still tell their label's days."""
    return {product.name.casefold(): product for product in Product.objects.of(outfit)}


def check_medicines(outfit: Outfit, events: Iterable[NewEvent]) -> list[Refusal]:
    """What the label in the product list, or the law, still asks of the medicines among these events."""
    given = [one for one in events if one.kind in MEDICINE_KINDS]
    products = products_by_name(outfit) if given else {}
    refusals = []
    for one in given:
        listed = products.get(str(one.data.get("product", "")).casefold())
        faults = label_faults(
            one.data,
            listed.meat_withdrawal_days if listed else None,
            needs_prescription=bool(listed and listed.needs_prescription),
        )
        refusals += [Refusal(sentence, field, one.animal_id) for field, sentence in faults]
    return refusals


def check_partings(outfit: Outfit, events: Iterable[NewEvent]) -> list[Refusal]:
    """Name each animal that is sold or transferred while held, where no reason is given for it."""
    by_day: dict[date, list[UUID]] = defaultdict(list)
    for one in events:
        if one.kind in PARTING_KINDS and one.happened_on and not str(one.data.get(DESPITE) or "").strip():
            by_day[one.happened_on].append(one.animal_id)
    return [
        Refusal(say_held(holds), DESPITE, animal_id)
        for day, animal_ids in by_day.items()
        for animal_id, holds in withdrawals(outfit, animal_ids, day).items()
    ]


def say_held(holds: Sequence[Withdrawal]) -> str:
    """What holds an animal and how long, in a sentence."""
    last = latest_end(holds)
    if last is None:
        return ""
    if last.free_on is None:
        return f"Not known to be free of {last.product}, given on {last.given_on}: no withdrawal days were entered."
    end = f"{last.free_at:%Y-%m-%d %H:%M}" if last.free_at else f"the end of {last.until}"
    return f"In withdrawal until {end} ({last.product}, given on {last.last_on}, {last.days} days of 24 hours)."
