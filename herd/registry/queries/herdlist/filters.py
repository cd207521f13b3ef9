"""The filters of the herd list, declared once: what each part of a question asks of an animal."""

import calendar
from collections.abc import Callable, Iterator
from datetime import date, timedelta

from django.db.models import BigIntegerField, CharField, Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.expressions import NegatedExpression
from django.db.models.fields.json import KT
from django.db.models.lookups import Exact, Lookup, Range

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, Tag, TagWearing, WearingEnded
from herd.registry.queries.headcount import CALF_DAYS
from herd.registry.queries.herdlist.question import NO_CHECK, NO_TAG, Question
from herd.values.cells import strip_guards
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.problems import Unreadable
from herd.values.visual import read_visual

LONGEST_NUMBER = 30
# Above any weight that is stored, within the column.
HEAVIEST = 2**62
# Up to so many weighings within the bounds are looked at themselves; more are met by looking at each animal.
NARROW = 10_000
# That an event of the inner query came after the one of the outer, on a later day or written later.
AFTERWARDS = Q(happened_on__gt=OuterRef("happened_on")) | Q(happened_on=OuterRef("happened_on"), pk__gt=OuterRef("pk"))

Condition = Q | Exists | NegatedExpression | Lookup
Filter = Callable[[Outfit, Question], Iterator[Condition]]


def matching(outfit: Outfit, question: Question) -> QuerySet[Animal]:
    """The animals that answer a question, in no order."""
    conditions = [condition for one in FILTERS for condition in one(outfit, question)]
    return Animal.objects.of(outfit).filter(*conditions).order_by()


def weighings(outfit: Outfit) -> QuerySet[Event]:
    """The dated weighings of an outfit."""
    return Event.objects.of(outfit).filter(kind="weight", weight_ng__isnull=False, happened_on__isnull=False).order_by()


def worn_by_each(column: str) -> QuerySet[TagWearing]:
    """The tags worn now by the animal that a row of the outer query names in a column."""
    # The outfit is the animal's; named once more, it would lead SQLite to walk the outfit's whole index each time.
    return TagWearing.objects.filter(animal=OuterRef(column), ended="", is_void=False).order_by()


def _status(outfit: Outfit, question: Question) -> Iterator[Condition]:
    if question.statuses:
        yield Q(status__in=question.statuses) if len(question.statuses) > 1 else Q(status=question.statuses[0])


def _number(outfit: Outfit, question: Question) -> Iterator[Condition]:
    """Numbers that begin or end so, worn now or before; a number never worn is passed over."""
    spelled = _as_recorded(question.number)
    if not spelled:
        return
    number, colour = spelled
    asked = _begins("number", number) | _begins("backwards", number[::-1])
    tags = Tag.objects.of(outfit).filter(asked, **({"colour": colour} if colour else {})).order_by()
    worn = TagWearing.objects.of(outfit).exclude(ended=WearingEnded.DATA_ERROR).filter(tag__in=tags.values("pk"))
    yield Q(pk__in=worn.order_by().values("animal"))


def _begins(column: str, text: str) -> Q:
    """Whether a column begins with a text; figures alone as a span, which an index answers in any language."""
    stem = text.rstrip("9")
    if not (text.isascii() and text.isdigit() and stem):
        return Q(**{f"{column}__startswith": text})
    return Q(**{f"{column}__gte": text, f"{column}__lt": stem[:-1] + chr(ord(stem[-1]) + 1)})


def _as_recorded(text: str) -> tuple[str, str] | None:
    """A typed number in the record's spelling, with a colour that stood beside it; None where nothing is left."""
    bare = " ".join(strip_guards(text).upper().split())[:LONGEST_NUMBER]
    if not bare:
        return None
    try:
        if might_be_electronic(bare):
            return read_electronic(bare).number.digits, ""
        visual = read_visual(bare)
    except Unreadable:
        return bare, ""
    return visual.number, visual.colour


