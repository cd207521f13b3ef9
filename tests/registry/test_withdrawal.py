"""Who is in withdrawal, by the record; and what is refused to one who sells or treats by hand."""

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Event, Product
from herd.registry.queries.withdrawal import held_by, herd_in_withdrawal, withdrawals
from herd.registry.services import events, lists
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refused
from herd.registry.undo import undo
from herd.values.withdrawal import LONGEST_COURSE
from tests.cast import entry, register, vid_tag

DAY = date(2025, 10, 14)


def give(outfit: Outfit, animal: UUID, on: date | None = DAY, kind: str = "treatment", **data: Any) -> NewEvent:
    more = {key: data.pop(key) for key in ("happened_at", "precision") if key in data}
    one = NewEvent(animal, kind, on, {"product": "penicillin", **data}, **more)
    events.record(entry=entry(outfit, title="treated"), events=[one])
    return one


def sell(outfit: Outfit, animal: UUID, on: date = DAY, kind: str = "sale", **data: Any) -> None:
    events.record(entry=entry(outfit, title="sold"), events=[NewEvent(animal, kind, on, data)])


def listed(outfit: Outfit, name: str = "Penicillin", **facts: Any) -> UUID:
    return lists.add(entry=entry(outfit), subject=Product.SUBJECT, facts={"name": name, **facts})


@pytest.fixture
def cow(kettle_bench: Outfit) -> UUID:
    return register(kettle_bench, vid_tag("417"))


def test_an_animal_is_held_until_its_days_have_run_out(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow, withdrawal_days=10)
    # Date-only rule: free from the day after date + 10.
    assert set(withdrawals(kettle_bench, [cow], date(2025, 10, 24))) == {cow}
    assert withdrawals(kettle_bench, [cow], date(2025, 10, 25)) == {}


def test_with_the_hour_known_it_ends_at_the_hour_in_the_outfits_time(kettle_bench: Outfit, cow: UUID) -> None:
    at = datetime(2025, 10, 14, 15, 30, tzinfo=kettle_bench.zone)
    give(kettle_bench, cow, withdrawal_days=10, happened_at=at)
    assert withdrawals(kettle_bench, [cow], at + timedelta(days=10, minutes=-1))
    assert not withdrawals(kettle_bench, [cow], at + timedelta(days=10))
    assert withdrawals(kettle_bench, [cow], date(2025, 10, 24))


def test_days_that_were_not_entered_are_not_taken_for_none(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow)
    (hold,) = withdrawals(kettle_bench, [cow], DAY + timedelta(days=90))[cow]
    assert hold.free_on is None


def test_a_voided_treatment_holds_nobody(kettle_bench: Outfit, cow: UUID) -> None:
    one = give(kettle_bench, cow, withdrawal_days=10)
    events.void(entry=entry(kettle_bench), event_id=one.id, reason="another cow")
    assert withdrawals(kettle_bench, [cow], DAY) == {}


def test_another_outfits_animals_are_never_told(kettle_bench: Outfit, far_rim: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow, withdrawal_days=10)
    assert withdrawals(far_rim, [cow], DAY) == {}
    assert herd_in_withdrawal(far_rim, DAY) == {}


def test_the_herd_in_withdrawal_is_on_hand(kettle_bench: Outfit, cow: UUID) -> None:
    sold = register(kettle_bench, vid_tag("418"))
    for one in (cow, sold):
        give(kettle_bench, one, withdrawal_days=10)
    sell(kettle_bench, sold, despite_withdrawal="to a feedlot")
    assert set(herd_in_withdrawal(kettle_bench, DAY)) == {cow}


@pytest.mark.parametrize(
    ("ago", "data"),
    [
        (30, {"withdrawal_days": 30}),
        (60, {"withdrawal_days": 60}),
        (365, {}),
        (1_000, {"withdrawal_days": 1_000}),
        (90, {"withdrawal_days": 30, "last_on": (DAY - timedelta(days=30)).isoformat()}),
    ],
)
def test_the_whole_herd_and_one_animal_give_the_same_answer_to_the_last_day(
    kettle_bench: Outfit, cow: UUID, ago: int, data: dict[str, Any]
) -> None:
    give(kettle_bench, cow, DAY - timedelta(days=ago), **data)
    days = [DAY - timedelta(days=1), DAY, DAY + timedelta(days=1)]
    assert [bool(withdrawals(kettle_bench, [cow], day)) for day in days] == [True, True, False]
    assert [bool(herd_in_withdrawal(kettle_bench, day)) for day in days] == [True, True, False]


def test_a_treatment_without_a_day_counts_from_when_it_was_written_down(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow, None, precision="unknown", withdrawal_days=10)
    today = timezone.now().astimezone(kettle_bench.zone).date()
    assert set(herd_in_withdrawal(kettle_bench, today + timedelta(days=10))) == {cow}
    assert herd_in_withdrawal(kettle_bench, today + timedelta(days=11)) == {}


def test_the_number_of_queries_does_not_grow_with_the_herd(
    kettle_bench: Outfit, django_assert_num_queries: Any
) -> None:
    cows = [register(kettle_bench) for _ in range(12)]
    for one in cows:
        give(kettle_bench, one, withdrawal_days=10)
    with django_assert_num_queries(1):
        assert len(withdrawals(kettle_bench, cows, DAY)) == 12
    with django_assert_num_queries(1):
        assert len(herd_in_withdrawal(kettle_bench, DAY)) == 12


def test_one_event_says_what_it_holds_for(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow, withdrawal_days=10)
    hold = held_by(Event.objects.get(kind="treatment"), kettle_bench)
    assert hold is not None
    assert hold.free_on == date(2025, 10, 25)
    assert held_by(Event(kind="note", data={}), kettle_bench) is None


