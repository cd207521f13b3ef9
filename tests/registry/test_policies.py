"""An outfit's own values of herd arithmetic: set from a day on, set again, given up, taken back, undone."""

from datetime import date

import pytest

from herd.ledger.models import Changeset
from herd.registry.models import PolicyValue
from herd.registry.queries.policies import policies_of, policy_on
from herd.registry.services import policies
from herd.registry.services.refused import Refused
from herd.registry.undo import undo
from tests.cast import entry

TODAY = date(2026, 6, 1)


def put(outfit, name="gestation", text="285", on="2026-01-01"):
    on = date.fromisoformat(on)
    return policies.set_value(entry=entry(outfit), name=name, text=text, in_force_from=on, today=TODAY)


def gestation(outfit, on="2026-06-01"):
    return policy_on(outfit, date.fromisoformat(on)).policy.gestation


def reason_of(refused):
    return [(one.field, one.reason) for one in refused.value.refusals]


def test_a_value_counts_from_its_day_on_for_its_outfit_alone(kettle_bench, far_rim):
    put(kettle_bench)
    assert [gestation(kettle_bench, on) for on in ("2025-12-31", "2026-01-01")] == [283, 285]
    assert gestation(far_rim) == 283


def test_a_second_value_of_one_day_takes_the_place_of_the_first(kettle_bench):
    first = put(kettle_bench)
    assert put(kettle_bench, text="286") == first
    assert gestation(kettle_bench) == 286
    assert PolicyValue.objects.of(kettle_bench).count() == 1
    assert Changeset.objects.filter(outfit=kettle_bench).count() == 2


def test_a_value_of_the_past_and_one_of_the_future_stand_side_by_side(kettle_bench):
    put(kettle_bench, text="284", on="2020-01-01")
    put(kettle_bench, text="286", on="2027-01-01")
    assert [gestation(kettle_bench, f"{year}-06-01") for year in (2019, 2020, 2026, 2027)] == [283, 284, 284, 286]
    put(kettle_bench, text="285", on="2023-01-01")
    assert [gestation(kettle_bench, f"{year}-06-01") for year in (2022, 2024, 2027)] == [284, 285, 286]


def test_the_published_value_counts_again_from_a_day_on(kettle_bench):
    put(kettle_bench)
    policies.publish_again(
        entry=entry(kettle_bench), name="gestation", in_force_from=date(2026, 3, 1), today=TODAY
    )
    assert [gestation(kettle_bench, on) for on in ("2026-02-28", "2026-03-01")] == [285, 283]


@pytest.mark.parametrize(
    ("name", "text", "on", "field", "sentence"),
    [
        ("gestation", "12", "2026-01-01", "text", "outside 240 to 320"),
        ("tides", "12", "2026-01-01", "name", "no value called tides"),
        ("gestation", "285", "1949-12-31", "in_force_from", "from 1950 on"),
        ("gestation", "285", "2036-01-01", "in_force_from", "three years ahead"),
        ("gestation_limits", "200 to 270", "2026-01-01", "text", "inside its own limits"),
    ],
)
def test_what_can_not_be_is_refused_at_its_field(kettle_bench, name, text, on, field, sentence):
    with pytest.raises(Refused) as refused:
        put(kettle_bench, name, text, on)
    assert [(found, sentence in reason) for found, reason in reason_of(refused)] == [(field, True)]
    assert not PolicyValue.objects.exists()


def test_what_changes_nothing_is_refused(kettle_bench):
    put(kettle_bench)
    with pytest.raises(Refused, match="value on that day already: 285 days"):
        put(kettle_bench, on="2026-02-01")
    with pytest.raises(Refused, match="value on that day already: 283 days"):
        policies.publish_again(
            entry=entry(kettle_bench), name="gestation", in_force_from=date(2025, 3, 1), today=TODAY
        )


def test_a_value_that_clashes_with_a_later_one_is_refused_with_the_day(kettle_bench):
    put(kettle_bench, "gestation_limits", "260 to 320", "2026-01-01")
    put(kettle_bench, "gestation", "310", "2026-03-01")
    with pytest.raises(Refused, match="from 2026-03-01 on: Gestation"):
        put(kettle_bench, "gestation_limits", "260 to 305", "2026-02-01")


def test_taking_a_change_back_restores_what_counted_before(kettle_bench):
    put(kettle_bench, text="284", on="2025-01-01")
    row = PolicyValue.objects.get(pk=put(kettle_bench))
    policies.take_back(entry=entry(kettle_bench), row=row)
    assert gestation(kettle_bench) == 284
    with pytest.raises(Refused, match="not in this outfit"):
        policies.take_back(entry=entry(kettle_bench), row=PolicyValue.objects.get(pk=row.pk))
    put(kettle_bench, text="290")
    assert gestation(kettle_bench) == 290


def test_taking_back_what_another_value_needs_is_refused(kettle_bench):
    limits = put(kettle_bench, "gestation_limits", "260 to 320", "2026-01-01")
    put(kettle_bench, "gestation", "310", "2026-03-01")
    with pytest.raises(Refused, match="doesn’t go with the other values"):
        policies.take_back(entry=entry(kettle_bench), row=PolicyValue.objects.get(pk=limits))


def test_a_row_of_another_outfit_is_not_taken_back(kettle_bench, far_rim):
    row = PolicyValue.objects.get(pk=put(far_rim))
    with pytest.raises(Refused, match="not in this outfit"):
        policies.take_back(entry=entry(kettle_bench), row=row)


def test_undo_of_the_changeset_and_of_the_undo(kettle_bench):
    put(kettle_bench)
    target = Changeset.objects.get(outfit=kettle_bench)
    assert undo(entry(kettle_bench), target).is_possible
    assert gestation(kettle_bench) == 283
    assert undo(entry(kettle_bench), Changeset.objects.get(undoes=target)).is_possible
    assert gestation(kettle_bench) == 285


def test_limits_undone_under_a_value_leave_reports_working(kettle_bench):
    put(kettle_bench, "gestation_limits", "260 to 320", "2026-01-01")
    target = Changeset.objects.get(outfit=kettle_bench)
    put(kettle_bench, "gestation", "310", "2026-03-01")
    assert undo(entry(kettle_bench), target).is_possible
    assert policy_on(kettle_bench, TODAY).passed_over == ("gestation",)
    assert gestation(kettle_bench) == 283


def test_all_values_of_an_outfit_come_in_one_query(kettle_bench, django_assert_num_queries):
    put(kettle_bench)
    put(kettle_bench, "birth_window", "60")
    with django_assert_num_queries(1):
        history = policies_of(kettle_bench)
        assert [history.on(date(2026, month, 1)).policy.gestation for month in range(1, 6)] == [285] * 5
