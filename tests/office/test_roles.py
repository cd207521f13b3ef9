"""Every address against every role: who sees it, who may post to it, and that nobody else gets in."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from http.cookies import SimpleCookie
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLResolver, get_resolver, reverse

from herd.accounts.models import OutfitPerson, Role
from herd.intake.models import DayState, FieldFile, ProcessingDay
from herd.ledger.entry import Entry
from herd.ledger.models import Changeset, ChangesetKind
from herd.office.access import RANK
from herd.registry.models import Event, Group, TagWearing
from herd.registry.services import events, groups, headchecks, lists, policies, stock
from herd.registry.services.batch import NewEvent
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.cast import eid_tag, entry, everyone, register

pytestmark = pytest.mark.django_db

ANYONE, SIGNED_IN = "anyone", "signed in"
READER, CREW, OFFICE, OWNER = Role.READER, Role.CREW, Role.OFFICE, Role.OWNER
# What a page is when it takes no such request, and one that no person has, but a program with a token.
NO, NOBODY = "405", "404"


# Least role to see, least role to post; every address is written down here, and a new one is added.
READ = (READER, NO)
PAGES: dict[str, tuple[str, str]] = {
    "alive": (ANYONE, NO),
    "ready": (ANYONE, NO),
    "metrics": (NOBODY, NO),
    "office:sign-in": (ANYONE, ANYONE),
    "office:sign-out": (NO, ANYONE),
    "office:first-run": (ANYONE, ANYONE),
    "office:reset": (ANYONE, ANYONE),
    "office:password": (SIGNED_IN, SIGNED_IN),
    "office:choose-outfit": (SIGNED_IN, SIGNED_IN),
    "office:home": READ,
    "office:find": READ,
    "office:set-up": READ,
    "office:withdrawal": READ,
    "office:policy": READ,
    "office:policy-value": (READER, OFFICE),
    "office:policy-back": (NO, OFFICE),
    # The herd list and what is kept of it.
    "office:herd": READ,
    "office:herd-picked": (NO, READER),
    "office:herd-keep": (CREW, CREW),
    "office:herd-kept": (CREW, CREW),
    "office:herd-kept-out": (NO, CREW),
    "office:herd-day": (NO, CREW),
    # Reports; what moving asks for is posted, and writes nothing.
    "office:reports": READ,
    "office:report-week": READ,
    "office:report-week-block": READ,
    "office:report-due": READ,
    "office:report-head": READ,
    "office:report-head-animals": READ,
    "office:report-moving": (READER, READER),
    "office:report-treatments": READ,
    "office:report-vaccines": READ,
    "office:report-samples": READ,
    "office:report-weights": READ,
    "office:report-weights-animals": READ,
    "office:report-calving": READ,
    "office:report-calving-animals": READ,
    "office:report-breeding": READ,
    "office:report-breeding-animals": READ,
    "office:report-breeding-kin": READ,
    "office:report-breeding-kin-animals": READ,
    "office:report-replacements": READ,
    "office:report-replacements-animals": READ,
    "office:report-gain": (READER, READER),
    "office:report-gain-animals": (READER, READER),
    "office:report-calves": READ,
    "office:report-calves-animals": READ,
    "office:report-sizes": READ,
    "office:report-sizes-animals": READ,
    # Devices.
    "office:devices": (OFFICE, NO),
    "office:in-step": (OFFICE, NO),
    "office:device": (OFFICE, NO),
    "office:device-new": (OFFICE, OFFICE),
    "office:device-code": (NO, OFFICE),
    "office:device-change": (NO, OFFICE),
    "office:device-unsent": (NO, OFFICE),
    # The chute page is the same for everyone: who may read what is told by the device's token.
    "chute:page": (ANYONE, NO),
    "chute:manifest": (ANYONE, NO),
    "chute:worker": (ANYONE, NO),
    # Activity and people.
    "office:activity": READ,
    "office:changeset": READ,
    "office:changeset-undo": (CREW, CREW),
    "office:people": (OWNER, NO),
    "office:person-new": (OWNER, OWNER),
    "office:person-role": (NO, OWNER),
    "office:person-remove": (OWNER, OWNER),
    "office:person-code": (OWNER, OWNER),
    "office:archive": (OWNER, NO),
    "office:archive-file": (NO, OWNER),
    # Animals and what happens to them.
    "office:animal": READ,
    "office:animal-family": READ,
    "office:animal-history": READ,
    "office:animal-new": (CREW, CREW),
    "office:animal-correct": (CREW, CREW),
    "office:animal-move": (CREW, CREW),
    "office:animals-move": (CREW, CREW),
    "office:animals-merge": (OFFICE, OFFICE),
    "office:animal-split": (OFFICE, OFFICE),
    "office:calving-run": (CREW, CREW),
    "office:lot-new": (CREW, CREW),
    "office:event-new": (CREW, CREW),
    "office:event-correct": (CREW, CREW),
    "office:event-void": (CREW, CREW),
    "office:events-many": (CREW, CREW),
    # Tags and their stock.
    "office:tags": READ,
    "office:tag-log": READ,
    "office:tags-doubtful": READ,
    "office:tag-boxes": READ,
    "office:tag-box": READ,
    "office:tag-new": (CREW, CREW),
    "office:tag-replace": (CREW, CREW),
    "office:tag-settle": (CREW, CREW),
    "office:tag-turned-up": (CREW, NO),
    "office:tag-box-found": (CREW, CREW),
    "office:tag-box-missing": (CREW, CREW),
    "office:tag-box-new": (OFFICE, OFFICE),
    "office:tag-box-correct": (OFFICE, OFFICE),
    "office:tag-box-out": (OFFICE, OFFICE),
    # Groups, locations, counts.
    "office:groups": READ,
    "office:group": READ,
    "office:group-moves": READ,
    "office:group-counts": READ,
    "office:group-new": (CREW, CREW),
    "office:group-place": (CREW, CREW),
    "office:group-change": (OFFICE, OFFICE),
    "office:group-close": (OFFICE, OFFICE),
    "office:group-reopen": (NO, OFFICE),
    "office:locations": READ,
    "office:location": READ,
    "office:location-moves": READ,
    "office:location-new": (OFFICE, OFFICE),
    "office:location-change": (OFFICE, OFFICE),
    "office:location-retire": (NO, OFFICE),
    "office:count": READ,
    "office:count-new": (CREW, CREW),
    "office:count-missing": (NO, CREW),
    "office:count-take-in": (NO, CREW),
    # Processing days.
    "office:days": READ,
    "office:day": READ,
    "office:day-progress": READ,
    "office:day-report": READ,
    "office:day-new": (CREW, CREW),
    "office:day-change": (NO, CREW),
    "office:day-again": (NO, CREW),
    "office:day-files-add": (NO, CREW),
    "office:day-apply": (OFFICE, OFFICE),
    "office:day-undo": (OFFICE, OFFICE),
    "office:file-rows": READ,
    "office:file-columns": (READER, CREW),
    "office:file-download": READ,
    "office:file-remove": (CREW, CREW),
    "office:review": READ,
    "office:review-rule": (READER, CREW),
    "office:review-take-back": (READER, CREW),
}

# The admin's own addresses, and those of each of its tables by the last part of their name.
ADMIN: dict[str, tuple[str, str]] = {
    "admin:index": (OFFICE, OFFICE),
    "admin:login": (OFFICE, OFFICE),
    "admin:logout": (NO, OFFICE),
    "admin:password_change": (OFFICE, OFFICE),
    "admin:password_change_done": (OFFICE, OFFICE),
    "admin:jsi18n": (OFFICE, NO),
    "admin:app_list": (OFFICE, OFFICE),
}
SEEN = ("changelist", "change", "history")
WRITTEN = ("add", "delete", "import", "export")
KEPT_LISTS = ("registry_breed", "registry_location", "registry_product", "registry_tagbox")
NOT_ADDED = ("intake_standingrule", "intake_recipe")
NOWHERE = "admin:(?P<url>.*)$"


@dataclass(frozen=True, slots=True)
class Address:
    """A named address of the site with the parts that it takes."""

    name: str
    parts: tuple[str, ...]


def addresses() -> list[Address]:
    """Every address but those of the API, which knows people by tokens and has tests of its own."""
    return sorted(_walk(get_resolver(), (), ()), key=lambda one: one.name)


def _walk(resolver: Any, spaces: tuple[str, ...], parts: tuple[str, ...]) -> Iterator[Address]:
    for one in resolver.url_patterns:
        taken = (*parts, *one.pattern.regex.groupindex)
        if not isinstance(one, URLResolver):
            yield Address(":".join((*spaces, one.name or str(one.pattern))), taken)
        elif one.namespace != "api":
            yield from _walk(one, (*spaces, one.namespace) if one.namespace else spaces, taken)


@pytest.fixture(scope="module")
def cast(django_db_setup, django_db_blocker):
    """Everyone, made once: what a visitor writes is taken back after each answer."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield everyone()
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def ids(cast):
    return make_ids(cast)


