"""What devices pull: the first copy, what changed since, and when something leaves what they may read."""

import gzip
import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from herd.ledger.models import Changeset, FeedCounter
from herd.registry.services import events, groups, policies
from herd.registry.services.batch import NewEvent
from herd.registry.undo import undo
from herd.reports.due import due_cows
from herd.sync.cursors import head_of
from tests.cast import eid_tag, entry, register, vid_tag
from tests.sync.sending import DAY, first_copy, operation, pull, push, weighing

EID = "840270000000123"


@pytest.fixture
def bench(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Upper Bench")


@pytest.fixture
def cow(kettle_bench, bench):
    return register(kettle_bench, eid_tag(EID), vid_tag("112"), group_id=bench, on=DAY.replace(month=1))


def test_a_first_copy_has_every_animal_with_its_card(phone, cow, bench):
    _, cards = first_copy(phone)
    assert set(cards) == {str(cow)}
    card = cards[str(cow)]
    assert (card["class"], card["status"], card["group"]) == ("cow", "on_hand", str(bench))
    assert [tag["number"] for tag in card["tags"]] == [EID, "112"]


def test_a_card_says_when_she_is_due_until_she_calves(phone, kettle_bench, cow):
    """As the office's due report reckons: by the service, by her breed, by the outfit's own days; a calving ends it."""
    today = timezone.now().astimezone(kettle_bench.zone).date()
    served = today - timedelta(days=200)
    events.record(entry=entry(kettle_bench), events=[NewEvent(cow, "service", served, {})])
    cursor, cards = first_copy(phone)
    reckoned = {one.animal_id: one.due.expected for one in due_cows(kettle_bench, today, today + timedelta(days=305))}
    assert reckoned[cow] == served + timedelta(days=283)
    assert cards[str(cow)]["due_on"] == reckoned[cow].isoformat()
    events.record(entry=entry(kettle_bench), events=[NewEvent(cow, "calving", today, {"outcome": "live"})])
    _, items = pull(phone, cursor)
    assert [one["card"]["due_on"] for one in items if one["id"] == str(cow)] == [None]


def test_a_card_is_due_by_the_outfits_own_days(phone, kettle_bench, cow):
    today = timezone.now().astimezone(kettle_bench.zone).date()
    checked = {"result": "pregnant", "days": 90}
    events.record(entry=entry(kettle_bench), events=[NewEvent(cow, "pregnancy_check", today, checked)])
    since = today - timedelta(days=30)
    policies.set_value(entry=entry(kettle_bench), name="gestation", text="290", in_force_from=since, today=today)
    _, cards = first_copy(phone)
    assert cards[str(cow)]["due_on"] == (today + timedelta(days=290 - 90)).isoformat()


def test_what_changed_since_comes_once_and_as_it_stands_now(phone, cow):
    cursor, _ = first_copy(phone)
    push(phone, weighing({"eid": EID}, "1180"), weighing({"eid": EID}, "1195", minute=2000))
    cursor, items = pull(phone, cursor)
    assert [(one["state"], one["id"]) for one in items] == [("in", str(cow))]
    assert [one["weight"] for one in items[0]["card"]["weights"]] == ["1195", "1180"]
    assert pull(phone, cursor)[1] == []


def test_a_small_page_says_that_there_is_more(phone, kettle_bench, cow):
    cursor, _ = first_copy(phone)
    herd = {str(register(kettle_bench, vid_tag(str(number)))) for number in range(200, 212)}
    page = phone.get(f"sync/changes/?cursor={cursor}&limit=2").json()
    assert page["more"] is True
    _, items = pull(phone, cursor, limit=2)
    assert {one["id"] for one in items} == herd


def test_a_phone_of_one_group_is_told_when_an_animal_leaves_it(phone_of, kettle_bench, bench, cow):
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    phone = phone_of(kettle_bench, groups=[bench])
    cursor, cards = first_copy(phone)
    assert set(cards) == {str(cow)}
    groups.move(entry=entry(kettle_bench), animal_ids=[cow], group_id=trap, on=DAY)
    _, items = pull(phone, cursor)
    assert items == [{"kind": "animal", "state": "out", "id": str(cow)}]


def test_a_phone_of_one_group_never_sees_another(phone_of, kettle_bench, bench, cow):
    phone = phone_of(kettle_bench, groups=[bench])
    cursor, _ = first_copy(phone)
    stray = register(kettle_bench, vid_tag("900"))
    _, items = pull(phone, cursor)
    assert [one.get("card") for one in items if one["id"] == str(stray)] == [None]


def test_an_animal_that_was_taken_back_is_gone(phone, kettle_bench, cow):
    cursor, _ = first_copy(phone)
    made = push(phone, operation("animal.register", {"animal": str(uuid4())}, data={"facts": {"entry_class": "cow"}}))
    undone = undo(entry(kettle_bench), _last_changeset(kettle_bench))
    assert undone.is_possible
    _, items = pull(phone, cursor)
    assert items == [{"kind": "animal", "state": "gone", "id": made[0]["animal"]}]


def _last_changeset(outfit):
    return Changeset.objects.filter(outfit=outfit).order_by("-recorded_at", "-id").first()


def test_groups_and_locations_come_with_the_first_copy_and_the_feed(phone, kettle_bench, bench):
    lines = b"".join(phone.get("sync/snapshot/").streaming_content).decode().splitlines()
    items = [json.loads(line) for line in lines]
    assert [one["card"]["name"] for one in items if one.get("kind") == "group"] == ["Upper Bench"]
    groups.open_location(entry=entry(kettle_bench), name="Home")
    _, later = pull(phone, items[0]["start"]["cursor"])
    assert [(one["kind"], one["card"]["name"]) for one in later] == [("location", "Home")]


def test_animals_of_a_group_that_lies_elsewhere_now_come_again(phone, kettle_bench, bench, cow):
    place = groups.open_location(entry=entry(kettle_bench), name="Home")
    cursor, _ = first_copy(phone)
    groups.change_group(entry=entry(kettle_bench), group_id=bench, facts={"location_id": place})
    _, items = pull(phone, cursor)
    assert {one["id"] for one in items} == {str(bench), str(cow)}


def test_a_copy_that_was_cut_off_goes_on_where_it_was(phone, kettle_bench):
    herd = sorted(str(register(kettle_bench, vid_tag(str(number)))) for number in range(6))
    cursor, _ = first_copy(phone)
    register(kettle_bench, vid_tag("7"))
    answer = phone.get(f"sync/snapshot/?after={herd[2]}&cursor={cursor}")
    items = [json.loads(line) for line in b"".join(answer.streaming_content).decode().splitlines()]
    assert items[0]["start"]["cursor"] == cursor
    assert [one["id"] for one in items[1:-1]][:3] == herd[3:]


def test_a_copy_that_was_cut_off_does_not_go_on_with_other_groups(phone_of, phone, kettle_bench, bench, cow):
    cursor, _ = first_copy(phone)
    narrow = phone_of(kettle_bench, groups=[bench])
    answer = narrow.get(f"sync/snapshot/?after={cow}&cursor={cursor}")
    assert (answer.status_code, answer.json()["type"]) == (409, "urn:notchbook:problem:scope-changed")
    assert answer.json()["action"] == "snapshot"


def test_a_copy_that_was_cut_off_does_not_go_on_after_a_restore(phone, kettle_bench, cow):
    cursor, _ = first_copy(phone)
    FeedCounter.objects.filter(outfit=kettle_bench).update(epoch=uuid4())
    answer = phone.get(f"sync/snapshot/?after={cow}&cursor={cursor}")
    assert (answer.status_code, answer.json()["type"]) == (409, "urn:notchbook:problem:epoch-changed")


@pytest.mark.parametrize("half", ["after=00000000-0000-7000-8000-000000000000", "cursor=abc"])
def test_a_copy_goes_on_only_where_it_is_said_which(phone, half):
    assert phone.get(f"sync/snapshot/?{half}").status_code == 422


def test_a_first_copy_is_compressed_for_who_takes_that(phone, kettle_bench, cow):
    plain = b"".join(phone.get("sync/snapshot/").streaming_content)
    answer = phone.get("sync/snapshot/", **{"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(b"".join(answer.streaming_content)) == plain


def test_a_page_of_changes_is_compressed_for_who_takes_that(phone, kettle_bench):
    cursor, _ = first_copy(phone)
    for number in range(5):
        register(kettle_bench, vid_tag(str(number)))
    answer = phone.get(f"sync/changes/?cursor={cursor}", **{"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert len(json.loads(gzip.decompress(answer.content))["items"]) == 5


def test_a_cursor_of_before_a_restore_asks_for_a_first_copy(phone, kettle_bench, cow):
    cursor, _ = first_copy(phone)
    FeedCounter.objects.filter(outfit=kettle_bench).update(epoch=uuid4())
    answer = phone.get(f"sync/changes/?cursor={cursor}")
    assert (answer.status_code, answer.json()["type"]) == (409, "urn:notchbook:problem:epoch-changed")
    assert answer.json()["action"] == "snapshot"


def test_a_cursor_of_other_groups_asks_for_a_first_copy(phone_of, phone, kettle_bench, bench, cow):
    cursor, _ = first_copy(phone)
    narrow = phone_of(kettle_bench, groups=[bench])
    assert narrow.get(f"sync/changes/?cursor={cursor}").json()["type"].endswith("scope-changed")


@pytest.mark.parametrize("cursor", ["x", "e30", "bm9uc2Vuc2U", "a" * 399])
def test_a_cursor_that_is_none_asks_for_a_first_copy(phone, cursor):
    assert phone.get(f"sync/changes/?cursor={cursor}").status_code == 410


def test_what_the_record_lacks_after_a_restore_can_be_sent_again(phone, kettle_bench, cow):
    sent = weighing({"eid": EID})
    push(phone, sent)
    lacking = str(uuid4())
    answer = phone.post("sync/known/", {"op_ids": [sent["op_id"], lacking]}).json()
    assert [one["op_id"] for one in answer["known"]] == [sent["op_id"]]
    assert answer["epoch"] == str(head_of(kettle_bench).epoch)


def test_a_first_copy_takes_the_same_queries_however_many_animals(phone, kettle_bench, django_assert_max_num_queries):
    for number in range(30):
        register(kettle_bench, vid_tag(str(number)))
    with django_assert_max_num_queries(16):
        assert len(first_copy(phone)[1]) == 30
