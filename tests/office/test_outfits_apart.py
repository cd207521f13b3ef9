"""Two outfits never see each other: every address with an id of the other outfit answers 404."""

from datetime import date

import pytest
from django.db import transaction
from django.test import Client
from django.urls import get_resolver, reverse

from herd.accounts.models import OutfitPerson
from herd.intake.models import DayState, FieldFile, Finding, ProcessingDay
from herd.ledger.models import Change, Changeset
from herd.registry.models import Group, TagWearing
from herd.registry.services import groups, headchecks, lists, policies, stock
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.cast import eid_tag, entry, everyone, register
from tests.office.conftest import weigh

EID = "840270000000999"


@pytest.fixture
def far_ids(cast):
    return ids_of(cast.far_rim)


@pytest.fixture(scope="module")
def apart(django_db_setup, django_db_blocker):
    """Ada's browser and the ids of Far Rim, made once for all addresses."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = everyone()
        browser = Client()
        browser.force_login(cast.ada)
        yield browser, ids_of(cast.far_rim)
        transaction.set_rollback(True)


def ids_of(rim):
    """Ids of an outfit by the name of the address part they fit."""
    group = groups.open_group(entry=entry(rim), name="Rim Pasture")
    animal = register(rim, eid_tag(EID), group_id=group)
    weigh(rim, animal, date(2025, 5, 1), "1100")
    day = ProcessingDay.objects.create(outfit=rim, name="Rim day", worked_on=date(2026, 1, 1), state=DayState.REVIEW)
    file = FieldFile.objects.create(day=day, name="rim.csv", sha256="0" * 64, size=1, content=b"x", is_read=True)
    finding = Finding.objects.create(day=day, key="k", kind="unknown_tag", alike="a", title="t")
    return {
        "animal_id": animal,
        "event_id": animal_event(animal),
        "wearing_id": TagWearing.objects.get(animal=animal).pk,
        "group_id": group,
        "changeset_id": Changeset.objects.filter(outfit=rim).first().pk,
        "day_id": day.pk,
        "file_id": file.pk,
        "finding_id": finding.pk,
        "list_id": lists.add(entry=entry(rim), subject="herd_list", facts={"name": "Rim cows", "question": ""}),
        "place_id": OutfitPerson.objects.get(outfit=rim).pk,
        "box_id": stock.receive(entry=entry(rim), kind="vid", first="1", last="9"),
        "location_id": groups.open_location(entry=entry(rim), name="Rim Creek"),
        "device_id": make_device(
            outfit=rim, name="Chute", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None
        )[0].pk,
        "step": "block",
        "row_id": policies.set_value(
            entry=entry(rim), name="gestation", text="285", in_force_from=date(2026, 1, 1), today=date(2026, 6, 1)
        ),
        "check_id": headchecks.keep(
            entry=entry(rim), group=Group.objects.get(pk=group), on=date(2026, 1, 1), count=headchecks.Count(1)
        ),
    }


def animal_event(animal):
    return Change.objects.get(animal_id=animal, subject_kind="event").subject_id


def addresses_with_ids():
    """Every named address of the office that takes an id, with the names of its parts."""
    office = get_resolver().namespace_dict["office"][1]
    found = {}
    for name, ways in office.reverse_dict.items():
        if isinstance(name, str):
            parts = ways[0][0][1]
            if parts:
                found[name] = parts
    return found


def test_every_part_of_every_address_has_an_id_to_try(apart):
    parts = {part for some in addresses_with_ids().values() for part in some}
    assert parts <= set(apart[1])
    assert len(addresses_with_ids()) > 20


@pytest.mark.parametrize("name", sorted(addresses_with_ids()))
def test_an_id_of_another_outfit_answers_404(apart, name):
    browser, far_ids = apart
    address = reverse(f"office:{name}", kwargs={part: far_ids[part] for part in addresses_with_ids()[name]})
    written = Changeset.objects.count()
    answers = {
        getattr(browser, method)(address, {"finding": far_ids["finding_id"]}).status_code for method in ("get", "post")
    }
    # A page that takes only GET or only POST says so before it looks at any id.
    assert answers in ({404}, {404, 405}), address
    assert Changeset.objects.count() == written


def test_own_and_foreign_ids_do_not_mix_in_one_address(ada_in, herd, far_ids):
    address = reverse("office:event-void", args=[herd.cow, far_ids["event_id"]])
    assert ada_in.get(address).status_code == 404
    address = reverse("office:tag-replace", args=[herd.cow, far_ids["wearing_id"]])
    assert ada_in.get(address).status_code == 404


def test_finding_looks_only_into_the_own_herd(ada_in, far_ids):
    page = ada_in.get(reverse("office:find"), {"q": EID}).content.decode()
    assert "Nothing found" in page


def test_moving_into_a_group_of_another_outfit_is_refused(ada_in, herd, far_ids):
    answer = ada_in.post(
        reverse("office:animal-move", args=[herd.cow]), {"group": far_ids["group_id"], "on": "2026-01-02"}
    )
    assert answer.status_code == 200
    assert "Select a valid choice" in answer.content.decode()


def test_one_animal_of_another_outfit_can_not_be_undone_by_a_stray_id(ada_in, herd, far_ids):
    own = Changeset.objects.filter(outfit__code="kettle-bench").first()
    address = f"{reverse('office:changeset-undo', args=[own.pk])}?animal={far_ids['animal_id']}"
    answer = ada_in.post(address)
    assert answer.status_code == 409
    assert "There is nothing left to take back" in answer.content.decode()
