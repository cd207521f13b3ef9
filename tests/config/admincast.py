"""What the admin tests share: a browser signed in as someone, the addresses of a table, a row in each table."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.contrib.admin import site
from django.test import Client
from django.urls import reverse

from herd.accounts.models import OutfitChange, OutfitPerson
from herd.accounts.noting import note_change
from herd.intake.models import (
    FieldFile,
    Finding,
    MergedLine,
    ProcessingDay,
    Recipe,
    Ruling,
    StagedRow,
    StandingRule,
)
from herd.ledger.models import Change, Changeset
from herd.registry.models import Event, GroupMembership, HeadCheck, MissingTag, Tag, TagBox, TagWearing
from herd.registry.services import events, groups, lists, policies, stock
from herd.registry.services.batch import NewEvent
from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole, Operation
from herd.sync.protocol import Push
from herd.sync.pushing import push
from herd.values.identity import new_id
from tests.cast import eid_tag, entry, register
from tests.sync.sending import weighing

LAYOUT = "ab" * 32


def sign_in(person: Any) -> Client:
    """A browser signed in as someone."""
    client = Client()
    client.force_login(person)
    return client


def address(model: Any, page: str, *args: Any) -> str:
    """The address of a page of a table."""
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=args)


def tables() -> list[Any]:
    """Every table that has pages in the admin."""
    return sorted(site._registry, key=lambda model: model._meta.label)


@dataclass(frozen=True, slots=True)
class Rows:
    """One row of each table for one outfit, by the table's label."""

    ids: dict[str, UUID]

    def of(self, model: Any) -> UUID:
        return self.ids[model._meta.label]


def fill(outfit: Any, person: Any, word: str, eid: str) -> Rows:
    """Write a row into each table; `word` stands in every name."""
    by = entry(outfit, person, f"{word} work")
    place = groups.open_location(entry=by, name=f"{word} place")
    group = groups.open_group(entry=by, name=f"{word} group", location_id=place)
    animal = register(outfit, eid_tag(eid), group_id=group)
    events.record(entry=by, events=[NewEvent(animal, "weaning", date(2025, 5, 1))])
    lists.add(entry=by, subject="breed", facts={"code": word[:8], "name": f"{word} breed"})
    product = lists.add(entry=by, subject="product", facts={"name": f"{word} product"})
    box = stock.receive(entry=by, kind="vid", first="100", last="120", colour="yellow")
    stock.mark_missing(entry=by, box=TagBox.objects.get(pk=box), number="103", reason=word)
    herd_list = lists.add(entry=by, subject="herd_list", facts={"name": f"{word} list", "question": "class=cow"})
    facts = {"group_id": group, "counted_on": date(2025, 6, 1), "counted": 1, "expected": 1, "note": word}
    lists.add(entry=by, subject="head_check", facts=facts)
    since = date(2026, 1, 1)
    value = policies.set_value(entry=by, name="gestation", text="284", in_force_from=since, today=since)
    given = {"kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE, "by": person}
    _, code = make_device(outfit=outfit, name=f"{word} phone", **given)
    device = enrol(code).device
    push(device, Push([weighing({"animal": str(animal)})]))
    note_change(outfit=outfit, kind="people", says=f"{word} change", by=person)
    day = ProcessingDay.objects.create(outfit=outfit, name=f"{word} day", worked_on=date(2026, 1, 1))
    file = FieldFile.objects.create(day=day, name=f"{word}.csv", sha256="0" * 64, size=1, content=b"x")
    line = MergedLine.objects.create(day=day, key=word, name=word, state="clear")
    made = [
        StagedRow.objects.create(day=day, file=file, line=2, number=0, cells=[word]),
        Finding.objects.create(day=day, key=word, kind="unknown_tag", alike=word, title=f"{word} finding"),
        Ruling.objects.create(
            day=day, finding_key=word, title=f"{word} ruling", choice="c", label=word, together=new_id()
        ),
        Recipe.objects.create(outfit=outfit, layout=LAYOUT, name=f"{word} recipe", columns=[]),
        StandingRule.objects.create(outfit=outfit, alike=f"{word} alike", choice="keep", label=f"{word} rule"),
        day,
        file,
        line,
        device,
        Operation.objects.get(device=device),
        OutfitPerson.objects.filter(outfit=outfit).first(),
        OutfitChange.objects.filter(outfit=outfit).first(),
        Changeset.objects.filter(outfit=outfit).first(),
        Change.objects.filter(outfit=outfit).first(),
    ]
    others = (Event, GroupMembership, HeadCheck, MissingTag, Tag, TagWearing)
    made += [model.objects.of(outfit).first() for model in others]
    ids = {row._meta.label: row.pk for row in made}
    ids |= {
        "registry.Animal": animal,
        "registry.Breed": lists_row(outfit, "Breed"),
        "registry.Group": group,
        "registry.HerdList": herd_list,
        "registry.Location": place,
        "registry.PolicyValue": value,
        "registry.Product": product,
        "registry.TagBox": box,
    }
    return Rows(ids)


def lists_row(outfit: Any, name: str) -> UUID:
    """The first row of a list."""
    (model,) = (one for one in tables() if one.__name__ == name)
    return model.objects.of(outfit).first().pk
