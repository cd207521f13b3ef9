"""This week on its page and on the first page, and the cows that are due."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from herd.intake.models import DayState, Finding, ProcessingDay
from herd.office.today import today_of
from herd.registry.services import events, stock
from herd.registry.services.batch import NewEvent
from herd.sync.devices import make_device
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from tests.cast import entry, register, vid_tag


@pytest.fixture
def today(cast):
    return today_of(cast.kettle_bench)


def record(outfit, animal, kind, on, **data):
    events.record(entry=entry(outfit), events=[NewEvent(animal, kind, on, data)])


def items(client, name="report-week"):
    return {one.what: one for one in client.get(reverse(f"office:{name}")).context["items"]}


def test_a_quiet_week_says_so(ada_in):
    assert "Nothing comes due this week" in ada_in.get(reverse("office:report-week")).content.decode()
    assert "Nothing comes due this week" in ada_in.get(reverse("office:report-week-block")).content.decode()


def test_withdrawal_that_ends_and_withdrawal_not_known_are_told_apart(ada_in, cast, herd, today):
    record(cast.kettle_bench, herd.cow, "treatment", today - timedelta(days=2), product="A", withdrawal_days=5)
    record(cast.kettle_bench, herd.bull, "treatment", today - timedelta(days=2), product="A", withdrawal_days=50)
    record(cast.kettle_bench, herd.heifer, "treatment", today - timedelta(days=2), product="A")
    found = items(ada_in)
    assert found["head come free of withdrawal"].count == 1
    unknown = found["head not known to be free"]
    assert (unknown.count, unknown.is_late, unknown.address) == (1, True, reverse("office:withdrawal"))


def test_cows_due_and_overdue_lead_to_their_list(ada_in, cast, herd, today):
    record(cast.kettle_bench, herd.cow, "service", today - timedelta(days=280))
    record(cast.kettle_bench, herd.heifer, "service", today - timedelta(days=310))
    found = items(ada_in)
    assert (found["cow is due"].count, found["cow is overdue"].count) == (1, 1)
    answer = ada_in.get(found["cow is due"].address)
    assert [one.animal.pk for one in answer.context["lines"]] == [herd.heifer, herd.cow]
    assert "overdue" in answer.content.decode()
    late = ada_in.get(found["cow is due"].address, {"overdue": "1", "days": "365"})
    assert [one.animal.pk for one in late.context["lines"]] == [herd.heifer]
    assert 'overdue=1"' in answer.content.decode()
    files = ada_in.get(found["cow is due"].address, {"overdue": "1", "as": "csv"})
    assert len(b"".join(files).decode().strip().splitlines()) == 2


@pytest.mark.parametrize("days", ["", "-3", "many", "99999", "²"])
def test_days_that_can_not_be_read_are_a_month(ada_in, herd, days):
    assert ada_in.get(reverse("office:report-due"), {"days": days}).context["days"] == 30


def test_findings_wait_on_the_page_and_not_twice_on_the_first_page(ada_in, cast, herd, today):
    day = ProcessingDay.objects.create(
        outfit=cast.kettle_bench, name="Spring work", worked_on=today, state=DayState.REVIEW
    )
    Finding.objects.create(day=day, key="k", kind="unknown_tag", alike="a", title="t")
    assert items(ada_in)["finding waits"].more == "Spring work."
    assert "finding waits" not in items(ada_in, "report-week-block")


def test_tags_running_out_lead_to_their_box(ada_in, cast, herd, today):
    box = stock.receive(entry=entry(cast.kettle_bench), kind="vid", first="1", last="9", colour="red")
    register(cast.kettle_bench, vid_tag("3", "red"), on=today)
    one = items(ada_in)["free numbers left: red visual tag"]
    assert (one.count, one.address) == (8, reverse("office:tag-box", args=[box]))


def test_a_quiet_device_is_told_to_the_office_only(ada_in, as_person, cast, today):
    device, _ = make_device(
        outfit=cast.kettle_bench, name="Chute", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=cast.ada
    )
    old = timezone.now() - timedelta(days=15)
    Device.objects.filter(pk=device.pk).update(state=DeviceState.ACTIVE, last_seen=old)
    assert items(ada_in)["device was not seen for two weeks"].more == "Chute."
    assert not any("device" in what for what in items(as_person(cast.dot)))


def test_missing_for_long_leads_to_the_herd_list(ada_in, cast, herd, today):
    record(cast.kettle_bench, herd.bull, "missing", today - timedelta(days=40))
    one = items(ada_in)["head missing for a month or more"]
    page = ada_in.get(one.address).content.decode()
    assert (one.count, "5 orange" in page) == (1, True)


def test_another_outfits_week_is_not_ours(as_person, cast, herd, today):
    record(cast.kettle_bench, herd.cow, "service", today - timedelta(days=283))
    assert items(as_person(cast.eve)) == {}


def test_the_first_page_asks_for_it_and_links_to_it_without_script(ada_in, herd):
    page = ada_in.get(reverse("office:home")).content.decode()
    assert f'hx-get="{reverse("office:report-week-block")}"' in page
    assert f'href="{reverse("office:report-week")}"' in page


@pytest.mark.parametrize("name", ["report-week", "report-due"])
@pytest.mark.parametrize("way", ["csv", "xlsx", "pdf", "print"])
def test_it_leaves_the_site(ada_in, cast, herd, today, name, way):
    record(cast.kettle_bench, herd.cow, "service", today - timedelta(days=283))
    assert ada_in.get(reverse(f"office:{name}"), {"as": way}).status_code == 200


def test_the_week_takes_few_queries(ada_in, cast, herd, today, django_assert_max_num_queries):
    for number in range(20):
        cow = register(cast.kettle_bench, vid_tag(f"9{number}"))
        record(cast.kettle_bench, cow, "service", today - timedelta(days=283))
    with django_assert_max_num_queries(20):
        ada_in.get(reverse("office:report-week"))
