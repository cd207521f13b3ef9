"""Who may call what installations alone call, and what a refusal says."""

from collections.abc import Callable
from io import BytesIO
from uuid import uuid4
from zipfile import ZipFile

import pytest

from herd.accounts.models import Outfit
from herd.archive.firstcopy import begin, enrol_here
from herd.archive.packing import pack
from herd.archive.refused import ArchiveRefused
from herd.client.faults import Blocked, Offline, Refused
from herd.client.wire import Wire
from herd.registry.models import Animal
from herd.sync.devices import change_state, enrol, make_device
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState, Operation, Upstream
from tests.api.conftest import Phone
from tests.cast import Cast, register
from tests.sync.sending import operation, push, statuses
from tests.sync.siblings.installation import URL, Installation, Line
from tests.sync.siblings.world import World

CALLS = (
    ("POST", "sync/relay/", {"devices": [], "ops": []}),
    ("POST", "sync/pull/", {"after": 0}),
    ("GET", "sync/copy/", None),
    ("GET", "sync/days/", None),
    ("GET", "sync/rulings/", None),
    ("GET", "sync/kept/", None),
)


def sibling_of(outfit: Outfit, role: DeviceRole = DeviceRole.OFFICE) -> Phone:
    """Another installation, enrolled."""
    name = f"installation {Device.objects.count()}"
    _, code = make_device(outfit=outfit, name=name, kind=DeviceKind.SIBLING, role=role, by=None)
    enrolled = enrol(code)
    return Phone(enrolled.device, enrolled.token)


@pytest.mark.parametrize(("method", "path", "body"), CALLS)
def test_phones_and_installations_that_may_less_are_refused(
    cast: Cast, phone_of: Callable[..., Phone], method: str, path: str, body: object
):
    for caller in (phone_of(cast.kettle_bench, DeviceRole.OFFICE), sibling_of(cast.kettle_bench, DeviceRole.CAPTURE)):
        assert caller.call(method, path, body).status_code == 403


def test_a_phone_sends_no_changesets(cast: Cast, phone_of: Callable[..., Phone]):
    phone = phone_of(cast.kettle_bench, DeviceRole.OFFICE)
    data = {"kind": "office", "recorded_at": "2026-03-14T08:00:00Z", "changes": []}
    assert statuses(push(phone, operation("changeset", data=data))) == ["quarantined"]


def test_another_outfits_rows_are_not_handed_out(cast: Cast):
    animal = register(cast.kettle_bench)
    stranger = sibling_of(cast.far_rim)
    answer = stranger.post("sync/pull/", {"after": 0, "subjects": {"animal": [str(animal)]}}).json()
    assert (answer["changes"], answer["rows"]) == ([], [])
    assert answer["absent"] == [{"kind": "animal", "id": str(animal)}]


def test_another_outfits_animal_is_not_written_to(cast: Cast):
    animal = register(cast.kettle_bench, breed="AN")
    stranger = sibling_of(cast.far_rim)
    change = {
        "id": str(uuid4()),
        "subject_kind": "animal",
        "subject_id": str(animal),
        "animal_id": str(animal),
        "action": "changed",
        "before": {"breed": "AN"},
        "after": {"breed": "CH"},
    }
    data = {"kind": "office", "title": "x", "recorded_at": "2026-03-14T08:00:00Z", "changes": [change]}
    push(stranger, operation("changeset", data=data))
    assert Animal.objects.get(pk=animal).breed == "AN"
    # It is about an animal that is not there, which may come yet.
    assert Operation.objects.get(outfit=cast.far_rim, kind="animal.edit").status == "held"


BAD = (
    {},
    {"kind": "office"},
    {"kind": "no such", "recorded_at": "2026-03-14T08:00:00Z", "changes": []},
    {"kind": "office", "recorded_at": "2026-03-14T08:00:00Z", "changes": "all"},
    {"kind": "office", "recorded_at": "2026-03-14T08:00:00Z", "changes": [{"id": "x"}]},
    {"kind": "office", "recorded_at": "2026-03-14T08:00:00Z", "changes": [None]},
    {"kind": "office", "recorded_at": "2026-03-14T08:00:00Z", "changes": [], "names": []},
    {"kind": "office", "recorded_at": "2026-03-14T08:00:00Z", "changes": [], "part": 0, "parts": "many"},
)


