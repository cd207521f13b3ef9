"""Every page of the office in a real browser, at a desk by day and on a phone by night: whole, quiet, and legible."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_FILE_PATH
from django.core.cache import cache
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from playwright.sync_api import Error

from herd.accounts.models import Outfit, OutfitPerson
from herd.config.demo import load
from herd.intake.models import FieldFile, ProcessingDay
from herd.ledger.entry import Entry
from herd.ledger.models import Changeset, ChangesetKind
from herd.registry.models import Event, Group, Location, TagWearing
from herd.registry.services import headchecks, lists, stock
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SCREENS: dict[str, dict[str, Any]] = {
    "desk": {"viewport": {"width": 1440, "height": 900}, "color_scheme": "light"},
    "phone": {"viewport": {"width": 390, "height": 844}, "color_scheme": "dark", "has_touch": True},
}
# WCAG 2.2 AA and what it builds on, by the names that axe-core gives its rules.
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
CHECK = """async (rules) => {
    const found = await axe.run({runOnly: {type: "tag", values: rules}});
    const places = (one) => one.nodes.slice(0, 3).map((node) => node.target.join(" ")).join(", ");
    return found.violations.map((one) => `${one.id}: ${places(one)}`);
}"""
OWN_BYTES = """() => performance.getEntriesByType("resource")
    .filter(one => one.name.includes("/static/office/") && /\\.(js|css)/.test(one.name))
    .reduce((sum, one) => sum + one.decodedBodySize, 0)"""
MOST_OWN_BYTES = 100_000

# Addresses that answer with no page of their own: what ends a session, a piece of a page, a file.
NO_PAGES = {
    "sign-out",
    "first-run",
    "group-reopen",
    "count-missing",
    "count-take-in",
    "location-retire",
    "archive-file",
    "day-progress",
    "day-change",
    "day-files-add",
    "day-again",
    "device-code",
    "device-change",
    "device-unsent",
    "file-download",
    "herd-picked",
    "herd-kept-out",
    "herd-day",
    "person-role",
    "review-rule",
    "review-take-back",
    "report-week-block",
    "policy-back",
}


def office_names() -> Iterator[tuple[str, tuple[str, ...]]]:
    """The name of each address of the office, with the ids that it asks for."""
    office = next(one for one in get_resolver().url_patterns if getattr(one, "app_name", "") == "office")
    yield from names_below(office)


def names_below(part: URLResolver | URLPattern) -> Iterator[tuple[str, tuple[str, ...]]]:
    if isinstance(part, URLPattern):
        yield str(part.name), ()
        return
    for one in part.url_patterns:
        if isinstance(one, URLResolver):
            yield from names_below(one)
        else:
            yield str(one.name), tuple(one.pattern.converters)


def sample_ids(outfit: Outfit) -> dict[str, Any]:
    """One id for each kind that addresses ask for; the animal has a life worth showing."""
    who = Entry(outfit, None, ChangesetKind.OFFICE, "Samples")
    event = Event.objects.of(outfit).filter(kind="weight").order_by("-happened_on").first()
    assert event is not None
    group = Group.objects.of(outfit).filter(name="Mill Trap").get()
    question = {"name": "Heifers", "question": "status=on_hand&animal_class=heifer"}
    device, _ = make_device(outfit=outfit, name="Phone", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None)
    day = ProcessingDay.objects.filter(outfit=outfit).first()
    return {
        "animal_id": event.animal_id,
        "event_id": event.pk,
        "wearing_id": TagWearing.objects.of(outfit).filter(animal=event.animal_id, ended="", kind="vid").get().pk,
        "group_id": group.pk,
        "location_id": Location.objects.of(outfit).values_list("pk", flat=True).first(),
        "box_id": stock.receive(entry=who, kind="vid", first="9001", last="9050", colour="green"),
        "list_id": lists.add(entry=who, subject="herd_list", facts=question),
        "check_id": headchecks.keep(entry=who, group=group, on=day.worked_on, count=headchecks.Count(600)),
        "place_id": OutfitPerson.objects.filter(outfit=outfit).values_list("pk", flat=True).first(),
        "device_id": device.pk,
        "changeset_id": Changeset.objects.filter(outfit=outfit, title="Herd list").values_list("pk", flat=True).first(),
        "day_id": day.pk,
        "file_id": FieldFile.objects.filter(day=day).values_list("pk", flat=True).first(),
    }


def addresses(outfit: Outfit) -> dict[str, str]:
    """The address of each page by its name; fails where an address asks for an id that no sample is known of."""
    ids = sample_ids(outfit)
    wanted = {name: kinds for name, kinds in office_names() if name not in NO_PAGES}
    unknown = {kind for kinds in wanted.values() for kind in kinds} - set(ids)
    assert not unknown, f"no sample for {sorted(unknown)}"
    return {
        name: reverse(f"office:{name}", kwargs={kind: ids[kind] for kind in kinds}) for name, kinds in wanted.items()
    }


def faults_of(page: Any, name: str, address: str, screen: str) -> list[str]:
    """What is wrong with one page: its status, a sideways scroll, complaints of the browser, axe's violations."""
    page.complaints.clear()
    try:
        answer = page.goto(address)
    except Error as fault:
        return [f"{name} ({screen}): {fault.message.splitlines()[0]}"]
    faults = [] if answer.status == 200 else [f"status {answer.status}"]
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    faults += [f"scrolls sideways by {wide} pixels"] if wide else []
    own = page.evaluate(OWN_BYTES)
    faults += [f"{own} bytes of own script and style"] if own > MOST_OWN_BYTES else []
    page.evaluate(Path(AXE_FILE_PATH).read_text(encoding="utf-8"))
    faults += page.evaluate(CHECK, RULES)
    if folder := os.environ.get("NOTCHBOOK_SHOTS"):
        page.screenshot(path=f"{folder}/{name}-{screen}.png", full_page=True)
    return [f"{name} ({screen}): {fault}" for fault in [*faults, *page.complaints]]


def test_every_page_is_whole_quiet_and_legible(browser, live_server):
    sign_in = load(lambda said: None)
    outfit = Outfit.objects.get(code=sign_in.outfit_code)
    pages = addresses(outfit)
    faults: list[str] = []
    for screen, settings in SCREENS.items():
        cache.clear()
        context = browser.new_context(base_url=live_server.url, **settings)
        page = context.new_page()
        page.complaints = []
        page.on("console", lambda said, page=page: page.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda fault, page=page: page.complaints.append(str(fault)))
        faults += faults_of(page, "sign-in", pages["sign-in"], screen)
        page.get_by_label("User name").fill(sign_in.username)
        page.get_by_label("Password").fill(sign_in.password)
        page.keyboard.press("Enter")
        page.get_by_role("heading", name="Herd count", level=1).wait_for()
        for name, address in pages.items():
            if name != "sign-in":
                faults += faults_of(page, name, address, screen)
        context.close()
    assert not faults, "\n".join(faults)
