"""A whole day without network, and all that can go wrong in it: what was called saved reaches the record, once."""

import json
import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db.models import QuerySet
from django.utils import timezone
from playwright.sync_api import expect

from herd.chute import shell as shells
from herd.ledger.models import FeedCounter
from herd.registry.models import Event
from herd.sync.devices import change_state, renew_code
from herd.sync.models import Device, DeviceState, Operation
from tests.chute.conftest import eid
from tests.chute.phone import Phone

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def weights() -> list[str]:
    """The weights in the record that came from the chute, each as often as it is there."""
    since = timezone.now().date() - timedelta(days=3)
    rows = Event.objects.filter(kind="weight", is_void=False, happened_on__gte=since)
    return sorted(one.data["weight"] for one in rows)


def work(phone: Phone, *numbers: int) -> list[str]:
    """Weigh cows, each with a weight of its own, the last one kept by its button; the weights."""
    for number in numbers:
        phone.scan(eid(number))
        phone.sees(f"{number} yellow")
        phone.weigh(str(1150 + number))
    phone.keep()
    return sorted(str(1150 + number) for number in numbers)


def cut(page: Any) -> None:
    """Cut the network; a page that was opened while it was cut is told again, since the browser may not have been."""
    for is_offline in (False, True):
        page.context.set_offline(is_offline)


def test_a_day_without_network_and_a_page_killed_in_it(phone):
    """Started without network, killed with one weight typed and not kept, started again: all is there."""
    context = phone.page.context
    context.set_offline(True)
    phone.open()
    phone.sees_nothing()
    work(phone, 1, 2)
    phone.scan(eid(3))
    phone.weigh("1153")
    phone.until("chute.store.all('drafts').then((rows) => rows.some((row) => row.entry.fields.weight === '1153'))")
    page = context.new_page()
    phone.page.close()
    cut(page)
    again = Phone(page)
    again.open()
    expect(again.last).to_contain_text("It is not kept yet")
    again.sees("3 yellow")
    expect(page.locator("input[name=weight]")).to_have_value("1153")
    again.keep()
    expect(page.locator("#counts")).to_have_text("Through 3 Expected 5")
    expect(page.locator("#sent")).to_contain_text("Unsent 3")
    assert weights() == []
    context.set_offline(False)
    again.delivers()
    assert weights() == ["1151", "1152", "1153"]


def test_answers_that_are_lost_double_nothing(phone):
    """The server takes it and the answer is lost; it stumbles; it is busy; and in the end each is there once."""
    page, answers = phone.page, ["lost", "500", "503"]

    def spoil(route: Any) -> None:
        how = answers.pop(0) if answers else ""
        if how == "lost":
            route.fetch()
            route.abort()
        elif how:
            route.fulfill(status=int(how), body="", headers={"Retry-After": "1"} if how == "503" else {})
        else:
            route.continue_()

    page.route("**/sync/push/", spoil)
    sent = work(phone, 1, 2, 3)
    phone.until("!chute.sync.running", 30)
    for _ in range(4):
        page.evaluate("chute.sync.now()")
        phone.until("!chute.sync.running", 30)
    phone.delivers()
    assert answers == []
    assert weights() == sent
    assert Operation.objects.count() == 3


def test_two_pages_of_one_device(phone):
    """Both capture, one sends at a time, each sees what the other did."""
    other = Phone(phone.page.context.new_page())
    other.open()
    phone.page.context.set_offline(True)
    sent = [*work(phone, 1, 2), *work(other, 3, 4)]
    other.scan(eid(1))
    expect(other.page.locator("#card")).to_contain_text("Already through today: 1151 lb")
    other.page.get_by_role("button", name="Leave it").click()
    expect(phone.page.locator("#sent")).to_contain_text("Unsent 4")
    phone.page.context.set_offline(False)
    phone.delivers()
    other.delivers()
    assert weights() == sorted(sent)
    numbers = [body["dseq"] for body in Operation.objects.values_list("body", flat=True)]
    assert sorted(numbers) == [1, 2, 3, 4]