def make_ids(cast):
    """An id of Kettle Bench for each part of an address; the changeset is cal's own, who may take it back."""
    bench = cast.kettle_bench
    group = groups.open_group(entry=entry(bench), name="Upper Bench")
    animal = register(bench, eid_tag("840270000000417"), group_id=group)
    by_cal = Entry(bench, cast.cal, ChangesetKind.OFFICE, "Weaned")
    events.record(entry=by_cal, events=[NewEvent(animal, "weaning", date(2025, 5, 1))])
    day = ProcessingDay.objects.create(outfit=bench, name="Day", worked_on=date(2026, 1, 1), state=DayState.REVIEW)
    file = FieldFile.objects.create(day=day, name="day.csv", sha256="0" * 64, size=1, content=b"x", is_read=True)
    counted = Group.objects.get(pk=group)
    return {
        "animal_id": animal,
        "event_id": Event.objects.get(animal=animal).pk,
        "wearing_id": TagWearing.objects.get(animal=animal).pk,
        "group_id": group,
        "changeset_id": Changeset.objects.get(title="Weaned").pk,
        "day_id": day.pk,
        "file_id": file.pk,
        "place_id": OutfitPerson.objects.get(person=cast.dot).pk,
        "box_id": stock.receive(entry=entry(bench), kind="vid", first="1", last="9"),
        "location_id": groups.open_location(entry=entry(bench), name="Creek"),
        "list_id": lists.add(
            entry=entry(bench), subject="herd_list", facts={"name": "Cows", "question": "status=on_hand"}
        ),
        "device_id": make_device(
            outfit=bench, name="Chute", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=cast.ada
        )[0].pk,
        "step": "retire",
        "row_id": policies.set_value(
            entry=entry(bench), name="gestation", text="285", in_force_from=date(2026, 1, 1), today=date(2026, 6, 1)
        ),
        "check_id": headchecks.keep(
            entry=entry(bench), group=counted, on=date(2026, 1, 1), count=headchecks.Count(1)
        ),
    }