@pytest.mark.parametrize("kind", ["sale", "transfer"])
def test_an_animal_in_withdrawal_goes_only_with_a_reason(kettle_bench: Outfit, cow: UUID, kind: str) -> None:
    give(kettle_bench, cow, withdrawal_days=10)
    with pytest.raises(Refused, match="In withdrawal until the end of 2025-10-24") as refused:
        sell(kettle_bench, cow, kind=kind)
    assert refused.value.refusals[0].field == "despite_withdrawal"
    sell(kettle_bench, cow, kind=kind, despite_withdrawal="to a feedlot")
    change = Change.objects.get(subject_id=Event.objects.get(kind=kind).pk)
    assert (change.after or {})["data"]["despite_withdrawal"] == "to a feedlot"


def test_an_animal_of_unknown_withdrawal_is_not_known_to_be_free(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow)
    with pytest.raises(Refused, match="Not known to be free of penicillin"):
        sell(kettle_bench, cow)


def test_a_free_animal_is_sold_without_a_word(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow, withdrawal_days=10)
    sell(kettle_bench, cow, date(2025, 10, 25))
    assert Animal.objects.get(pk=cow).status == "sold"


def test_a_sale_in_withdrawal_is_undone_like_any_other(kettle_bench: Outfit, cow: UUID) -> None:
    give(kettle_bench, cow, withdrawal_days=10)
    sell(kettle_bench, cow, despite_withdrawal="to a feedlot")
    changeset = Changeset.objects.get(title="sold")
    assert undo(entry(kettle_bench), changeset).is_possible
    assert Animal.objects.get(pk=cow).status == "on_hand"


def test_fewer_days_than_the_label_need_the_veterinarian(kettle_bench: Outfit, cow: UUID) -> None:
    # FDA 21 CFR 530.3: leaving the label's withdrawal is extra-label use, which only a veterinarian may order.
    listed(kettle_bench, meat_withdrawal_days=10)
    with pytest.raises(Refused, match="10 days by the label"):
        give(kettle_bench, cow, withdrawal_days=9)
    give(kettle_bench, cow, withdrawal_days=9, veterinarian="Dr. Ode")
    give(kettle_bench, cow, withdrawal_days=20)
    assert Event.objects.filter(kind="treatment").count() == 2


def test_a_retired_product_still_tells_its_label(kettle_bench: Outfit, cow: UUID) -> None:
    listed(kettle_bench, meat_withdrawal_days=10, is_retired=True)
    with pytest.raises(Refused, match="10 days by the label"):
        give(kettle_bench, cow, withdrawal_days=9)


def test_a_prescription_product_needs_the_veterinarian(kettle_bench: Outfit, cow: UUID) -> None:
    listed(kettle_bench, needs_prescription=True)
    with pytest.raises(Refused, match="on prescription"):
        give(kettle_bench, cow, withdrawal_days=10)


def test_another_outfits_list_says_nothing_here(kettle_bench: Outfit, far_rim: Outfit, cow: UUID) -> None:
    listed(far_rim, meat_withdrawal_days=10, needs_prescription=True)
    give(kettle_bench, cow, withdrawal_days=1)
    assert Event.objects.filter(kind="treatment").count() == 1


@pytest.mark.parametrize(
    ("last_on", "sentence"),
    [
        ("2025-10-13", "0 to 60 days after its first"),
        ((DAY + timedelta(days=LONGEST_COURSE + 1)).isoformat(), "0 to 60 days after its first"),
        ("last week", "must be written as"),
    ],
)
def test_a_course_that_makes_no_sense_is_refused(kettle_bench: Outfit, cow: UUID, last_on: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence):
        give(kettle_bench, cow, last_on=last_on, withdrawal_days=10)


def test_a_course_is_recorded_when_its_last_dose_was_given(kettle_bench: Outfit, cow: UUID) -> None:
    today = timezone.now().date()
    with pytest.raises(Refused, match="lies in the future"):
        give(kettle_bench, cow, today, last_on=(today + timedelta(days=9)).isoformat())


def test_the_same_event_sent_twice_is_recorded_once(kettle_bench: Outfit, cow: UUID) -> None:
    one = give(kettle_bench, cow, withdrawal_days=10)
    with pytest.raises(Refused, match="recorded a moment ago"):
        events.record(entry=entry(kettle_bench), events=[one])
    assert Event.objects.filter(kind="treatment").count() == 1


def test_two_thousand_head_are_treated_in_a_bounded_number_of_queries(
    kettle_bench: Outfit, django_assert_max_num_queries: Any
) -> None:
    listed(kettle_bench, meat_withdrawal_days=10)
    cows = [Animal(outfit=kettle_bench, entry_class="cow", animal_class="cow") for _ in range(2_000)]
    Animal.objects.bulk_create(cows)
    data = {"product": "Penicillin", "withdrawal_days": 10}
    # A handful for each eight hundred animals, whatever their number.
    with django_assert_max_num_queries(40):
        events.record(
            entry=entry(kettle_bench), events=[NewEvent(one.pk, "treatment", DAY, data) for one in cows]
        )
    assert len(herd_in_withdrawal(kettle_bench, DAY)) == 2_000
    with django_assert_max_num_queries(60):
        sales = [NewEvent(one.pk, "sale", DAY, {"despite_withdrawal": "to a feedlot"}) for one in cows]
        events.record(entry=entry(kettle_bench), events=sales)
    assert herd_in_withdrawal(kettle_bench, DAY) == {}