def test_a_clock_that_is_wrong_by_a_day(opened, code_of, cows, bench):
    """What the device dates yesterday or tomorrow happened when the server's clock says."""
    for place, off in enumerate((-1, 1)):
        page = opened().new_page()
        page.clock.install(time=timezone.now() + timedelta(days=off))
        phone = Phone(page)
        phone.enrol(code_of(f"Phone {off}"))
        phone.choose("Upper Bench")
        work(phone, 1 + place)
        page.clock.run_for(2_000)
        phone.delivers()
    rows = Operation.objects.all()
    assert len(rows) == 2
    assert [abs(one.happened_at - timezone.now()) < timedelta(minutes=3) for one in rows] == [True, True]
    assert all("clock" in one.clock_note for one in rows)


def test_a_token_that_holds_no_more(phone, kettle_bench):
    """Blocked in mid-day: what is captured stays and is told; a new code, and it goes on."""
    device = Device.objects.get(name="Phone")
    work(phone, 1)
    phone.delivers()
    change_state(device, DeviceState.BLOCKED)
    work(phone, 2, 3)
    expect(phone.alarm).to_contain_text("Enrol this device again")
    assert phone.unsent() == 2
    change_state(Device.objects.get(pk=device.pk), DeviceState.ACTIVE)
    phone.page.locator("#sent").click()
    phone.page.locator("#enrol-again").click()
    expect(phone.page.locator("#page")).to_contain_text("2 unsent entries are safe")
    phone.page.get_by_label("One-time code").fill(renew_code(Device.objects.get(pk=device.pk)).lower())
    phone.page.get_by_role("button", name="Enrol", exact=True).click()
    phone.delivers()
    assert weights() == ["1151", "1152", "1153"]
    expect(phone.alarm).to_be_empty()


# No room is left: what is written is refused as a full storage refuses it. The browser's own limit can't be lowered
# from outside, so that this stands in its place.
FULL = """() => {
    const {add, put} = IDBObjectStore.prototype;
    const refuse = () => { throw new DOMException("full", "QuotaExceededError"); };
    Object.assign(IDBObjectStore.prototype, {add: refuse, put: refuse});
    globalThis.makeRoom = () => Object.assign(IDBObjectStore.prototype, {add, put});
}"""


def test_storage_that_is_full_is_said_and_nothing_is_called_saved(phone):
    page = phone.page
    page.context.set_offline(True)
    work(phone, 1)
    phone.scan(eid(2))
    phone.weigh("1152")
    page.evaluate(FULL)
    page.locator("#keep").click()
    expect(phone.alarm).to_contain_text("storage of this device is full")
    phone.sees("2 yellow")
    expect(page.locator("input[name=weight]")).to_have_value("1152")
    # The next number does not push it out either.
    phone.scan(eid(3))
    expect(phone.alarm).to_contain_text("could not be kept")
    phone.sees("2 yellow")
    assert phone.unsent() == 1
    page.evaluate("makeRoom()")
    phone.keep()
    expect(phone.alarm).to_be_empty()
    page.context.set_offline(False)
    phone.delivers()
    assert weights() == ["1151", "1152"]


def test_storage_that_is_taken_away(phone):
    """Emptied under a living page: memory still has it. Emptied while nobody looks: the page says what it is."""
    page = phone.page
    page.context.set_offline(True)
    work(phone, 1, 2)
    devtools = page.context.new_cdp_session(page)
    origin = re.match(r"https?://[^/]+", page.url)
    devtools.send("Storage.clearDataForOrigin", {"origin": origin[0], "storageTypes": "indexeddb"})
    expect(phone.alarm).to_contain_text("2 unsent entries were written again")
    assert phone.page.evaluate("chute.store.all('operations').then((rows) => rows.length)") == 2
    page.context.set_offline(False)
    page.evaluate("chute.sync.now()")
    phone.delivers()
    assert weights() == ["1151", "1152"]
    devtools.send("Storage.clearDataForOrigin", {"origin": origin[0], "storageTypes": "indexeddb"})
    page.goto("about:blank")
    devtools.send("Storage.clearDataForOrigin", {"origin": origin[0], "storageTypes": "indexeddb"})
    phone.open()
    expect(page.get_by_role("heading", name="Enrol this device")).to_be_visible()