@pytest.fixture(scope="module")
def browsers(cast):
    """A browser for each kind of visitor."""
    people = {OWNER: cast.ada, OFFICE: cast.ben, CREW: cast.cal, READER: cast.dot, "stranger": cast.eve}
    found = {who: Client(raise_request_exception=False) for who in people}
    for who, client in found.items():
        client.force_login(people[who])
    return {**found, "nobody": Client(raise_request_exception=False)}


def answer_of(client: Client, method: str, address: str) -> int | str:
    """The answer's status, or where it leads; whatever it wrote is taken back, signing out as well."""
    cookies = client.cookies.output(header="")
    with transaction.atomic():
        answer = getattr(client, method)(address)
        transaction.set_rollback(True)
    client.cookies = SimpleCookie(cookies)
    where = getattr(answer, "url", "")
    return "sign in" if where.startswith(reverse("office:sign-in")) and "?next=" in where else answer.status_code


def is_let_in(who: str, least: str) -> bool:
    """Whether a visitor's role is enough."""
    if least == ANYONE:
        return True
    if who == "nobody" or least == SIGNED_IN:
        return who != "nobody"
    # The stranger owns an outfit, though another one.
    return RANK[Role.OWNER if who == "stranger" else Role(who)] >= RANK[Role(least)]