@pytest.mark.parametrize("data", BAD)
def test_a_changeset_that_cannot_be_read_is_kept_aside_and_stops_no_other(cast: Cast, data: dict[str, object]):
    sibling = sibling_of(cast.kettle_bench)
    good = {"kind": "office", "title": "x", "recorded_at": "2026-03-14T08:00:00Z", "changes": []}
    found = statuses(push(sibling, operation("changeset", data=data), operation("changeset", data=good)))
    assert found == ["quarantined", "applied"]


@pytest.mark.parametrize("column", ["colour_of_eyes", "outfit_id", "revision", "status"])
def test_a_change_of_a_column_that_the_ledger_does_not_write_is_kept_aside(cast: Cast, column: str):
    sibling = sibling_of(cast.kettle_bench)
    change = {
        "id": str(uuid4()),
        "subject_kind": "animal",
        "subject_id": str(uuid4()),
        "action": "created",
        "after": {"entry_class": "cow", column: "x"},
    }
    data = {"kind": "office", "title": "x", "recorded_at": "2026-03-14T08:00:00Z", "changes": [change]}
    push(sibling, operation("changeset", data=data))
    assert not Animal.objects.exists()
    assert Operation.objects.filter(status="quarantined").exists()


def test_a_large_changeset_comes_in_parts_and_is_written_whole(world: World, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("herd.sync.upstream.sending.MOST_IN_PART", 400)
    made = world.laptop.registers("840000000000950", world.groups[0], coat="red")
    world.settle()
    world.is_one()
    assert made is not None
    assert world.office.animal(made).coat == "red"
    with world.office.at.here():
        assert Operation.objects.filter(kind="changeset").count() > 2


def test_an_outfit_that_came_in_another_way_is_not_made_a_copy(world: World):
    with world.office.at.here():
        _, code = make_device(
            outfit=world.office.at.outfit, name="itself", kind=DeviceKind.SIBLING, role=DeviceRole.OFFICE, by=None
        )
    line = Line(world.office.at)
    with world.laptop.at.here():
        Upstream.objects.all().delete()
        enrolled = enrol_here(URL, code, line)
        with pytest.raises(ArchiveRefused, match="is here already"):
            begin(enrolled, Wire(URL, lambda: enrolled.token, line))


def test_a_new_code_goes_on_where_it_was(world: World):
    world.laptop.edits(world.herd[0], coat="red")
    with world.office.at.here():
        change_state(Device.objects.get(name="laptop"), DeviceState.BLOCKED)
    with pytest.raises(Blocked, match="ask the office"):
        world.laptop.at.sync()
    with world.laptop.at.here():
        upstream = Upstream.objects.get()
        assert (upstream.is_refused, bool(upstream.problem)) == (True, True)
    with world.office.at.here():
        _, code = make_device(
            outfit=world.office.at.outfit, name="laptop again", kind=DeviceKind.SIBLING, role=DeviceRole.OFFICE, by=None
        )
    line = world.laptop.at.line
    with world.laptop.at.here():
        enrolled = enrol_here(URL, code, line)
        assert begin(enrolled, Wire(URL, lambda: enrolled.token, line)).restored is None
    world.settle()
    world.is_one()
    assert world.office.animal(world.herd[0]).coat == "red"


def test_a_code_that_does_not_hold_is_told(databases: list[Installation], world: World):
    with pytest.raises(Refused, match="That code does not hold"):
        enrol_here(URL, "AAAAA-AAAAA", Line(databases[0]))


def test_an_office_that_cannot_be_reached_is_told_and_nothing_is_lost(world: World):
    world.laptop.edits(world.herd[0], coat="red")
    with pytest.raises(Offline):
        world.laptop.at.sync(lambda path, request: "lost")
    with world.laptop.at.here():
        upstream = Upstream.objects.get()
        assert (upstream.is_refused, bool(upstream.problem)) == (False, True)
    assert world.laptop.animal(world.herd[0]).coat == "red"


def test_the_token_stays_out_of_archives(world: World):
    with world.laptop.at.here():
        token, into = Upstream.objects.get().token, BytesIO()
        pack(into, world.laptop.at.outfit, with_passwords=False)
    with ZipFile(into) as archive:
        rows = archive.read("tables/sync.upstream.ndjson").decode()
    assert URL in rows
    assert token
    assert token not in rows