def test_a_new_version_in_mid_day(phone, monkeypatch):
    """It waits until it is started by hand; what is unsent, and what is typed, is there after it."""
    page = phone.page
    phone.open()
    phone.until("Boolean(navigator.serviceWorker.controller)")
    page.context.set_offline(True)
    work(phone, 1, 2)
    # The network is there for the new version, and nothing is sent meanwhile.
    page.evaluate("chute.sync.alone = async () => {}")
    page.context.set_offline(False)
    old = shells.shell()
    fresh = shells.Shell(old.page, old.addresses, "f" * 16)
    monkeypatch.setattr(shells, "shell", lambda: fresh)
    page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.update()).then(() => 0)")
    expect(page.locator("#update")).to_be_visible()
    page.context.set_offline(True)
    phone.scan(eid(3))
    phone.weigh("1153")
    phone.until("chute.store.all('drafts').then((rows) => rows.length === 1)")
    with page.expect_navigation():
        page.get_by_role("button", name="Start it").click()
    phone.until("Boolean(window.chute) && chute.version === 'ffffffffffffffff'")
    phone.sees("3 yellow")
    assert phone.unsent() == 2
    phone.keep()
    page.context.set_offline(False)
    phone.delivers()
    assert weights() == ["1151", "1152", "1153"]


def test_a_record_put_back_to_yesterday_gets_what_it_lacks(phone, kettle_bench):
    """The epoch changes: what the server said it had is asked for, and what it lacks is sent again."""
    work(phone, 1, 2)
    phone.delivers()
    # As after a restore: the operations and what they wrote are gone, and the feed begins another epoch.
    lost = Operation.objects.get(body__data__data__weight="1152")
    QuerySet(Event).filter(pk=lost.op_id).delete()
    lost.delete()
    FeedCounter.objects.filter(outfit=kettle_bench).update(epoch=uuid4())
    phone.sync()
    phone.until("[...chute.outbox.rows.values()].every((row) => row.status === 'applied')")
    assert weights() == ["1151", "1152"]


def test_a_device_that_may_read_less_copies_anew_and_delivers_all(phone, kettle_bench, trap):
    """The groups that it may read change in mid-day: the herd goes, what was captured stays and is sent."""
    phone.page.context.set_offline(True)
    sent = work(phone, 1, 2)
    Device.objects.filter(name="Phone").update(groups=[str(trap)])
    phone.page.context.set_offline(False)
    phone.delivers()
    phone.until("chute.herd.base.size === 0")
    assert weights() == sent


def test_what_is_unsent_is_saved_as_a_file_that_the_server_takes(phone, live_server):
    phone.page.context.set_offline(True)
    sent = work(phone, 1, 2)
    phone.page.locator("#sent").click()
    with phone.page.expect_download() as loading:
        phone.page.locator("#save").click()
    saved = json.loads(loading.value.path().read_text())
    assert [one["data"]["data"]["weight"] for one in saved["ops"]] == sent
    token = phone.page.evaluate("chute.meta.token")
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    body = json.dumps({"ops": saved["ops"]})
    answer = phone.page.context.request.post(f"{live_server.url}/api/v1/sync/push/", data=body, headers=headers)
    assert [one["status"] for one in answer.json()["results"]] == ["applied", "applied"]
    # The device sends them as well, later: it is answered from what is stored.
    phone.page.context.set_offline(False)
    phone.delivers()
    assert weights() == sent
