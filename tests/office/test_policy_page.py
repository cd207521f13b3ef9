"""The pages of the values that reports reckon with: list, change from a day on, history, take back."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from herd.ledger.models import Changeset
from herd.registry.models import PolicyValue
from herd.registry.queries.policies import policy_on
from herd.values.policyvalues import POLICY_VALUES

# By the clock of Kettle Bench.
TODAY = datetime.now(ZoneInfo("America/Denver")).date()


def page_of(client, key="gestation"):
    return client.get(f"{reverse('office:policy-value')}?value={key}").content.decode()


def post(client, key="gestation", on=TODAY, text="285", **more):
    data = {"text": text, "in_force_from": f"{on}", **more}
    return client.post(f"{reverse('office:policy-value')}?value={key}", data, follow=True)


def test_every_value_stands_with_its_default_and_source(ada_in):
    page = ada_in.get(reverse("office:policy")).content.decode()
    assert all(one.label in page for one in POLICY_VALUES.values())
    assert "All are as published" in page
    assert "Michigan State University Extension" in page


@pytest.mark.parametrize("key", list(POLICY_VALUES))
def test_each_value_has_its_form_filled_with_what_counts(ada_in, key):
    answer = ada_in.get(f"{reverse('office:policy-value')}?value={key}")
    assert answer.status_code == 200
    assert "text" in answer.context["form"].fields


def test_a_change_counts_from_its_day_and_is_undone_with_its_button(ada_in, cast):
    page = post(ada_in).content.decode()
    assert "own value counts" in page
    assert "stay as they are" in page
    assert "counts now" in page
    assert policy_on(cast.kettle_bench, TODAY).policy.gestation == 285
    listed = ada_in.get(reverse("office:policy")).content.decode()
    assert "own since" in listed
    target = Changeset.objects.get(title="Set a value: Gestation")
    ada_in.post(reverse("office:changeset-undo", args=[target.pk]))
    assert policy_on(cast.kettle_bench, TODAY).policy.gestation == 283
    assert "taken back" in page_of(ada_in)


def test_a_day_in_the_past_says_that_older_reports_change(ada_in):
    page = post(ada_in, on=date(2024, 3, 1)).content.decode()
    assert "Reports of days since Mar 1, 2024 come out with it from now on." in page


def test_a_day_to_come_is_shown_as_to_come(ada_in, cast):
    post(ada_in, on=TODAY + timedelta(days=30))
    assert policy_on(cast.kettle_bench, TODAY).policy.gestation == 283
    assert "to come" in page_of(ada_in)
    assert "285 days" in ada_in.get(reverse("office:policy")).content.decode()


def test_two_changes_of_one_day_leave_the_second_and_both_in_the_history(ada_in, cast):
    post(ada_in)
    post(ada_in, text="286")
    assert PolicyValue.objects.of(cast.kettle_bench).count() == 1
    assert "from 285 to 286" in page_of(ada_in)


def test_published_again_from_a_day_on(ada_in, cast):
    post(ada_in, on=TODAY - timedelta(days=10))
    page = post(ada_in, published="1").content.decode()
    assert "the published value counts again" in page
    assert policy_on(cast.kettle_bench, TODAY).policy.gestation == 283


def test_errors_stand_at_their_field(ada_in):
    answer = post(ada_in, text="2831")
    assert "outside 240 to 320" in str(answer.context["form"].errors["text"])
    answer = post(ada_in, on="1900-01-01")
    assert "from 1950 on" in str(answer.context["form"].errors["in_force_from"])
    answer = post(ada_in, on="never")
    assert "year-month-day" in str(answer.context["form"].errors["in_force_from"])
    assert not PolicyValue.objects.exists()


def test_a_change_is_taken_back(ada_in, cast):
    post(ada_in)
    row = PolicyValue.objects.get()
    page = ada_in.post(reverse("office:policy-back", args=[row.pk]), follow=True).content.decode()
    assert "is taken back" in page
    assert policy_on(cast.kettle_bench, TODAY).policy.gestation == 283


def test_a_reader_sees_the_values_and_changes_none(as_person, cast):
    client = as_person(cast.dot)
    assert "The office changes it" in page_of(client)
    assert post(client).status_code == 403


def test_a_value_that_is_none_is_not_found_and_no_name_leads_to_the_list(ada_in):
    assert ada_in.get(f"{reverse('office:policy-value')}?value=tides").status_code == 404
    assert ada_in.get(reverse("office:policy-value")).url == reverse("office:policy")


def test_the_list_leaves_as_a_file(ada_in):
    post(ada_in)
    answer = ada_in.get(reverse("office:policy"), {"as": "csv"})
    text = b"".join(answer.streaming_content).decode()
    assert f"Gestation,285 days,{TODAY},283 days" in text
