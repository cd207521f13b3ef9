"""Samples taken, each with its tube, its animal, and the results that came back."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Event


def samples_taken(outfit: Outfit, first: date, last: date, *, has_result: bool | None = None) -> QuerySet[Event]:
    """The samples between two days, both included, by tube; all of them, or those with or without a result."""
    rows = Event.objects.of(outfit).filter(kind="sample", happened_on__range=(first, last), animal__is_void=False)
    if has_result is not None:
        results = Exists(Event.objects.of(outfit).filter(kind="sample_result", tube=OuterRef("tube")))
        rows = rows.filter(results) if has_result else rows.exclude(results)
    found: QuerySet[Event] = rows.select_related("animal").order_by("tube", "id")
    return found


def still_out(samples: QuerySet[Event], outfit: Outfit) -> int:
    """How many of these samples have no result yet."""
    results = Event.objects.of(outfit).filter(kind="sample_result", tube=OuterRef("tube"))
    return samples.exclude(Exists(results)).count()


def undated_samples(outfit: Outfit) -> int:
    """How many samples were taken on a day that is not known."""
    rows = Event.objects.of(outfit).filter(kind="sample", happened_on__isnull=True, animal__is_void=False)
    return rows.count()


def results_of(outfit: Outfit, tubes: Iterable[str]) -> dict[str, list[Event]]:
    """The results of each tube, the earliest first; one query for eight hundred tubes."""
    found: dict[str, list[Event]] = defaultdict(list)
    for some in in_steps(one for one in tubes if one):
        rows = Event.objects.of(outfit).filter(kind="sample_result", tube__in=some)
        for event in rows.order_by("happened_on", "id"):
            found[event.tube].append(event)
    return found
