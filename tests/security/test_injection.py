"""Markup, templates, SQL, formats and odd bytes given to every page: told back as text, or refused, and no error."""

import re
from datetime import date
from itertools import cycle

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.services import events, groups, lists
from herd.registry.services.batch import NewEvent
from tests.cast import entry, everyone, register, vid_tag
from tests.config.installation import ROOT
from tests.office.test_roles import NO, NOBODY, PAGES, addresses, make_ids

pytestmark = pytest.mark.django_db

MARK = "\"'><script>alert(1)</script>{{7*191}}{% now 'Y' %}"
WORST = f"{MARK}' OR 1=1 --%s%(x)s{{0.__class__}}\\"
OTHERS = ("\x00\ud7ff\u202e", "-99999999999999999999", "2026-02-30")
# What the pages ask for by name: read from the code, so that a new question is tried as well.
ASKED = re.compile(r"GET(?:\.get(?:list)?\(|\[)\"([a-z_]+)\"")
FIELDS = re.compile(r"^    ([a-z_]+) = (?:forms\.)?\w*Field\(", re.MULTILINE)
HARMLESS = {"as", "next"}


def names():
    texts = [path.read_text() for folder in ("office", "reports") for path in (ROOT / "herd" / folder).rglob("*.py")]
    return sorted({name for text in texts for way in (ASKED, FIELDS) for name in way.findall(text)} - HARMLESS)


@pytest.fixture(scope="module")
def ranch(django_db_setup, django_db_blocker):
    """Ada's browser, ids for every part of an address, and names in the record that are markup themselves."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = everyone()
        ids = make_ids(cast)
        bench = cast.kettle_bench
        pen = groups.open_group(entry=entry(bench, title=MARK), name=MARK)
        groups.open_location(entry=entry(bench), name=MARK)
        lists.add(entry=entry(bench), subject="product", facts={"name": MARK})
        animal = register(bench, vid_tag("9"), group_id=pen)
        events.record(entry=entry(bench), events=[NewEvent(animal, "note", date(2026, 1, 2), {"note": MARK})])
        ids["animal_id"], ids["group_id"] = animal, pen
        browser = Client(raise_request_exception=False)
        browser.force_login(cast.ada)
        yield browser, ids
        transaction.set_rollback(True)


def pages(way):
    """Each page that answers to GET (0) or POST (1), by name."""
    return [one for one in addresses() if PAGES.get(one.name, (NO, NO))[way] not in {NO, NOBODY}]


def test_the_names_of_many_questions_are_known():
    assert len(names()) > 60


def test_what_is_asked_of_a_page_comes_back_as_text(ranch):
    browser, ids = ranch
    faults = []
    for one, other in zip(pages(0), cycle(OTHERS)):
        address = reverse(one.name, kwargs={part: ids[part] for part in one.parts})
        for nasty in (WORST, other):
            answer = browser.get(address, dict.fromkeys(names(), nasty))
            faults += faults_of(one.name, answer)
    assert faults == []


def test_what_is_sent_to_a_page_is_refused_or_kept_as_text(ranch):
    browser, ids = ranch
    faults, written = [], Changeset.objects.count()
    for one, other in zip(pages(1), cycle(OTHERS)):
        if one.name in {"office:sign-out", "office:sign-in"}:
            continue
        address = reverse(one.name, kwargs={part: ids[part] for part in one.parts})
        for nasty in (WORST, other):
            with transaction.atomic():
                answer = browser.post(address, dict.fromkeys(names(), nasty))
                faults += faults_of(one.name, answer)
                transaction.set_rollback(True)
    assert faults == []
    assert Changeset.objects.count() == written


def faults_of(name, answer):
    body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    is_page = answer.headers["Content-Type"].startswith("text/html")
    found = [f"status {answer.status_code}"] if answer.status_code >= 500 else []
    found += ["markup"] if is_page and b"<script>alert(1)" in body else []
    found += ["template"] if b"1337" in body else []
    return [f"{name}: {fault}" for fault in found]
