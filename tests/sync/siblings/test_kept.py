"""What is kept for the next field file is the same at every installation: standing rules and recipes."""

from herd.accounts.models import OutfitChange, Person
from herd.intake import kept
from herd.intake.models import Recipe, StandingRule
from tests.sync.siblings.test_restores import backup_of, put_back
from tests.sync.siblings.world import Place, World

WITH_PEN = True
LAYOUT = "0" * 64


def keeps(place: Place, choice: str, alike: str = "unknown_tag") -> None:
    with place.at.here():
        rule = {"alike": alike, "choice": choice, "label": choice}
        kept.follow_rules(outfit=place.at.outfit, rules=[rule], dropped=[], where="a desk")


def rules(place: Place) -> list[tuple[str, str]]:
    with place.at.here():
        return list(StandingRule.objects.values_list("alike", "choice"))


def test_a_rule_and_a_recipe_of_one_place_are_used_at_all(world: World):
    keeps(world.laptop, "set_aside")
    with world.office.at.here():
        recipe = {"layout": LAYOUT, "name": "scale.csv", "columns": [{"index": 0, "kind": "eid"}]}
        kept.follow_recipes(outfit=world.office.at.outfit, recipes=[recipe], dropped=[], where="a desk")
    world.settle()
    for place in world.places:
        assert rules(place) == [("unknown_tag", "set_aside")]
        with place.at.here():
            assert Recipe.objects.get().columns == [{"index": 0, "kind": "eid"}]
    with world.office.at.here():
        assert "From laptop came the standing rule “set_aside”." in OutfitChange.objects.values_list("says", flat=True)


def test_what_is_dropped_at_one_place_is_dropped_at_all(world: World):
    keeps(world.office, "set_aside")
    keeps(world.laptop, "new_animal", "other")
    world.settle()
    for place, alike in ((world.laptop, "unknown_tag"), (world.office, "other")):
        with place.at.here():
            kept.drop(kept=StandingRule.objects.get(alike=alike), by=Person.objects.create_user(username="ada"))
    world.settle()
    assert [rules(place) for place in world.places] == [[], [], []]


def test_where_two_places_keep_it_otherwise_the_offices_stands(world: World):
    keeps(world.office, "set_aside")
    keeps(world.laptop, "new_animal")
    world.settle()
    assert [rules(place) for place in world.places] == [[("unknown_tag", "set_aside")]] * 3
    with world.laptop.at.here():
        assert OutfitChange.objects.filter(says__contains="“set_aside”").exists()


def test_an_office_put_back_gets_again_what_was_kept(world: World):
    backup = backup_of(world.office.at)
    keeps(world.office, "set_aside")
    world.settle()
    put_back(world.office.at, backup)
    assert rules(world.office) == []
    world.settle()
    assert [rules(place) for place in world.places] == [[("unknown_tag", "set_aside")]] * 3


def test_a_recipe_that_the_office_does_not_take_is_kept_here_and_stops_nothing(world: World):
    keeps(world.laptop, "set_aside")
    with world.laptop.at.here():
        columns = [{"index": place, "kind": "eid"} for place in range(1_001)]
        recipe = {"layout": LAYOUT, "name": "wide.csv", "columns": columns}
        kept.follow_recipes(outfit=world.laptop.at.outfit, recipes=[recipe], dropped=[], where="a desk")
    world.settle()
    assert rules(world.office) == [("unknown_tag", "set_aside")]
    with world.laptop.at.here():
        assert Recipe.objects.get().name == "wide.csv"
    with world.office.at.here():
        assert not Recipe.objects.exists()
