"""Only evidence that identifies one animal alone is accepted; everything else is asked, with its reasons."""

from herd.accounts.models import Outfit
from herd.intake.models import FindingKind
from herd.registry.models import TagWearing
from herd.registry.services import events, tags
from herd.registry.services.batch import NewEvent, PutOn
from tests.cast import entry
from tests.intake.field import (
    SINCE,
    WORKED_ON,
    apply,
    cow,
    csv_file,
    eid,
    finding,
    herd,
    kinds,
    notes,
    rule_and_apply,
    states,
    verbs,
    weights,
    who_has,
    work,
    worn,
)


def sell(outfit: Outfit, animal_id: object) -> None:
    sale = NewEvent(animal_id, "sale", SINCE.replace(month=9), {})  # type: ignore[arg-type]
    events.record(entry=entry(outfit), events=[sale])


def retag(outfit: Outfit, animal_id: object, new: PutOn) -> None:
    old = TagWearing.objects.of(outfit).get(animal=animal_id, kind=new.kind, ended="")
    tags.replace(entry=entry(outfit), old=old, ended="lost", new=new)


def test_an_eid_that_is_worn_now_is_accepted_whatever_the_group(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530], in_group="Mill Trap")
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert weights(kettle_bench, cows[530]) == []


def test_a_visual_tag_that_one_animal_of_the_group_wears_is_accepted(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_a_visual_tag_from_outside_the_group_is_asked(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [530])
    stray = herd(kettle_bench, [417], in_group="Mill Trap")[417]
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    asked = finding(day, FindingKind.WHICH_ANIMAL)
    assert asked.animal_id == stray
    assert asked.choices[0]["choice"] == f"is:{stray}"
    assert any("is not in the group that was worked" in reason for reason in asked.reasons)
    rule_and_apply(day, FindingKind.WHICH_ANIMAL, "is")
    assert weights(kettle_bench, stray) == ["1180 lb"]


def test_a_visual_tag_that_two_of_the_group_wear_is_asked(kettle_bench: Outfit) -> None:
    first = cow(kettle_bench, "417", eid(1), colour="yellow")
    second = cow(kettle_bench, "417", eid(77), colour="white")
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    asked = finding(day, FindingKind.WHICH_ANIMAL)
    assert "More than one animal fits." in asked.reasons
    assert {f"is:{first}", f"is:{second}"} <= {one["choice"] for one in asked.choices}


def test_the_colour_tells_two_wearers_of_one_number_apart(kettle_bench: Outfit) -> None:
    yellow = cow(kettle_bench, "417", eid(1), colour="yellow")
    white = cow(kettle_bench, "417", eid(77), colour="white")
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Tag colour,Weight (lb)", "417,white,1180"])])
    ask = kinds(day)
    if ask:
        # Less than the margin ahead of the other wearer: the right one is offered first, and a person says so.
        assert finding(day, FindingKind.WHICH_ANIMAL).choices[0]["choice"] == f"is:{white}"
        rule_and_apply(day, FindingKind.WHICH_ANIMAL, "is")
    else:
        apply(day)
    assert weights(kettle_bench, white) == ["1180 lb"]
    assert weights(kettle_bench, yellow) == []


def test_the_visual_tag_of_a_sold_animal_is_asked_and_never_taken(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    sell(kettle_bench, cows[417])
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    asked = finding(day, FindingKind.NOT_ON_HAND)
    assert asked.animal_id == cows[417]
    assert "is sold since" in asked.reasons[0]
    assert verbs(asked) == ["back", "is", "set_aside"]
    apply(day)
    assert weights(kettle_bench, cows[417]) == []


def test_a_sold_wearer_does_not_hide_the_one_on_hand(kettle_bench: Outfit) -> None:
    sold = cow(kettle_bench, "417", eid(1), colour="yellow")
    sell(kettle_bench, sold)
    kept = cow(kettle_bench, "417", eid(77), colour="white")
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, kept) == ["1180 lb"]
    assert weights(kettle_bench, sold) == []


def test_eid_and_visual_tag_of_two_animals_are_never_settled_without_a_person(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", f"{eid(417 * 11)},530,1180"])])
    asked = finding(day, FindingKind.NUMBERS_DISAGREE)
    assert len(asked.reasons) == 2
    assert {f"is:{cows[417]}", f"is:{cows[530]}"} <= {one["choice"] for one in asked.choices}
    assert "new_animal" not in verbs(asked)
    apply(day)
    assert weights(kettle_bench, cows[417]) == weights(kettle_bench, cows[530]) == []


def test_an_eid_worn_before_is_asked_alone(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    retag(kettle_bench, cows[417], PutOn(cows[417], "eid", eid(900_001), worn_from=WORKED_ON.replace(month=5)))
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"])])
    assert finding(day, FindingKind.WORN_BEFORE).animal_id == cows[417]
    rule_and_apply(day, FindingKind.WORN_BEFORE, "is")
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert worn(kettle_bench, cows[417]) == [(eid(417 * 11), "lost"), (eid(900_001), "")]


def test_an_eid_worn_before_beside_the_visual_tag_names_the_animal_and_changes_no_tag(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    retag(kettle_bench, cows[417], PutOn(cows[417], "eid", eid(900_001), worn_from=WORKED_ON.replace(month=5)))
    before = worn(kettle_bench, cows[417])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", f"{eid(417 * 11)},417,1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert worn(kettle_bench, cows[417]) == before


def test_a_near_eid_alone_is_never_accepted(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    slip = eid(417 * 11 + 1)
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{slip},1180"])])
    asked = finding(day, FindingKind.UNKNOWN_TAG)
    assert any(one["choice"] == f"is:{cows[417]}" for one in asked.choices)
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    assert states(day) == ["waiting"]


def test_a_near_eid_beside_the_visual_tag_is_a_slip_and_the_eid_stays(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    slip = eid(417 * 11 + 1)
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", f"{slip},417,1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert worn(kettle_bench, cows[417]) == [(eid(417 * 11), "")]
    assert notes(day) == [f"EID {slip} was taken as a slip for {eid(417 * 11)}."]


def test_an_unknown_eid_beside_a_known_visual_tag_suggests_a_retag(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", f"{eid(900_001)},417,1180"])])
    asked = finding(day, FindingKind.UNKNOWN_TAG)
    assert asked.choices[0]["choice"] == f"retag:{cows[417]}"
    assert asked.is_suggested
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    assert who_has(kettle_bench, eid(900_001)) == []


def test_the_first_eid_of_an_animal_is_put_on_it_without_asking(kettle_bench: Outfit) -> None:
    bare = cow(kettle_bench, "417")
    herd(kettle_bench, [530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID", f"{eid(900_001)},417"])])
    assert kinds(day) == []
    apply(day)
    assert worn(kettle_bench, bare) == [(eid(900_001), "")]


def test_a_metal_tag_names_its_animal(kettle_bench: Outfit) -> None:
    tagged = cow(kettle_bench, "", tags=[{"kind": "nues", "number": "48ABC1234"}])
    day = work(kettle_bench, [csv_file("vet.csv", ["Metal tag,Weight (lb)", "48ABC1234,1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, tagged) == ["1180 lb"]


def test_a_tattoo_names_its_animal(kettle_bench: Outfit) -> None:
    tagged = cow(kettle_bench, "", tags=[{"kind": "tattoo", "number": "K17J"}])
    day = work(kettle_bench, [csv_file("vet.csv", ["Tattoo,Weight (lb)", "K17J,1180"])])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, tagged) == ["1180 lb"]


def test_a_sample_tube_of_the_record_names_the_animal_whose_sample_it_holds(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    sample = NewEvent(cows[417], "sample", WORKED_ON, {"tube": "T00417"})
    events.record(entry=entry(kettle_bench), events=[sample])
    lab = csv_file("lab.csv", ["Sample tube,BVD result", "T00417,negative"])
    day = work(kettle_bench, [lab], of=None, day=WORKED_ON.replace(day=28))
    assert kinds(day) == []
    apply(day)
    assert len([one for one in who_has(kettle_bench, "417") if one == str(cows[417])]) == 1
    assert states(day) == ["applied"]


def test_a_visual_tag_that_nobody_wears_is_asked(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [530])
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "88,1180"])])
    asked = finding(day, FindingKind.UNKNOWN_TAG)
    assert verbs(asked) == ["new_animal", "type", "set_aside"]
    assert not asked.is_suggested


def test_no_animal_of_another_outfit_is_ever_matched(kettle_bench: Outfit, far_rim: Outfit) -> None:
    theirs = herd(far_rim, [417])[417]
    herd(kettle_bench, [530])
    line = f"{eid(417 * 11)},417,1180"
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", line])])
    asked = finding(day, FindingKind.UNKNOWN_TAG)
    assert str(theirs) not in str(asked.choices)
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "new_animal")
    assert weights(far_rim, theirs) == []
    assert len(who_has(kettle_bench, eid(417 * 11))) == 1
