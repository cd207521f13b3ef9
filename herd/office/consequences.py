"""What follows from an event just recorded: until when it holds the animal, when the calf is due."""

from uuid import UUID

from django.utils import timezone

from herd.accounts.models import Outfit
from herd.office.holds import say_end
from herd.office.saying import say_day
from herd.office.today import today_of
from herd.office.wording import Carrying, due_of
from herd.registry.models import Animal
from herd.registry.queries.breeds import breed_namer
from herd.registry.queries.policies import policy_on
from herd.registry.queries.withdrawal import hold_of
from herd.registry.services.batch import NewEvent
from herd.values.eventkinds import MEDICINE_KINDS


def carrying(outfit: Outfit, animal_id: UUID) -> Carrying:
    """What a due date of an animal is counted with today."""
    breed = Animal.objects.of(outfit).filter(pk=animal_id).values_list("breed", flat=True).first()
    return Carrying(policy_on(outfit, today_of(outfit)).policy, breed_namer(outfit)(breed or ""))


def say_consequence(new: NewEvent, outfit: Outfit) -> str:
    """The sentence to add to what was recorded; empty where nothing follows."""
    due = None
    if new.kind == "pregnancy_check":
        due = due_of(new.kind, new.data, new.happened_on, carrying(outfit, new.animal_id))
    if due is not None:
        return f" Due about {say_day(due.expected)} ({say_day(due.earliest)} to {say_day(due.latest)})."
    if new.kind not in MEDICINE_KINDS:
        return ""
    hold = hold_of(outfit, dict(new.data), new.happened_on, new.precision, new.happened_at, timezone.now())
    if hold.free_on is None:
        return " No withdrawal days were entered, so it counts as not known to be free."
    return f" Of this alone it is {say_end(hold)}, by what was entered." if hold.days else ""
