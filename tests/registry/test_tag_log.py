"""The log of tags by period, as 9 CFR 86.4(c)-(e) asks to keep it: days, both numbers, reasons, sources."""

from datetime import date, timedelta
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.ledger.entry import Source
from herd.ledger.models import Changeset
from herd.registry.models import TagWearing
from herd.registry.queries.taglog import LogLine, LogQuestion, log_lines, log_page, place_of
from herd.registry.services import tags
from herd.registry.services.batch import Batch, PutOn
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import eid_tag, entry, register, vid_tag

EID, OTHER = "840270000000417", "840270000000418"
YEAR = LogQuestion(date(2025, 1, 1), date(2025, 12, 31))


def said(line: LogLine) -> tuple[str, str, str]:
    """The day, the old and the new number."""
    numbers = [one.tag.number if one else "" for one in (line.old, line.new)]
    return (f"{line.place.day:%m-%d}", *numbers)


def log(outfit: Outfit, question: LogQuestion = YEAR) -> list[tuple[str, str, str]]:
    return [said(line) for line in log_lines(outfit, question)]


def wearing(animal_id: UUID, **more: object) -> TagWearing:
    return TagWearing.objects.get(animal=animal_id, ended="", is_void=False, **more)


def retag(outfit: Outfit, animal_id: UUID, number: str, on: date, ended: str = "lost") -> None:
    new = PutOn(animal_id, "eid", number, worn_from=on, began="retagged")
    tags.replace(entry=entry(outfit), old=wearing(animal_id, kind="eid"), ended=ended, new=new, reason="torn out")


def test_a_replacement_is_one_line_with_both_numbers(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    retag(kettle_bench, cow, OTHER, date(2025, 5, 1))
    (line,) = log_lines(kettle_bench, YEAR)
    assert said(line) == ("05-01", EID, OTHER)
    assert (line.animal_id, line.old.ended, line.old.ended_reason) == (cow, "lost", "torn out")


def test_a_loss_and_a_later_retag_are_two_lines_that_name_each_other(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    tags.take_off(entry=entry(kettle_bench), wearing_id=wearing(cow).pk, on=date(2025, 5, 1), ended="lost")
    new = PutOn(cow, "eid", OTHER, worn_from=date(2025, 9, 1), began="retagged")
    tags.put_on(entry=entry(kettle_bench), tag=new)
    assert log(kettle_bench) == [("05-01", EID, OTHER), ("09-01", EID, OTHER)]


def test_a_metal_tag_replaced_by_an_eid_stands_under_both_kinds(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, {"kind": "nues", "number": "35ABC1234"})
    new = PutOn(cow, "eid", EID, worn_from=date(2025, 5, 1), began="retagged")
    tags.replace(entry=entry(kettle_bench), old=wearing(cow), ended="replaced", new=new, reason="unreadable")
    for kind in ("nues", "eid"):
        question = LogQuestion(YEAR.since, YEAR.until, kind)
        assert log(kettle_bench, question) == [("05-01", "35ABC1234", EID)]


def test_only_days_of_the_period_and_tags_of_the_kind_are_listed(kettle_bench: Outfit, far_rim: Outfit) -> None:
    for day in (date(2024, 12, 31), date(2025, 1, 1), date(2025, 12, 31), date(2026, 1, 1)):
        register(kettle_bench, vid_tag(f"{day:%y%m}"), on=day)
    register(kettle_bench, eid_tag(EID), on=date(2025, 3, 1))
    register(kettle_bench, vid_tag("77"), on=None)
    register(far_rim, vid_tag("5"), on=date(2025, 3, 1))
    assert [line[2] for line in log(kettle_bench)] == ["2501", EID, "2512"]
    assert [line[2] for line in log(kettle_bench, LogQuestion(YEAR.since, YEAR.until, "vid"))] == ["2501", "2512"]


def test_each_line_has_the_file_and_line_that_wrote_it(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    source = Source("weaning.csv", 12)
    write(entry(kettle_bench), Batch(put_on=[PutOn(cow, "eid", EID, worn_from=date(2025, 3, 1), source=source)]))
    (line,) = log_lines(kettle_bench, YEAR)
    assert (line.change.source_file, line.change.source_line) == ("weaning.csv", 12)


def test_a_tag_that_came_off_has_the_source_of_its_coming_off(kettle_bench: Outfit, cast: object) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    by_ada = entry(kettle_bench, cast.ada, "a loss")
    tags.take_off(entry=by_ada, wearing_id=wearing(cow).pk, on=date(2025, 5, 1), ended="lost", reason="ear torn")
    (line,) = log_lines(kettle_bench, YEAR)
    assert (line.change.changeset.person_name, line.change.reason) == ("ada", "ear torn")


def test_what_was_taken_back_is_not_in_the_log(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, eid_tag(EID))
    retag(kettle_bench, cow, OTHER, date(2025, 5, 1))
    assert undo(entry(kettle_bench), Changeset.objects.order_by("recorded_at").last()).is_possible
    assert log(kettle_bench) == []
    retag(kettle_bench, cow, "840270000000419", date(2025, 6, 1))
    assert log(kettle_bench) == [("06-01", EID, "840270000000419")]


@pytest.mark.parametrize("size", [1, 2, 3, 100])
def test_pages_put_together_are_the_whole_log(kettle_bench: Outfit, size: int) -> None:
    for at in range(4):
        day = date(2025, 1, 1) + timedelta(days=at // 2)
        cow = register(kettle_bench, eid_tag(f"84027000000090{at}"), vid_tag(str(at)), on=day)
        gone = wearing(cow, kind="vid")
        tags.take_off(entry=entry(kettle_bench), wearing_id=gone.pk, on=day, ended="broken")
    whole = [str(line.place) for line in log_lines(kettle_bench, YEAR)]
    found: list[str] = []
    after = None
    while page := log_page(kettle_bench, YEAR, after, size):
        found += [str(line.place) for line in page]
        after = place_of(found[-1])
    assert found == whole
    assert len(set(whole)) == 12


@pytest.mark.parametrize("text", ["", "2025-01-01", "2025-01-01_0_", "x_0_y", "2025-01-01_a_0"])
def test_a_place_that_is_none_is_passed_over(text: str) -> None:
    assert place_of(text) is None


def test_a_page_takes_few_queries(kettle_bench: Outfit, django_assert_num_queries: object) -> None:
    for at in range(30):
        cow = register(kettle_bench, eid_tag(f"8402700000009{at:02d}"), on=date(2025, 1, 1))
        if at % 2:
            retag(kettle_bench, cow, f"8402700000008{at:02d}", date(2025, 5, 1))
    with django_assert_num_queries(3):
        assert len(log_page(kettle_bench, YEAR, None, 100)) == 45
