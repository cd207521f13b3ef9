"""A server put back to last night's backup gets from its devices what it had lost, each thing once."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.db import transaction

from herd.client import Client, Offline
from herd.ledger.models import FeedCounter
from herd.registry.models import Event
from herd.sync.models import Operation
from tests.cast import register, vid_tag
from tests.client.linking import around, drop_answer, drop_request
from tests.client.test_push import note, recorded


@pytest.fixture
def restore(kettle_bench, cow, scale) -> Iterator[Callable[..., None]]:
    """Puts the whole database back to where it was at the test's beginning, as a backup does; a new epoch with it."""
    point = transaction.savepoint()

    def put_back(*, epoch: bool = True) -> None:
        transaction.savepoint_rollback(point)
        if epoch:
            FeedCounter.objects.filter(outfit=kettle_bench).update(epoch=uuid4())

    return put_back


def test_what_the_backup_lacks_comes_again(scale, restore):
    ids = note(scale, 30)
    scale.sync()
    restore()
    assert recorded() == set()
    ids |= note(scale, 2, "after")
    scale.sync()
    assert recorded() == ids
    assert scale.unsent() == scale.trouble() == []


def test_a_device_with_nothing_to_say_notices_too(scale, restore):
    ids = note(scale, 5)
    scale.sync()
    restore()
    scale.sync()
    assert recorded() == ids


def test_a_device_without_a_copy_notices_too(scale, restore):
    ids = note(scale, 5)
    scale.push()
    restore()
    scale.sync()
    assert recorded() == ids


def test_a_backup_that_was_put_back_under_the_old_epoch_is_noticed_by_its_feed(scale, restore):
    ids = note(scale, 5)
    scale.sync()
    restore(epoch=False)
    scale.sync()
    assert recorded() == ids


def test_what_the_backup_has_is_not_sent_again(scale, kettle_bench, cow, link):
    ids = note(scale, 5)
    scale.sync()
    point = transaction.savepoint()
    more = note(scale, 3, "since")
    scale.sync()
    transaction.savepoint_rollback(point)
    FeedCounter.objects.filter(outfit=kettle_bench).update(epoch=uuid4())
    assert recorded() == ids
    scale.sync()
    assert recorded() == ids | more
    assert Operation.objects.count() == 8


@pytest.mark.parametrize("path", ["known", "push", "snapshot", "info"])
@pytest.mark.parametrize("fault", [drop_request, drop_answer])
def test_a_link_that_breaks_while_it_is_made_good_loses_nothing(scale, link, restore, path, fault):
    ids = note(scale, 5)
    scale.sync()
    restore()
    link.spoil(fault, only=path)
    scale.sync()
    assert recorded() == ids


def test_a_program_that_ends_while_it_is_made_good_goes_on(scale, link, restore, tmp_path):
    ids = note(scale, 5)
    scale.sync()
    restore()
    link.spoil(drop_request, only="known")
    with pytest.raises(Offline):
        scale.pull()
    scale.close()
    Client.open(tmp_path / "scale.db", around(link)).sync()
    assert recorded() == ids


def test_the_copy_shows_what_the_backup_shows(scale, restore, kettle_bench):
    lost = register(kettle_bench, vid_tag("900"))
    scale.sync()
    assert scale.animal(lost)
    restore()
    scale.sync()
    assert scale.animal(lost) is None
    assert scale.find("900") == []


def test_an_animal_registered_here_comes_again_with_all_that_was_done_to_it(scale, restore):
    calf = scale.register([{"kind": "eid", "number": "840270000000777"}], entry_class="heifer")
    scale.weigh(calf, "80", "lb")
    scale.sync()
    restore()
    scale.sync()
    assert Event.objects.get().animal_id == calf
    assert scale.animal(calf)["weights"][0]["weight"] == "80"


def test_what_is_in_the_record_is_forgotten_after_thirty_days_by_the_servers_clock(scale, cow):
    note(scale, 2)
    scale.sync()
    scale.weigh("840270000000888", "80", "lb")
    scale.sync()
    age(scale, days=29)
    scale.sync()
    assert kept(scale) == 3
    age(scale, days=2)
    scale.sync()
    # What waits for its animal is kept until it is settled.
    assert [one["status"] for one in scale.trouble()] == ["held"]
    assert kept(scale) == 1


def age(client, *, days):
    for dseq, at in client._store.run("SELECT dseq, answered_at FROM operation").fetchall():
        earlier = (datetime.fromisoformat(at) - timedelta(days=days)).isoformat()
        client._store.run("UPDATE operation SET answered_at = ? WHERE dseq = ?", [earlier, dseq])


def kept(client):
    return client._store.run("SELECT count(*) FROM operation").fetchone()[0]


def test_numbers_go_on_after_what_they_numbered_is_forgotten(scale, cow):
    note(scale, 2)
    scale.sync()
    age(scale, days=31)
    scale.sync()
    assert kept(scale) == 0
    note(scale, 1, "later")
    assert [one["dseq"] for one in scale.unsent()] == [3]


def test_a_clone_of_the_file_delivers_what_it_captured_itself(scale, cow, tmp_path, link):
    note(scale, 2)
    target = tmp_path / "clone.db"
    scale._store.run("VACUUM INTO ?", [str(target)])
    clone = Client.open(target, around(link))
    ids = note(scale, 2, "here") | note(clone, 2, "there")
    scale.sync()
    clone.sync()
    assert recorded() >= ids
    assert Event.objects.count() == 6
    assert clone.trouble() == []
