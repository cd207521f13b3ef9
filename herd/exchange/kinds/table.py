"""Which resource of the standard says which kind of event, and how each is read."""

from typing import Any

from herd.exchange.kinds import breeding, measures, medicine, movements
from herd.exchange.kinds.shape import Occurrence, Resource, Say, Told
from herd.exchange.moments import When
from herd.exchange.names import EXTENSION
from herd.exchange.node import Node
from herd.values.eventkinds import EVENT_KINDS

# The bare event of the standard carries kinds that it has no resource for; its kind stands in the extension.
BARE = "icarAnimalEventCoreResource"


def read_bare(node: Node, _: When) -> list[Told]:
    """A bare event says nothing but its remark; our own has its kind in the extension."""
    if not node.text("remark") and not node.inside(EXTENSION).text("kind"):
        raise node.refuse("remark", "This event says nothing of what happened.")
    return [Told("note")]


RESOURCES: dict[str, Resource] = {
    one.name: one
    for one in (
        Resource("icarWeightEventResource", "weights", measures.read_weight),
        Resource("icarReproPregnancyCheckEventResource", "pregnancy-checks", breeding.read_check),
        Resource("icarReproInseminationEventResource", "inseminations", breeding.read_service),
        Resource("icarReproParturitionEventResource", "parturitions", breeding.read_calving),
        Resource("icarTreatmentEventResource", "treatments", medicine.read_treatment),
        Resource("icarConformationScoreEventResource", "conformation-scores", measures.read_condition),
        Resource("icarMovementArrivalEventResource", "arrivals", movements.read_arrival),
        Resource("icarMovementDepartureEventResource", "departures", movements.read_departure),
        Resource("icarMovementDeathEventResource", "deaths", movements.read_death),
        Resource(BARE, "events", read_bare),
    )
}

SAID: dict[str, tuple[str, Say]] = {
    "weight": ("icarWeightEventResource", measures.say_weight),
    "pregnancy_check": ("icarReproPregnancyCheckEventResource", breeding.say_check),
    "service": ("icarReproInseminationEventResource", breeding.say_service),
    "calving": ("icarReproParturitionEventResource", breeding.say_calving),
    "treatment": ("icarTreatmentEventResource", medicine.say_medicine),
    "vaccination": ("icarTreatmentEventResource", medicine.say_medicine),
    "castration": ("icarTreatmentEventResource", medicine.say_castration),
    "body_condition": ("icarConformationScoreEventResource", measures.say_condition),
    "sale": ("icarMovementDepartureEventResource", movements.say_sale),
    "transfer": ("icarMovementDepartureEventResource", movements.say_transfer),
    "missing": ("icarMovementDepartureEventResource", movements.say_missing),
    "purchase": ("icarMovementArrivalEventResource", movements.say_purchase),
    "found": ("icarMovementArrivalEventResource", movements.say_found),
    "death": ("icarMovementDeathEventResource", movements.say_death),
}


def say_bare(_: Occurrence) -> dict[str, Any]:
    """Nothing beside what every event has."""
    return {}


def resource_of(kind: str) -> str:
    """The resource that says a kind of event."""
    return SAID.get(kind, (BARE, say_bare))[0]


def kinds_of(plural: str) -> list[str]:
    """The kinds of event that a collection holds."""
    return [kind for kind in EVENT_KINDS if RESOURCES[resource_of(kind)].plural == plural]