def wrong_answers(browsers: dict[str, Client], one: Address, address: str) -> list[str]:
    """Every visitor who gets another answer than the table says."""
    wrong = []
    for who, client in browsers.items():
        for method, least in zip(("get", "post"), least_of(one.name), strict=True):
            answer = answer_of(client, method, address)
            if not is_right(answer, who, least, has_ids=bool(set(one.parts) - {"app_label"})):
                wrong.append(f"{method} {one.name} as {who}: {answer} where {least} is least")
    return wrong


def is_right(answer: int | str, who: str, least: str, *, has_ids: bool) -> bool:
    """Whether the answer is the one for a visitor who is let in, or for one who is kept out."""
    if least == NO:
        # The admin asks who is there before it looks at the method.
        return answer in {405, 403, "sign in"}
    if least == NOBODY:
        return answer == 404
    if not is_let_in(who, least):
        return answer in ({"sign in", 302} if who == "nobody" else {403})
    if who == "stranger" and has_ids:
        return answer == 404
    return answer in {200, 204, 302, 400, 409}


def least_of(name: str) -> tuple[str, str]:
    """What the tables say of an address; fails for one that nobody has thought about."""
    if name in PAGES or name in ADMIN:
        return {**PAGES, **ADMIN}[name]
    table, _, page = name.removeprefix("admin:").rpartition("_")
    table, page = (table.removesuffix("_process"), "process") if table.endswith("_process") else (table, page)
    role = OWNER if table == "accounts_outfitperson" else OFFICE
    is_list = table in {*KEPT_LISTS, *NOT_ADDED, "accounts_outfitperson"}
    if page == "process":
        return NO, role
    if page in SEEN and is_list:
        return role, role
    if page in SEEN:
        return role, NO if page == "change" else role
    is_written = is_list and page in WRITTEN and not (page == "add" and table in NOT_ADDED)
    return (role, role) if is_written else (NO, NO)


def test_every_address_has_its_line_in_the_table():
    names = {one.name for one in addresses() if not one.name.startswith("admin:")}
    assert sorted(names - set(PAGES)) == []
    assert sorted(set(PAGES) - names) == []


@pytest.mark.parametrize(
    "one", [one for one in addresses() if not one.name.startswith("admin:")], ids=lambda one: one.name
)
def test_each_page_lets_in_whom_it_should_and_nobody_else(browsers, ids, one):
    address = reverse(one.name, kwargs={part: ids[part] for part in one.parts})
    assert wrong_answers(browsers, one, address) == []


def test_the_admin_lets_in_the_office_and_the_owner_and_nobody_else(browsers, ids):
    wrong, seen = [], 0
    for one in addresses():
        if not one.name.startswith("admin:") or one.name == NOWHERE or "object_id" in one.parts:
            continue
        # Rows of each table are tried one by one in the tests of the admin.
        parts = {"app_label": "registry"} if one.parts else {}
        wrong += wrong_answers(browsers, one, reverse(one.name, kwargs=parts))
        seen += 1
    assert seen > 40
    assert wrong == []


def test_an_address_that_nobody_knows_in_the_admin_tells_a_stranger_nothing(browsers):
    answers = {who: answer_of(client, "get", "/admin/nowhere/") for who, client in browsers.items()}
    assert answers.pop("nobody") == "sign in"
    assert answers == {OWNER: 404, OFFICE: 404, CREW: 403, READER: 403, "stranger": 404}
