"""Arrivals, departures and deaths."""

from typing import Any

from herd.exchange.kinds.shape import Occurrence, Told, filled
from herd.exchange.moments import When
from herd.exchange.node import Node

# What of the standard's arrivals is a purchase; any other brings back one that was away.
BOUGHT = frozenset({"Purchase", "Imported", "Sale"})
ARRIVALS = (
    "Purchase", "InternalTransfer", "Imported", "StudService", "StudServiceReturn", "Slaughter", "Agistment",
    "AgistmentReturn", "Show", "ShowReturn", "Sale", "SaleReturn", "Other",
)
DEPARTURES = (
    "InternalTransfer", "Export", "Slaughter", "Newborn", "StudService", "StudServiceReturn", "Agistment",
    "AgistmentReturn", "Show", "ShowReturn", "Sale", "SaleReturn", "Other",
)
SOLD = frozenset({"Sale", "Export", "Slaughter", "Newborn"})
# Words of a cause that tell the standard's reason, in the order in which they are looked for.
CAUSES = {
    "Parturition": ("calving", "dystocia", "born"),
    "Accident": ("accident", "injur", "broken", "lightning", "drown", "fence", "predator", "coyote", "wolf"),
    "Age": ("old", "age"),
    "Disease": ("disease", "pneumonia", "bloat", "scour", "respiratory", "sick", "infection"),
    "Culled": ("cull", "euthan", "put down"),
}
DEATHS = (
    "Missing", "Parturition", "Disease", "Accident", "Consumption", "Culled", "Other", "Unknown", "Age", "Mastitis",
    "Production", "LegOrClaw", "MilkingAbility", "Nutrition", "Fertility",
)


def say_sale(_: Occurrence) -> dict[str, Any]:
    """A departure to another owner."""
    return {"departureKind": "Sale", "departureReason": "Sale"}


def say_transfer(_: Occurrence) -> dict[str, Any]:
    """A departure to another place of the owner's."""
    return {"departureKind": "InternalTransfer", "departureReason": "Other"}


def say_missing(_: Occurrence) -> dict[str, Any]:
    """A departure of which nobody knows where to; the standard's missing ones are dead for good."""
    return {"departureKind": "Other", "departureReason": "Unknown"}


def read_departure(node: Node, _: When) -> list[Told]:
    """A sale or a transfer; another reason than these stands in the note."""
    word = node.choice("departureKind", {one: one for one in DEPARTURES}) or "Other"
    reason = node.text("departureReason", 80)
    said = [one for one in (word, reason) if one not in ("Sale", "InternalTransfer", "Other", "")]
    parted = "sale" if word in SOLD or reason in ("Sale", "Slaughter") else "transfer"
    return [Told(parted, filled({"note": ", ".join(dict.fromkeys(said))}))]


def say_purchase(_: Occurrence) -> dict[str, Any]:
    """An arrival from another owner."""
    return {"arrivalReason": "Purchase"}


def say_found(_: Occurrence) -> dict[str, Any]:
    """An arrival of one that was away."""
    return {"arrivalReason": "Other"}


def read_arrival(node: Node, _: When) -> list[Told]:
    """A purchase, or one that is back; another reason than these stands in the note."""
    word = node.choice("arrivalReason", {one: one for one in ARRIVALS}) or "Other"
    came = "purchase" if word in BOUGHT else "found"
    return [Told(came, filled({"note": "" if word in ("Purchase", "Other") else word}))]


def say_death(event: Occurrence) -> dict[str, Any]:
    """A death with its cause in words, and the standard's word for it where one fits."""
    cause = str(event.data.get("cause", ""))
    words = cause.casefold()
    fitting = next((reason for reason, signs in CAUSES.items() if any(sign in words for sign in signs)), "")
    return filled({"deathReason": fitting or ("Other" if cause else "Unknown"), "explanation": cause})


def read_death(node: Node, _: When) -> list[Told]:
    """A death, or one that went missing, which the standard counts as a death."""
    reason = node.choice("deathReason", {one: one for one in DEATHS})
    cause = node.text("explanation", 200) or ("" if reason in (None, "Unknown", "Other") else str(reason))
    method = node.text("deathMethod", 80)
    if reason == "Missing" or method in ("Lost", "Theft"):
        return [Told("missing", filled({"note": node.text("explanation", 200) or method}))]
    return [Told("death", filled({"cause": cause}))]
