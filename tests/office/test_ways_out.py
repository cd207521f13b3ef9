"""Lists and reports of days and of one animal leave as files, with every line in them."""

import csv
import io

import pytest
from django.urls import reverse

from tests.intake.field import csv_file, work

EID = "840270000000417"


def taken(client, address, way="csv"):
    """The rows of a page as it leaves."""
    answer = client.get(address, {"as": way})
    assert answer["Content-Type"].startswith("text/csv")
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text)))


@pytest.fixture
def day(cast, herd):
    """A day with a weight of the cow, a number that nobody wears, and a cell that can't be read."""
    lines = ["EID,Weight", f"{EID},1180", "840270000009999,1200", f"{EID},heavy"]
    return work(cast.kettle_bench, [csv_file("scale.csv", lines)], of=None)


def test_the_list_of_days_leaves_with_its_figures(ada_in, day):
    heading, line = taken(ada_in, reverse("office:days"))
    assert heading[-1] == "Findings open"
    assert line[1] == day.name
    assert line[5] == "3"


def test_a_days_report_adds_up(ada_in, day):
    heading, file, total = taken(ada_in, reverse("office:day-report", args=[day.pk]))
    assert file[0] == "scale.csv"
    assert [int(figure) for figure in total[1:]] == [int(figure) for figure in file[1:]]
    assert int(total[1]) == sum(int(figure) for figure in total[2:]) == 3
    assert heading[0] == "File"


def test_each_line_of_a_file_leaves_as_it_was_written(ada_in, day):
    file = day.files.get()
    heading, *lines = taken(ada_in, reverse("office:file-rows", args=[day.pk, file.pk]))
    assert heading == ["Line", "Ended as", "Reason", "EID", "Weight"]
    assert [line[3:] for line in lines] == [[f"'{EID}", "1180"], ["'840270000009999", "1200"], [f"'{EID}", "heavy"]]
    assert "heavy" in lines[2][2]


def test_an_animals_events_and_changes_leave_in_words(ada_in, herd):
    events = taken(ada_in, reverse("office:animal", args=[herd.cow]))
    assert events[0] == ["Day", "Kind", "What"]
    assert len(events) > 1
    changes = taken(ada_in, reverse("office:animal-history", args=[herd.cow]))
    assert changes[0][:2] == ["When", "What"]
    assert len(changes) > 1


def test_another_outfits_lists_do_not_leave(as_person, cast, day):
    stranger = as_person(cast.eve)
    assert stranger.get(reverse("office:day-report", args=[day.pk]), {"as": "csv"}).status_code == 404
    assert len(taken(stranger, reverse("office:days"))) == 1
