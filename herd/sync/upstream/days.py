"""Days and rulings between two installations: the other's days are copied here, ours there; rulings go home."""

import json
from collections import defaultdict
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from herd.accounts.models import Outfit
from herd.client.faults import Offline
from herd.client.wire import Wire
from herd.intake import review
from herd.intake.models import DayState, Finding, ProcessingDay, Ruling, StagedRow
from herd.registry.services.refused import Refused
from herd.sync.days.copies import keep_copy, note_gone_home, unsent_rulings
from herd.sync.days.packing import lines_of, marks
from herd.sync.models import Operation, Receipt, Upstream
from herd.sync.reading import Unfit
from herd.sync.upstream.epochs import check_epoch

OFFICE = "the office"
STRANGE = "The other installation's answer can't be read"


def mark_copies(outfit: Outfit) -> None:
    """Say of all days of a first copy that they are the other installation's."""
    days = ProcessingDay.objects.filter(outfit=outfit, home="")
    known = marks(days)
    rulings: dict[UUID, list[str]] = defaultdict(list)
    for day, key in Ruling.objects.filter(day__in=days).values_list("day", "pk"):
        rulings[day].append(str(key))
    for key, mark in known.items():
        copied = {"mark": mark, "rulings": rulings[key]}
        ProcessingDay.objects.filter(pk=key).update(home=OFFICE, copied=copied)


def provisional_days(outfit: Outfit) -> QuerySet[ProcessingDay]:
    """Days in which doubtful operations of devices wait here; the other installation judges them anew."""
    return ProcessingDay.objects.filter(outfit=outfit, home="", device_id__isnull=False)


def pack_rulings(upstream: Upstream) -> None:
    """Pack what was ruled here on days that are decided in the other installation, to be sent in order."""
    with transaction.atomic():
        packed = Receipt.objects.filter(outfit=upstream.outfit).values("op_id")
        on_copies = [
            key
            for day in ProcessingDay.objects.filter(outfit=upstream.outfit).exclude(home="")
            for key in unsent_rulings(day).values_list("pk", flat=True)
        ]
        own = Ruling.objects.filter(day__in=provisional_days(upstream.outfit), by_rule=False)
        wanted = Ruling.objects.filter(pk__in=on_copies) | own
        rows = wanted.exclude(pk__in=packed).select_related("day", "person").order_by("ruled_at", "pk")
        Receipt.objects.bulk_create(_packed(upstream, one) for one in rows)


def _packed(upstream: Upstream, one: Ruling) -> Receipt:
    finding = Finding.objects.filter(day=one.day, key=one.finding_key).first()
    data = {
        "finding": str(finding.pk) if finding else None,
        "day": str(one.day_id),
        "device": str(one.day.device_id) if one.day.device_id else None,
        "key": one.finding_key,
        "choice": one.choice,
        "typed": one.typed,
    }
    body = {"op_id": str(one.pk), "dseq": 0, "kind": "ruling", "at": one.ruled_at.isoformat(), "data": data}
    return Receipt.to_send(upstream, one.pk, body, one.ruled_at)


def note_sent_rulings(receipts: Iterable[Receipt]) -> None:
    """Note of rulings that were answered that they have gone home."""
    by_day: dict[UUID, list[str]] = defaultdict(list)
    ids = [one.op_id for one in receipts]
    for of, key in Ruling.objects.filter(pk__in=ids).exclude(day__home="").values_list("day", "pk"):
        by_day[of].append(str(key))
    for day in ProcessingDay.objects.filter(pk__in=by_day):
        note_gone_home(day, by_day[day.pk])


def drop_provisional(upstream: Upstream) -> None:
    """Drop the days in which operations of devices waited here, once all of them are with the other installation."""
    waiting = Operation.objects.filter(outfit=upstream.outfit, awaits=True).values("op_id")
    with transaction.atomic():
        for day in provisional_days(upstream.outfit).select_for_update():
            is_awaited = StagedRow.objects.filter(day=day, pk__in=waiting).exists()
            rulings = Ruling.objects.filter(day=day, by_rule=False).values("pk")
            sent = Receipt.objects.filter(op_id__in=rulings).exclude(status="")
            if not is_awaited and sent.count() == len(rulings):
                day.delete()


def take_days(upstream: Upstream, wire: Wire) -> None:
    """Bring the copies of the other installation's days up to date."""
    answer = wire.get("sync/days/")
    check_epoch(upstream, answer)
    there = {UUID(key): str(mark) for key, mark in dict(answer["days"]).items()}
    copies = {one.pk: one for one in ProcessingDay.objects.filter(outfit=upstream.outfit).exclude(home="")}
    for key, mark in there.items():
        if key in copies and copies[key].copied.get("mark") == mark:
            continue
        with wire.lines(f"sync/days/{key}/", {}) as lines:
            whole = list(lines)
        try:
            keep_copy(upstream.outfit, key, whole, home=OFFICE, mark=mark)
        except Unfit as problem:
            raise Offline(f"{STRANGE} ({problem})") from problem
    for key in copies.keys() - there.keys():
        copies[key].delete()


def send_days(upstream: Upstream, wire: Wire) -> None:
    """Send the days that are at home here, where they have changed since they were sent."""
    settled = (DayState.REVIEW, DayState.APPLIED, DayState.FAILED)
    own = ProcessingDay.objects.filter(outfit=upstream.outfit, home="", device_id=None, state__in=settled)
    for key, mark in marks(own).items():
        day = ProcessingDay.objects.get(pk=key)
        if day.copied.get("sent") == mark and day.copied.get("epoch") == str(upstream.epoch):
            continue
        content = "".join(lines_of(day)).encode()
        check_epoch(upstream, wire.post(f"sync/days/{key}/?mark={mark}", content))
        ProcessingDay.objects.filter(pk=key).update(copied={"sent": mark, "epoch": str(upstream.epoch)})


def take_rulings(upstream: Upstream, wire: Wire) -> None:
    """Let what was ruled in the other installation on our days take effect here; the first ruling stands."""
    answer = wire.get("sync/rulings/")
    check_epoch(upstream, answer)
    taken = []
    for said in answer["rulings"]:
        _rule(upstream, said)
        taken.append(str(said["op_id"]))
    if taken:
        check_epoch(upstream, wire.post("sync/rulings/", json.dumps({"taken": taken}).encode()))


def _rule(upstream: Upstream, said: dict[str, Any]) -> None:
    own = ProcessingDay.objects.filter(outfit=upstream.outfit, home="", pk=str(said["day"]))
    finding = Finding.objects.filter(day__in=own, key=str(said["key"]), is_open=True).select_related("day").first()
    if finding is None:
        return
    choice = "type" if said.get("typed") else str(said["choice"])
    try:
        review.rule(day=finding.day, finding=finding, choice=choice, typed=str(said.get("typed") or ""))
    except Refused:
        # It does not fit what is asked by now; the question stays open.
        return