def _place(outfit: Outfit, question: Question) -> Iterator[Condition]:
    if question.group_id:
        yield Q(group=question.group_id)
    if question.is_loose:
        yield Q(group=None)
    if question.location_id:
        yield Q(location=question.location_id)
    if question.is_nowhere:
        yield Q(location=None)


def _classes(outfit: Outfit, question: Question) -> Iterator[Condition]:
    """Counted as the head count does: an animal under a year is a calf beside its class, a cow never."""
    if not question.classes:
        return
    born = question.today - timedelta(days=CALF_DAYS)
    young = Q(born_on__gt=born)
    grown = Q(born_on__lte=born) | Q(born_on=None)
    asked = Q()
    for word in question.classes:
        sex = word.removesuffix(" calf")
        if word == "cow":
            asked |= Q(animal_class="cow")
        elif word == "calf":
            asked |= young & ~Q(animal_class="cow")
        elif sex != word:
            asked |= young & Q(animal_class=sex)
        else:
            asked |= grown & Q(animal_class="" if word == "unknown" else word)
    yield asked


def _age(outfit: Outfit, question: Question) -> Iterator[Condition]:
    """Ages in whole months, both ends included; an animal without a birth day answers neither."""
    if question.months_from is not None:
        yield Q(born_on__lte=months_before(question.today, question.months_from))
    if question.months_to is not None:
        yield Q(born_on__gt=months_before(question.today, question.months_to + 1), born_on__lte=question.today)


def months_before(day: date, months: int) -> date:
    """The day so many months earlier; a month's last day where the day itself does not exist."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    if year < 1:
        return date.min
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _tags(outfit: Outfit, question: Question) -> Iterator[Condition]:
    worn = worn_by_each("pk")
    if question.wears:
        yield Exists(worn.filter(kind=question.wears))
    if question.lacks:
        yield ~Exists(worn if question.lacks == NO_TAG else worn.filter(kind=question.lacks))


def _events(outfit: Outfit, question: Question) -> Iterator[Condition]:
    """An event of a kind since a day, or none; without a day, ever. One without a day counts for none since."""
    if not question.event:
        return
    such = Event.objects.of(outfit).filter(animal=OuterRef("pk"), kind=question.event)
    if question.event_since:
        such = such.filter(happened_on__gte=question.event_since)
    yield ~Exists(such) if question.event_is_lacking else Exists(such)


def _last_check(outfit: Outfit, question: Question) -> Iterator[Condition]:
    if not question.last_check:
        return
    checks = Event.objects.of(outfit).filter(animal=OuterRef("pk"), kind="pregnancy_check", happened_on__isnull=False)
    if question.last_check == NO_CHECK:
        yield ~Exists(checks)
        return
    last = checks.order_by("-happened_on", "-pk").annotate(found=KT("data__result")).values("found")[:1]
    yield Exact(Subquery(last, output_field=CharField()), question.last_check)


def _weight(outfit: Outfit, question: Question) -> Iterator[Condition]:
    if question.weight_from is None and question.weight_to is None:
        return
    span = (question.weight_from or 0, HEAVIEST if question.weight_to is None else question.weight_to)
    weighed = weighings(outfit)
    within = weighed.filter(weight_ng__range=span)
    if len(within.values_list("pk")[: NARROW + 1]) <= NARROW:
        later = weighed.filter(animal=OuterRef("animal")).filter(AFTERWARDS)
        yield Q(pk__in=within.filter(~Exists(later)).values("animal"))
        return
    mine = weighed.filter(animal=OuterRef("pk"))
    last = Subquery(mine.order_by("-happened_on", "-pk").values("weight_ng")[:1], output_field=BigIntegerField())
    yield Range(last, span)


FILTERS: tuple[Filter, ...] = (_status, _place, _classes, _age, _number, _tags, _events, _last_check, _weight)
