"""The demo outfit: the same each time, sound by the record's own rules, with every kind of finding waiting."""

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from io import StringIO
from statistics import mean

import pytest
from django.core.management import call_command
from django.db import transaction

from herd.accounts.models import Outfit, Person
from herd.config.demo import load
from herd.config.demo.files import make_files
from herd.config.demo.seasons import seasons_before
from herd.config.demo.workday import plan_workday
from herd.config.demo.years import play_through
from herd.intake.models import DayState, FieldFile, Finding, FindingKind, ProcessingDay, StagedRow
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Event, Location, TagWearing
from herd.registry.queries.headcount import count_head
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.plausibility import plausible_range
from herd.values.premises import read_premises

POUND = NANOGRAMS[WeightUnit.LB]
SOME_DAYS = [date(2024, 2, 29), date(2025, 5, 9), date(2025, 10, 14), date(2025, 12, 31), date(2026, 1, 3)]


@pytest.fixture(scope="module")
def outfit(django_db_setup: None, django_db_blocker: pytest.FixtureRequest) -> Iterator[Outfit]:
    """The demo, loaded once for all tests here and taken back at the end."""
    with django_db_blocker.unblock(), transaction.atomic():
        load(lambda sentence: None)
        yield Outfit.objects.get(code="kettle-bench")
        transaction.set_rollback(True)


def test_seasons_follow_each_other_on_every_day_of_four_years() -> None:
    for step in range(4 * 366):
        seasons = seasons_before(date(2025, 1, 1) + timedelta(days=step))
        years = [season.year for season in seasons.years]
        assert years == [years[-1] - 2, years[-1] - 1, years[-1]]
        assert seasons.now.summer + timedelta(days=65) <= seasons.working - timedelta(days=21)
        assert seasons.working.day != seasons.working.month


@pytest.mark.parametrize("today", SOME_DAYS)
def test_the_play_is_the_same_each_time_and_ends_on_the_working_day_with_the_herd_as_promised(today: date) -> None:
    play, again = play_through(today), play_through(today)
    texts = [
        [file.content for file in make_files(plan_workday(one)) if "xlsx" not in file.name] for one in (play, again)
    ]
    assert texts[0] == texts[1]
    assert [one.id for one in play.heads] == [one.id for one in again.heads]
    assert len(play.here("cow")) == 640
    assert len(play.here("bull", group="Bull Pasture")) == 28
    assert len(play.here("heifer", group="Heifer Lot")) >= 100
    days = [event.happened_on for piece in play.pieces for event in piece.batch.events]
    assert max(days) <= play.seasons.working < today


def test_a_second_load_changes_nothing(outfit: Outfit) -> None:
    counts = Animal.objects.count(), Change.objects.count(), StagedRow.objects.count(), Person.objects.count()
    sign_in = load(lambda sentence: pytest.fail(sentence))
    assert (sign_in.username, sign_in.outfit_code) == ("demo", "kettle-bench")
    assert Person.objects.get(username="demo").check_password(sign_in.password)
    assert counts == (
        Animal.objects.count(),
        Change.objects.count(),
        StagedRow.objects.count(),
        Person.objects.count(),
    )


def test_the_head_count_is_the_one_promised(outfit: Outfit) -> None:
    day = ProcessingDay.objects.get(outfit=outfit)
    count = count_head(outfit, day.worked_on)
    assert count.by_class["cow"] == 640
    groups = {one.group.name: one.total for one in count.groups if one.group}
    assert set(groups) == {"Upper Bench", "Mill Trap", "Heifer Lot", "Bull Pasture", "Weaned Calves"}
    assert groups["Bull Pasture"] == 28
    assert all(groups.values())
    assert {"sold", "dead", "missing"} <= set(count.away)


def test_every_kind_of_finding_waits(outfit: Outfit) -> None:
    assert set(Finding.objects.values_list("kind", flat=True)) == set(FindingKind.values)


