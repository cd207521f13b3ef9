"""What there is to know this week, each in a line: how many, what, and where to go."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Q
from django.urls import reverse
from django.utils import timezone

from herd.accounts.models import Outfit, Role
from herd.intake.models import DayState, ProcessingDay
from herd.office.access import OfficeRequest, has_role
from herd.office.forms.reports import A_YEAR
from herd.office.saying import say_day
from herd.registry.queries.withdrawal import herd_in_withdrawal
from herd.reports.due import due_cows
from herd.reports.neglect import Neglected, missing_long, not_counted, not_weighed, running_out
from herd.reports.samples import samples_taken, still_out
from herd.sync.models import DeviceState
from herd.sync.queries import count_devices
from herd.values.withdrawal import latest_end

A_WEEK = timedelta(days=7)
# A device that did not call in for two weeks may hold work that nobody sees (our choice).
QUIET = timedelta(days=14)
# A laboratory takes days to a few weeks (common practice, no source).
LONG_OUT = timedelta(days=21)
NAMED = 4


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to know this week: how many, what, more about it, and where to go. `is_late` marks what is overdue."""

    count: int
    what: str
    more: str
    address: str
    is_late: bool = False


def items_of(request: OfficeRequest, today: date, *, with_findings: bool = True) -> list[Item]:
    """What there is to know, what is late in front; the first page has the findings in a place of their own."""
    outfit = request.outfit
    found = [
        *(_findings(outfit) if with_findings else ()),
        *_withdrawals(outfit, today),
        *_due(outfit, today),
        *_missing(outfit, today),
        *_neglected(not_counted(outfit, today), "not counted for half a year", "office:groups"),
        *_neglected(not_weighed(outfit, today), "of which nobody was weighed for a year", "office:groups"),
        *_tags(outfit, today),
        *_tubes(outfit, today),
        *(_devices(outfit) if has_role(request.role, Role.OFFICE) else ()),
    ]
    return sorted(found, key=lambda one: not one.is_late)


def _findings(outfit: Outfit) -> Iterator[Item]:
    days = ProcessingDay.objects.filter(outfit=outfit).exclude(state=DayState.APPLIED)
    waiting = days.annotate(open=Count("findings", filter=Q(findings__is_open=True))).filter(open__gt=0)
    some = [(day.name, int(day.open)) for day in waiting]
    if some:
        total = sum(count for _, count in some)
        what = _many(total, "finding waits", "findings wait")
        yield Item(total, what, _names([name for name, _ in some]), reverse("office:days"))


def _withdrawals(outfit: Outfit, today: date) -> Iterator[Item]:
    ends = [latest_end(holds) for holds in herd_in_withdrawal(outfit, timezone.now()).values()]
    soon = [one.free_on for one in ends if one and one.free_on and one.free_on <= today + A_WEEK]
    unknown = sum(one is not None and one.free_on is None for one in ends)
    address = reverse("office:withdrawal")
    if soon:
        yield Item(len(soon), "head come free of withdrawal", f"The first on {say_day(min(soon))}.", address)
    if unknown:
        more = "A medicine was given without withdrawal days; look at the label."
        yield Item(unknown, "head not known to be free", more, address, is_late=True)


def _due(outfit: Outfit, today: date) -> Iterator[Item]:
    cows = due_cows(outfit, today, today + A_WEEK)
    late = [one for one in cows if one.due.latest < today]
    address = f"{reverse('office:report-due')}?days={A_WEEK.days}"
    if len(cows) > len(late):
        head = len(cows) - len(late)
        yield Item(head, _many(head, "cow is due", "cows are due"), "Expected this week or already.", address)
    if late:
        more = "Past the latest usual day, and no calving is recorded."
        yield Item(len(late), _many(len(late), "cow is overdue", "cows are overdue"), more, address, is_late=True)


def _missing(outfit: Outfit, today: date) -> Iterator[Item]:
    head = missing_long(outfit, today)
    if head:
        address = f"{reverse('office:herd')}?status=missing"
        yield Item(head, "head missing for a month or more", "Found, sold or dead?", address, is_late=True)


def _neglected(groups: Sequence[Neglected], words: str, address: str) -> Iterator[Item]:
    if groups:
        said = _many(len(groups), "group", "groups")
        yield Item(len(groups), f"{said} {words}", _names([one.group.name for one in groups]), reverse(address))


def _tags(outfit: Outfit, today: date) -> Iterator[Item]:
    for one in running_out(outfit, today):
        box = one.box
        what = " ".join(str(part) for part in (box.colour, box.get_kind_display(), box.issuer_year or "") if part)
        address = reverse("office:tag-box", args=[box.pk])
        yield Item(one.free, f"free numbers left: {what}", "Order more in time.", address)


def _tubes(outfit: Outfit, today: date) -> Iterator[Item]:
    since, until = today - A_YEAR, today - LONG_OUT
    tubes = still_out(samples_taken(outfit, since, until), outfit)
    if tubes:
        asked = f"?since={since}&until={until}&result=out"
        what = _many(tubes, "tube is still out", "tubes are still out")
        more = "Sampled three weeks ago or more, and no result has come."
        yield Item(tubes, what, more, f"{reverse('office:report-samples')}{asked}")


def _devices(outfit: Outfit) -> Iterator[Item]:
    since = timezone.now() - QUIET
    quiet = [
        one.device for one in count_devices(outfit)
        if one.device.state == DeviceState.ACTIVE and (one.device.last_seen or one.device.made_at) < since
    ]  # fmt: skip
    if quiet:
        said = _many(len(quiet), "device was not seen", "devices were not seen")
        yield Item(len(quiet), f"{said} for two weeks", _names([one.name for one in quiet]), reverse("office:devices"))


def _many(count: int, one: str, more: str) -> str:
    return one if count == 1 else more


def _names(names: Sequence[str]) -> str:
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return f"{', '.join(names[:NAMED])}{more}."
