"""Hip heights and scrotal circumferences come in by field file, each with its unit."""

from herd.intake import review
from herd.registry.models import Event
from tests.intake.field import apply, csv_file, eid, herd, work


def test_sizes_of_a_file_are_recorded_with_the_unit_of_cell_heading_or_outfit(kettle_bench):
    bulls = herd(kettle_bench, (417, 530, 688), animal_class="bull")
    lines = ["EID,Hip height,SC (cm)"]
    cells = {417: "49.5,34", 530: "126 cm,35.5", 688: ","}
    lines += [f"{eid(vid * 11)},{cells[vid]}" for vid in bulls]
    day = work(kettle_bench, [csv_file("bulls.csv", lines)])
    apply(day)
    found = {(one.animal_id, one.kind): one.data for one in Event.objects.filter(kind__in=("hip_height", "scrotal"))}
    assert found == {
        (bulls[417], "hip_height"): {"height": "49.5 in"},
        (bulls[530], "hip_height"): {"height": "126 cm"},
        (bulls[417], "scrotal"): {"circumference": "34 cm"},
        (bulls[530], "scrotal"): {"circumference": "35.5 cm"},
    }


def test_a_column_of_numbers_too_high_for_inches_is_in_centimetres(kettle_bench):
    bulls = herd(kettle_bench, (417, 530), animal_class="bull")
    lines = ["EID,Hip height", *(f"{eid(vid * 11)},{120 + vid % 7}" for vid in bulls)]
    apply(work(kettle_bench, [csv_file("bulls.csv", lines)]))
    found = {one.data["height"] for one in Event.objects.filter(kind="hip_height")}
    assert found == {f"{120 + vid % 7} cm" for vid in bulls}


def test_a_circumference_of_a_cow_is_asked_about_and_left_out(kettle_bench):
    bulls, cows = herd(kettle_bench, (417,), animal_class="bull"), herd(kettle_bench, (530,))
    lines = ["EID,SC (cm)", *(f"{eid(vid * 11)},34" for vid in (*bulls, *cows))]
    day = work(kettle_bench, [csv_file("bulls.csv", lines)])
    finding = day.findings.get(is_open=True)
    assert finding.reasons[0] == "The animal is a cow; a cow has no scrotal circumference."
    review.rule(day=day, finding=finding, choice="leave_out")
    apply(day)
    assert [one.animal_id for one in Event.objects.filter(kind="scrotal")] == [bulls[417]]


def test_the_same_file_twice_changes_nothing(kettle_bench):
    bulls = herd(kettle_bench, (417, 530), animal_class="bull")
    lines = ["EID,Hip height in", *(f"{eid(vid * 11)},50.5" for vid in bulls)]
    apply(work(kettle_bench, [csv_file("bulls.csv", lines)]))
    apply(work(kettle_bench, [csv_file("again.csv", [*lines, ""])]))
    assert Event.objects.filter(kind="hip_height", is_void=False).count() == 2