def test_one_day_waits_in_review_with_five_files_of_some_four_hundred_rows(outfit: Outfit) -> None:
    day = ProcessingDay.objects.get(outfit=outfit)
    assert day.state == DayState.REVIEW
    files = list(FieldFile.objects.filter(day=day))
    assert len(files) == 5
    assert not any(file.problem for file in files)
    assert 380 <= sum(file.row_count for file in files) <= 450
    ends = Counter(StagedRow.objects.filter(day=day).values_list("state", flat=True))
    assert ends.total() == sum(file.row_count for file in files)


def test_the_record_agrees_with_its_own_fold(outfit: Outfit) -> None:
    call_command("check_record", outfit="kettle-bench", stdout=StringIO())


def test_numbers_begin_with_the_invented_block(outfit: Outfit) -> None:
    eids = TagWearing.objects.of(outfit).filter(kind="eid").values_list("tag__number", flat=True)
    assert min(eids) >= "840270000000000"
    assert all(number.startswith("840270000") for number in eids)


# Premises numbers carry a check character: ISO 7064 Mod 37,36, guide to the AAVLD/USAHA eCVI standard.
def test_premises_numbers_have_the_right_check_character(outfit: Outfit) -> None:
    numbers = Location.objects.of(outfit).values_list("premises_number", flat=True)
    assert {read_premises(number).kind for number in numbers} == {"PIN"}


def test_calves_are_born_to_cows_old_enough_and_far_enough_apart(outfit: Outfit) -> None:
    calves = list(Animal.objects.of(outfit).filter(dam__isnull=False).select_related("dam"))
    assert len(calves) > 1_800
    # A heifer calves at two years or more; a second calving under 270 days is not credible (husbandry tables).
    assert min((calf.born_on - calf.dam.born_on).days for calf in calves) > 640
    by_dam: dict[object, list[date]] = {}
    for calf in calves:
        by_dam.setdefault(calf.dam_id, []).append(calf.born_on)
    gaps = [
        (later - earlier).days
        for days in map(sorted, by_dam.values())
        for earlier, later in zip(days, days[1:], strict=False)
    ]
    assert min(gaps) > 270
    assert 350 < mean(gaps) < 380


# Ranges: the proposed soft limits of herd.values.plausibility; herd means of weaning weights of 502 to 539 lb are
# those of the National SPA data 1991-2000 (McGrann, Texas A&M), of 490 to 537 those of Missouri in 2020.
def test_weights_are_those_of_beef_cattle(outfit: Outfit) -> None:
    weights = Event.objects.of(outfit).filter(kind="weight").select_related("animal")
    weaned = [one.weight_ng / POUND for one in weights if one.data.get("purpose") == "weaning"]
    born = [one.weight_ng / POUND for one in weights if one.data.get("purpose") == "birth"]
    assert 500 < mean(weaned) < 620
    assert 70 < mean(born) < 88
    assert min(born) > 40
    assert max(born) < 140
    for one in weights:
        if one.data.get("purpose") == "weaning":
            low, high = plausible_range("calf", (one.happened_on - one.animal.born_on).days)
            assert low.nanograms < one.weight_ng < high.nanograms


def test_changesets_have_titles_that_a_person_would_give(outfit: Outfit) -> None:
    titles = list(Changeset.objects.filter(outfit=outfit).values_list("title", flat=True))
    assert 15 <= len(titles) <= 40
    assert len(set(titles)) == len(titles)
    assert "Herd list" in titles


@pytest.mark.django_db
def test_the_demo_loads_at_another_time_of_the_year_as_well(outfit: Outfit) -> None:
    """Names are free again inside this test, since the first outfit gives its code away for it."""
    with transaction.atomic():
        Outfit.objects.filter(pk=outfit.pk).update(code="moved")
        Person.objects.filter(username="demo").update(username="moved")
        load(lambda sentence: None, today=date(2025, 5, 9))
        other = Outfit.objects.get(code="kettle-bench")
        kinds = set(Finding.objects.filter(day__outfit=other).values_list("kind", flat=True))
        transaction.set_rollback(True)
    assert kinds == set(FindingKind.values)
