"""Animals are found without a server, and what was done here shows at once, marked until it is in the record."""

import pytest

from herd.client import NotHere
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from tests.cast import eid_tag, entry, register, vid_tag
from tests.client.conftest import EID
from tests.client.linking import drop_request
from tests.sync.sending import DAY

NEW_EID = "840270000000777"


@pytest.fixture
def trap(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Mill Trap")


@pytest.fixture
def offline(scale, cow, trap, link, kettle_bench):
    """The scale PC with its copy, and no network from here on."""
    register(kettle_bench, vid_tag("112", colour="blue"), eid_tag("840270000000456"), animal_class="bull")
    scale.sync()
    link.spoil(*[drop_request] * 100)
    return scale


def numbers(cards):
    return [[tag["number"] for tag in one["tags"]] for one in cards]


@pytest.mark.parametrize("typed", [EID, "840 270 000 000 123", "0123", "000123", "0840270000000123"])
def test_an_eid_is_found_as_it_is_read_and_by_its_last_digits(offline, cow, typed):
    assert [one["id"] for one in offline.find(typed)] == [str(cow)]


def test_a_visual_tag_is_found_with_its_colour_and_all_alike_without(offline, cow):
    assert len(offline.find("112")) == 2
    assert [one["id"] for one in offline.find("112", "yellow")] == [str(cow)]
    assert [one["id"] for one in offline.find("112 yellow")] == [str(cow)]
    assert [one["class"] for one in offline.find("112 blue")] == ["bull"]


@pytest.mark.parametrize("typed", ["", "23", "99999", "%", "_", "840270000000999", "' OR 1=1"])
def test_what_nobody_wears_finds_nobody(offline, typed):
    assert offline.find(typed) == []


def test_an_unsent_weight_shows_on_the_card_and_says_so(offline):
    offline.weigh(EID, "1180", "lb")
    [card] = offline.find(EID)
    assert [(one["weight"], one["status"]) for one in card["weights"]] == [("1180", "unsent")]
    assert card["unsent"] == 1


def test_a_weight_shows_once_before_between_and_after(scale, cow, link):
    scale.sync()
    scale.weigh(EID, "1180", "lb")
    seen = [weights(scale)]
    scale.push()
    seen.append(weights(scale))
    scale.pull()
    seen.append(weights(scale))
    assert seen == [["1180"]] * 3
    assert scale.find(EID)[0]["unsent"] == 0


def weights(client):
    return [one["weight"] for one in client.find(EID)[0]["weights"]]


def test_a_weight_by_a_number_that_two_wear_shows_on_neither(offline):
    offline.weigh("112", "1180", "lb")
    assert [one["weights"] for one in offline.find("112")] == [[], []]
    offline.weigh("112 blue", "1950", "lb")
    assert [one["weights"][0]["weight"] for one in offline.find("112 blue")] == ["1950"]
    assert offline.find("112 yellow")[0]["weights"] == []


def test_a_voided_or_corrected_weight_shows_as_it_should_stand(offline):
    wrong = offline.weigh(EID, "118", "lb")
    right = offline.correct(wrong, "weight", {"weight": "1180", "unit": "lb"}, "a digit was missing")
    assert weights(offline) == ["1180"]
    offline.void(right, "another animal")
    assert weights(offline) == []


def test_corrections_arrive_as_they_were_made(scale, cow):
    scale.sync()
    wrong = scale.weigh(EID, "1108", "lb")
    scale.correct(wrong, "weight", {"weight": "1180", "unit": "lb"})
    other = scale.record("note", EID, {"note": "lame"})
    scale.void(other, "another animal")
    scale.sync()
    assert scale.trouble() == []
    assert weights(scale) == ["1180"]


def test_a_change_starts_from_what_the_card_shows_and_chains(scale, cow):
    scale.sync()
    scale.edit(cow, breed="HE")
    scale.edit(cow, breed="CH", coat="red")
    assert [one["set"]["breed"] for one in scale.unsent()] == [{"from": "AN", "to": "HE"}, {"from": "HE", "to": "CH"}]
    scale.sync()
    assert scale.trouble() == []
    assert (scale.animal(cow)["breed"], scale.animal(cow)["coat"]) == ("CH", "red")


def test_changes_chain_inside_a_group_too(scale, cow):
    scale.sync()
    with scale.grouped():
        scale.edit(cow, breed="HE")
        scale.edit(cow, breed="CH")
    scale.sync()
    assert scale.trouble() == []
    assert scale.animal(cow)["breed"] == "CH"


def test_an_animal_registered_here_is_found_here(offline, bench):
    calf = offline.register([{"kind": "eid", "number": NEW_EID}], group="Upper Bench", entry_class="heifer")
    [card] = offline.find(NEW_EID)
    assert (card["id"], card["class"], card["status"], card["group"]) == (str(calf), "heifer", "on_hand", str(bench))
    offline.weigh(NEW_EID, "80", "lb")
    assert offline.animal(calf)["weights"][0]["weight"] == "80"
    assert len(offline.expected("Upper Bench")) == 2


def test_a_replaced_tag_is_found_under_its_new_number_only(offline, cow):
    offline.replace_tag(EID, {"kind": "eid", "number": EID}, NEW_EID, "lost")
    assert [one["id"] for one in offline.find(NEW_EID)] == [str(cow)]
    assert offline.find(EID) == []
    offline.put_on(cow, "nues", "35ABC1234")
    assert numbers([offline.animal(cow)]) == [["112", NEW_EID, "35ABC1234"]]
    offline.take_off("112 yellow", "vid", "112")
    assert numbers([offline.animal(cow)]) == [[NEW_EID, "35ABC1234"]]


def test_tags_and_moves_arrive_as_they_were_shown(scale, cow, trap):
    scale.sync()
    scale.replace_tag(EID, {"kind": "eid", "number": EID}, NEW_EID, "lost")
    scale.put_on(cow, "nues", "35ABC1234")
    scale.move(cow, "mill trap")
    before = scale.animal(cow)
    scale.sync()
    after = scale.animal(cow)
    assert scale.trouble() == []
    assert sorted(numbers([after])[0]) == sorted(numbers([before])[0]) == sorted(["112", NEW_EID, "35ABC1234"])
    assert after["group"] == before["group"] == str(trap)


def test_who_is_expected_in_a_group_follows_moves_and_sales(offline, cow, bench, trap):
    assert [one["id"] for one in offline.expected("Upper Bench")] == [str(cow)]
    offline.move(EID, trap)
    assert offline.expected(bench) == []
    assert [one["id"] for one in offline.expected(trap)] == [str(cow)]
    offline.record("sale", EID, {"buyer": "Far Rim"})
    assert offline.animal(cow)["status"] == "sold"
    assert offline.expected(trap) == []


def test_an_animal_treated_here_is_in_withdrawal_until_the_server_has_worked_it_out(offline, cow):
    assert offline.animal(cow)["in_withdrawal"] is False
    offline.record("treatment", EID, {"product": "an oxytetracycline", "dose": "20 ml"})
    card = offline.animal(cow)
    assert (card["in_withdrawal"], card["free_on"]) == (True, None)
    assert card["pending"][0]["data"]["product"] == "an oxytetracycline"


def test_a_pregnancy_check_shows_unless_a_later_one_is_known(kettle_bench, scale, cow):
    known = NewEvent(cow, "pregnancy_check", DAY, {"result": "open"})
    events.record(entry=entry(kettle_bench), events=[known])
    scale.sync()
    scale.record("pregnancy_check", EID, {"result": "pregnant", "days": 60})
    shown = scale.animal(cow)["pregnancy"]
    assert (shown["result"], shown["days"], shown["status"]) == ("pregnant", 60, "unsent")


def test_what_waits_for_a_person_is_still_shown_with_its_state(scale, kettle_bench, cow):
    sale = NewEvent(cow, "sale", DAY.replace(day=1))
    events.record(entry=entry(kettle_bench), events=[sale])
    scale.sync()
    scale.weigh(cow, "1180", "lb")
    scale.sync()
    assert [one["status"] for one in scale.trouble()] == ["review"]
    assert [(one["weight"], one["status"]) for one in scale.animal(cow)["weights"]] == [("1180", "review")]


def test_groups_are_called_by_name_and_an_unknown_one_is_told(offline):
    assert [one["name"] for one in offline.groups()] == ["Mill Trap", "Upper Bench"]
    with pytest.raises(NotHere, match="no one group"):
        offline.expected("Bull Pasture")


def test_looking_up_asks_nobody(offline, link, cow):
    link.calls.clear()
    offline.weigh(EID, "1180", "lb")
    offline.find("112")
    offline.expected("Upper Bench")
    offline.animal(cow)
    assert link.calls == []


def test_finding_one_among_many_reads_few_rows(scale, kettle_bench):
    for number in range(100, 160):
        register(kettle_bench, vid_tag(str(number)))
    scale.sync()
    for where in ("number = '1'", "back >= '1' AND back < '2'"):
        plan = scale._store.run(f"EXPLAIN QUERY PLAN SELECT animal FROM number WHERE {where}").fetchall()
        assert "USING INDEX" in plan[0][3]
