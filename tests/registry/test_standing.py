"""Status, class and group: a fold by the day things happened, never by the day they were told."""

from datetime import date
from io import StringIO
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.values.eventkinds import STANDING_KINDS
from herd.values.life import LifeEvent, Stay, fold_life
from tests.cast import entry, register

DAYS = st.one_of(st.none(), st.dates(date(2024, 1, 1), date(2024, 1, 20)))
IDS = st.uuids()
LIVES = st.lists(
    st.builds(LifeEvent, st.sampled_from(sorted(STANDING_KINDS)), DAYS, IDS, st.one_of(st.none(), IDS)),
    max_size=8,
    unique_by=lambda one: one.id,
)


def standing(animal_id: UUID) -> tuple[str, str, date | None]:
    animal = Animal.objects.get(pk=animal_id)
    return animal.animal_class, animal.status, animal.status_since


def tell(outfit: Outfit, animal_id: UUID, kind: str, day: date, **data: object) -> None:
    events.record(entry=entry(outfit), events=[NewEvent(animal_id, kind, day, data)])


@given(LIVES, st.randoms(use_true_random=False))
def test_a_life_folds_to_the_same_standing_in_whatever_order_it_is_told(life, chance) -> None:
    shuffled = list(life)
    chance.shuffle(shuffled)
    assert fold_life("heifer", date(2024, 1, 1), shuffled, []) == fold_life(
        "heifer", date(2024, 1, 1), life, []
    )


@given(LIVES)
def test_a_dead_animal_stays_dead(life) -> None:
    death = LifeEvent("death", date(2023, 1, 1), UUID(int=1))
    first = [one for one in life if one.day is not None]
    assert fold_life("cow", None, [*first, death], []).status == "dead"


@given(LIVES)
def test_an_animal_that_left_stands_in_no_group(life) -> None:
    stay = Stay(UUID(int=7), date(2023, 1, 1), None, UUID(int=8))
    folded = fold_life("cow", None, life, [stay])
    assert (folded.group is None) == (folded.status != "on_hand")
    if folded.status != "on_hand":
        assert folded.place is None


def test_status_words_of_the_fold_are_those_of_the_record() -> None:
    ends = {
        fold_life("cow", None, [LifeEvent(kind, None, UUID(int=1))], []).status for kind in STANDING_KINDS
    }
    assert ends == set(AnimalStatus.values)


def test_a_heifer_that_calves_becomes_a_cow(kettle_bench: Outfit) -> None:
    heifer = register(kettle_bench, animal_class="heifer")
    tell(kettle_bench, heifer, "calving", date(2025, 3, 1), outcome="live")
    assert standing(heifer)[0] == "cow"


def test_a_bull_that_is_castrated_becomes_a_steer(kettle_bench: Outfit) -> None:
    calf = register(kettle_bench, animal_class="bull")
    tell(kettle_bench, calf, "castration", date(2025, 5, 1))
    assert standing(calf)[0] == "steer"


def test_a_voided_castration_gives_the_bull_back(kettle_bench: Outfit) -> None:
    calf = register(kettle_bench, animal_class="bull")
    one = NewEvent(calf, "castration", date(2025, 5, 1))
    events.record(entry=entry(kettle_bench), events=[one])
    events.void(entry=entry(kettle_bench), event_id=one.id, reason="kept for breeding")
    assert standing(calf)[0] == "bull"


def test_a_late_event_changes_history_where_it_belongs(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, on=date(2024, 3, 1))
    tell(kettle_bench, cow, "found", date(2025, 8, 1))
    tell(kettle_bench, cow, "missing", date(2025, 6, 1))
    assert standing(cow) == ("cow", "on_hand", date(2025, 8, 1))
    tell(kettle_bench, cow, "sale", date(2025, 9, 1))
    tell(kettle_bench, cow, "purchase", date(2025, 7, 1))
    assert standing(cow) == ("cow", "sold", date(2025, 9, 1))


def test_a_death_told_late_still_stands_over_a_later_sale(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    tell(kettle_bench, cow, "sale", date(2025, 9, 1))
    tell(kettle_bench, cow, "death", date(2025, 8, 1))
    assert standing(cow)[1] == "dead"


def test_the_group_gives_the_location_until_the_animal_is_moved(kettle_bench: Outfit) -> None:
    bench = groups.open_location(entry=entry(kettle_bench), name="Bench")
    draw = groups.open_location(entry=entry(kettle_bench), name="Sand Draw")
    herd = groups.open_group(entry=entry(kettle_bench), name="Upper Bench", location_id=bench)
    cow = register(kettle_bench, group_id=herd, on=date(2025, 3, 1))
    assert Animal.objects.get(pk=cow).location_id == bench
    tell(kettle_bench, cow, "movement", date(2025, 6, 1), to="Sand Draw", location=str(draw))
    assert Animal.objects.get(pk=cow).location_id == draw


def test_a_movement_to_a_place_in_words_is_kept_without_a_location(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    tell(kettle_bench, cow, "movement", date(2025, 6, 1), to="north side", location="by the old mill")
    assert Animal.objects.get(pk=cow).location_id is None


def test_check_record_finds_nothing_in_a_sound_record(kettle_bench: Outfit) -> None:
    register(kettle_bench)
    out = StringIO()
    call_command("check_record", outfit="kettle-bench", stdout=out)
    assert out.getvalue() == "Kettle Bench: 1 animals checked, 0 differ.\n"


def test_check_record_names_who_differs_and_mends_it(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, {"kind": "vid", "number": "417", "colour": "yellow"})
    Animal.objects.filter(pk=cow).update(status="sold", status_since=None)
    out = StringIO()
    with pytest.raises(SystemExit) as ending:
        call_command("check_record", stdout=out)
    assert ending.value.code == 1
    assert "417 yellow" in out.getvalue()
    assert "status is sold, should be on_hand" in out.getvalue()
    call_command("check_record", mend=True, stdout=StringIO())
    assert standing(cow)[1] == "on_hand"
    call_command("check_record", stdout=StringIO())


def test_check_record_refuses_an_unknown_outfit(db: None) -> None:
    with pytest.raises(CommandError, match="no outfit with the code 'nowhere'"):
        call_command("check_record", outfit="nowhere")
