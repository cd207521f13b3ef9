"""The orders of the herd list, declared once; each walks an index where the database has one for it.

An order has two stretches: the animals that have what it sorts by, and behind them, by id, those that have not.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Case, Exists, F, IntegerField, OuterRef, Q, QuerySet, Subquery, UUIDField, Value, When
from django.db.models.expressions import Combinable

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Tag, TagKind, TagWearing
from herd.registry.models.tagorder import NaturalKey
from herd.registry.queries.headcount import CLASSES
from herd.registry.queries.herdlist.filters import AFTERWARDS, Condition, matching, weighings, worn_by_each
from herd.registry.queries.herdlist.question import Question

# Up to so many animals are looked up one by one and then sorted; more are met by walking the order itself.
FEW = 5_000
# Up to so many are named to the database by their ids, found once.
NAMED = 1_000


@dataclass(frozen=True, slots=True)
class Stretches:
    """`placed` has rows with `place`, what is sorted by, and `owner`, the animal; `rest` the animals without."""

    placed: QuerySet
    rest: QuerySet[Animal]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with the animals that answer it; `is_few` where they are looked up one by one."""

    outfit: Outfit
    question: Question
    animals: QuerySet[Animal]
    is_few: bool

    def those_of(self, column: str) -> Condition:
        """Whether the animal that a row names in a column is among them."""
        if self.is_few:
            return Q(**{f"{column}__in": self.animals.values("pk")})
        return Exists(self.animals.filter(pk=OuterRef(column)))


@dataclass(frozen=True, slots=True)
class Sort:
    """One order: its words for a person, and the rows in it."""

    label: str
    stretches: Callable[[Asked], Stretches]


def stretches_of(outfit: Outfit, question: Question) -> Stretches:
    """The two stretches of a question's order, not yet sorted; an order not known counts as by visual tag."""
    animals = matching(outfit, question)
    ids = list(animals.values_list("pk", flat=True)[: FEW + 1])
    is_few = len(ids) <= FEW
    if len(ids) <= NAMED:
        animals = Animal.objects.of(outfit).filter(pk__in=ids).order_by()
    sort = SORTS.get(question.sort, SORTS["vid"])
    return sort.stretches(Asked(outfit, question, animals, is_few))


def _by_tag(kind: str, key: Combinable) -> Callable[[Asked], Stretches]:
    """By the number of the first tag of a kind that is worn now."""

    def stretches(asked: Asked) -> Stretches:
        worn = TagWearing.objects.of(asked.outfit).filter(kind=kind, ended="", is_second=False).order_by()
        earlier = worn_by_each("animal").filter(kind=kind, is_second=False, pk__lt=OuterRef("pk"))
        first = worn.filter(~Exists(earlier), asked.those_of("animal"))
        tags = Tag.objects.of(asked.outfit).filter(kind=kind)
        if asked.is_few:
            tags = tags.filter(pk__in=first.values("tag"))
        else:
            tags = tags.filter(Exists(first.filter(tag=OuterRef("pk"))))
        owner = Subquery(worn.filter(tag=OuterRef("pk")).values("animal")[:1], output_field=UUIDField())
        without = ~Exists(worn_by_each("pk").filter(kind=kind, is_second=False))
        return Stretches(tags.annotate(place=key, owner=owner), asked.animals.filter(without))

    return stretches


def _by_weight(asked: Asked) -> Stretches:
    """By the last dated weighing."""
    question, weighed = asked.question, weighings(asked.outfit)
    later = weighed.filter(animal=OuterRef("animal")).filter(AFTERWARDS)
    last = weighed.filter(~Exists(later), asked.those_of("animal"))
    # The last weight's own bounds are said again here, where the walk can begin and end with them.
    if question.weight_from is not None:
        last = last.filter(weight_ng__gte=question.weight_from)
    if question.weight_to is not None:
        last = last.filter(weight_ng__lte=question.weight_to)
    without = ~Exists(weighed.filter(animal=OuterRef("pk")))
    return Stretches(last.annotate(place=F("weight_ng"), owner=F("animal_id")), asked.animals.filter(without))


def _by_fact(name: str) -> Callable[[Asked], Stretches]:
    """By a column of the animal."""

    def stretches(asked: Asked) -> Stretches:
        placed = asked.animals.filter(**{f"{name}__isnull": False}).annotate(place=F(name), owner=F("pk"))
        return Stretches(placed, asked.animals.filter(**{f"{name}__isnull": True}))

    return stretches


def _by_class(asked: Asked) -> Stretches:
    """In the order of the head count."""
    ranks = [When(animal_class=word, then=Value(rank)) for rank, word in enumerate(CLASSES)]
    rank = Case(*ranks, default=Value(len(CLASSES)), output_field=IntegerField())
    return Stretches(asked.animals.annotate(place=rank, owner=F("pk")), Animal.objects.none())


SORTS: dict[str, Sort] = {
    "vid": Sort("visual tag", _by_tag(TagKind.VID, NaturalKey(F("number")))),
    "eid": Sort("EID", _by_tag(TagKind.EID, F("number"))),
    "class": Sort("class", _by_class),
    "born": Sort("birth", _by_fact("born_on")),
    "group": Sort("group", _by_fact("group__name")),
    "weight": Sort("last weight", _by_weight),
    "since": Sort("status since", _by_fact("status_since")),
}
