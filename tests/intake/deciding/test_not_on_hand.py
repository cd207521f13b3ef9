"""Animals that are away: sold, dead, back again, and those that nobody saw."""

from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.models import FindingKind, ProcessingDay
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import entry
from tests.intake.field import (
    SINCE,
    WORKED_ON,
    animals,
    csv_file,
    eid,
    finding,
    herd,
    kinds,
    record,
    rule_and_apply,
    states,
    weights,
    work,
)
from tests.intake.field import events as events_of


def sell(outfit: Outfit, animal_id: UUID) -> None:
    sale = NewEvent(animal_id, "sale", SINCE.replace(month=9), {})
    events.record(entry=entry(outfit), events=[sale])


def sold_day(outfit: Outfit, animal_id: UUID) -> ProcessingDay:
    sell(outfit, animal_id)
    return work(outfit, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"])])


def test_a_sold_animal_is_asked_even_by_its_eid(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = sold_day(kettle_bench, cows[417])
    assert finding(day, FindingKind.NOT_ON_HAND).animal_id == cows[417]
    assert states(day) == ["waiting"]


def test_back_in_the_herd_records_it_as_found_and_then_the_values(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = sold_day(kettle_bench, cows[417])
    rule_and_apply(day, FindingKind.NOT_ON_HAND, "back")
    animal = animals(kettle_bench)[str(cows[417])]
    assert animal["status"] == "on_hand"
    assert [one["on"] for one in events_of(kettle_bench, cows[417], "found")] == [WORKED_ON.isoformat()]
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_values_can_be_recorded_while_it_stays_sold(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = sold_day(kettle_bench, cows[417])
    rule_and_apply(day, FindingKind.NOT_ON_HAND, "is")
    assert animals(kettle_bench)[str(cows[417])]["status"] == "sold"
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_a_line_about_a_sold_animal_can_be_set_aside(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = sold_day(kettle_bench, cows[417])
    before = record(kettle_bench)
    rule_and_apply(day, FindingKind.NOT_ON_HAND, "set_aside")
    assert record(kettle_bench) == before
    assert states(day) == ["set_aside"]


def test_an_animal_sold_later_was_on_hand_that_day(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    sale = NewEvent(cows[417], "sale", WORKED_ON.replace(day=25), {})
    events.record(entry=entry(kettle_bench), events=[sale])
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"])])
    assert kinds(day) == []


def unseen_day(outfit: Outfit) -> ProcessingDay:
    lines = ["EID", *(eid(vid * 11) for vid in (417, 530, 688, 824))]
    return work(outfit, [csv_file("reader.csv", lines)])


def test_an_animal_of_the_group_that_no_file_names_is_asked_once_most_were_seen(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688, 824, 939])
    day = unseen_day(kettle_bench)
    assert finding(day, FindingKind.NOT_SEEN).animal_id == cows[939]
    rule_and_apply(day, FindingKind.NOT_SEEN, "leave")
    assert animals(kettle_bench)[str(cows[939])]["status"] == "on_hand"


def test_an_animal_that_was_not_seen_can_be_marked_missing(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688, 824, 939])
    day = unseen_day(kettle_bench)
    rule_and_apply(day, FindingKind.NOT_SEEN, "missing")
    animal = animals(kettle_bench)[str(cows[939])]
    assert (animal["status"], animal["status_since"]) == ("missing", WORKED_ON.isoformat())
    assert kinds(day) == []


def test_nobody_is_asked_about_where_few_were_seen(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530, 688, 824, 939, 152, 263, 476])
    assert kinds(unseen_day(kettle_bench)) == []


def test_a_missing_animal_that_turns_up_is_asked(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688, 824, 939])
    rule_and_apply(unseen_day(kettle_bench), FindingKind.NOT_SEEN, "missing")
    later = WORKED_ON.replace(day=28)
    day = work(kettle_bench, [csv_file("reader2.csv", ["EID", eid(939 * 11)])], day=later)
    rule_and_apply(day, FindingKind.NOT_ON_HAND, "back")
    assert animals(kettle_bench)[str(cows[939])]["status"] == "on_hand"
