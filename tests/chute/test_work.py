"""The way of an animal through the chute: a number arrives, the card is shown, what is entered is kept and sent."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from herd.intake.models import FieldFile, ProcessingDay
from herd.office.today import today_of
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import eid_tag, entry, register, vid_tag
from tests.chute.conftest import eid

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def given_today(kind: str) -> dict[str, dict[str, Any]]:
    """What stands in the record of today, by the animal's visual tag."""
    since = timezone.now().date() - timedelta(days=2)
    rows = Event.objects.filter(kind=kind, is_void=False, happened_on__gte=since)
    tags = TagWearing.objects.filter(kind="vid", ended="").select_related("tag")
    numbers = {one.animal_id: one.tag.number for one in tags}
    return {numbers[one.animal_id]: one.data for one in rows}


def test_numbers_start_the_next_animal_however_they_come(phone):
    """Fast, without a carriage return, two at once, slowly, and into a weight that is half typed."""
    phone.scan(eid(1))
    phone.sees("1 yellow")
    expect(phone.page.locator("#card")).to_contain_text("1100 lb")
    phone.weigh("1180")
    phone.scan(eid(2), enter=False)
    phone.sees("2 yellow")
    expect(phone.last).to_contain_text("Kept for 1 yellow: 1180 lb")
    phone.weigh("1190")
    phone.scan(eid(3) + eid(4), enter=False)
    phone.sees("4 yellow")
    # No finger comes within a reader's own gap between two keys.
    phone.page.wait_for_timeout(150)
    phone.page.locator("input[name=weight]").press_sequentially("12", delay=150)
    phone.scan(eid(5), gap=70, enter=False)
    phone.sees("5 yellow")
    # Twelve pounds are not put into the record; it is said, and can be set right.
    expect(phone.page.locator(".aside")).to_contain_text("NOT kept for 4 yellow: weight 12")
    phone.scan(eid(5))
    phone.scan(f"1{eid(6)}")
    phone.sees("6 yellow")
    phone.keep()
    phone.page.get_by_label("weight of 4 yellow").fill("1210")
    phone.page.get_by_role("button", name="Keep this").click()
    expect(phone.page.locator(".aside")).to_have_count(0)
    expect(phone.page.locator("#counts")).to_have_text("Through 6 Expected 2")
    phone.delivers()
    weights = {one: data["weight"] for one, data in given_today("weight").items()}
    assert weights == {"1": "1180", "2": "1190", "4": "1210"}
    assert phone.complaints == []


def test_an_animal_is_found_by_what_fingers_type(phone, kettle_bench, trap):
    """By its visual tag, by last digits, by asking which of two; and what is nobody's is kept for the office."""
    register(kettle_bench, eid_tag(eid(55)), vid_tag("3", "blue"), group_id=trap)
    phone.sync()
    phone.type_number("2")
    phone.sees("2 yellow")
    phone.type_number("0405")
    phone.sees("5 yellow")
    phone.type_number("3")
    phone.page.get_by_role("button", name="3 blue").click()
    phone.sees("3 blue")
    expect(phone.page.locator("#card")).to_contain_text("Not of this group: Mill Trap")
    phone.type_number("3 yellow")
    phone.sees("3 yellow")
    phone.type_number(eid(90))
    expect(phone.page.locator("#card")).to_contain_text("Not in this device’s herd")
    phone.weigh("900")
    phone.type_number(eid(91))
    phone.page.get_by_role("button", name="Heifer").click()
    phone.weigh("700")
    phone.type_number("84027000000O4O1")
    expect(phone.last).to_contain_text("Scan it again")
    phone.keep()
    phone.delivers()
    assert sorted(phone.statuses()) == ["applied", "applied", "held"]
    fresh = TagWearing.objects.get(tag__number=eid(91)).animal
    assert (fresh.animal_class, fresh.group.name) == ("heifer", "Upper Bench")
    assert Event.objects.get(animal=fresh, kind="weight").data["weight"] == "700"


def test_what_matters_is_said_before_anything_is_entered(phone, kettle_bench, cows):
    """Sold, in withdrawal, through already today; a sale in withdrawal asks why."""
    today = today_of(kettle_bench)
    medicine = {"product": "Pour-on", "withdrawal_days": 28}
    events.record(
        entry=entry(kettle_bench),
        events=[NewEvent(cows[0], "sale", date(2026, 1, 2), {}), NewEvent(cows[1], "treatment", today, medicine)],
    )
    phone.sync()
    phone.choose("Upper Bench", "Sale")
    card = phone.page.locator("#card")
    phone.scan(eid(1))
    expect(card).to_contain_text("SOLD since 2026-01-02")
    phone.scan(eid(2))
    expect(card).to_contain_text("IN WITHDRAWAL until")
    phone.page.get_by_role("button", name="Sold today").click()
    expect(phone.page.locator(".entry")).to_contain_text("It must not go to slaughter")
    phone.scan(eid(3))
    expect(phone.page.locator(".aside")).to_contain_text("NOT kept for 2 yellow: sold")
    phone.weigh("1155")
    phone.scan(eid(4))
    phone.scan(eid(3))
    expect(card).to_contain_text("Already through today: 1155 lb")
    phone.keep()
    phone.page.locator(".aside").get_by_role("button", name="Leave it out").click()
    phone.delivers()
    assert Animal.objects.get(pk=cows[1]).status == "on_hand"


def test_everything_that_can_be_done_lands_in_the_record(phone, product, trap, cows):
    phone.sync()
    phone.page.get_by_role("button", name="Today", exact=True).click()
    phone.page.get_by_role("button", name="Treatment or vaccine").click()
    phone.page.locator("#product").select_option(label="Pour-on")
    phone.page.get_by_role("button", name="Move to a group").click()
    phone.page.get_by_label("They move to").select_option(label="Mill Trap")
    phone.page.get_by_role("button", name="Start", exact=True).click()
    phone.choose("Upper Bench", "Pregnancy check", "Sample tube", "Body condition", "Weaning", "Note")
    phone.scan(eid(1))
    phone.weigh("1201.5")
    phone.page.get_by_role("button", name="Bred", exact=True).click()
    phone.page.get_by_label("Days bred").fill("120")
    # A barcode reader types the tube's code, wherever the cursor is.
    phone.scan("KB-004711")
    expect(phone.page.get_by_label("Sample tube")).to_have_value("KB-004711")
    phone.page.get_by_role("button", name="5", exact=True).click()
    phone.page.get_by_label("Note").fill("limps")
    phone.keep()
    phone.delivers()
    said = {one.kind: one.data for one in Event.objects.filter(animal=cows[0], is_void=False).order_by("happened_on")}
    assert said["weight"]["weight"] == "1201.5"
    assert said["pregnancy_check"] == {"result": "pregnant", "days": 120}
    assert (said["treatment"]["product"], said["treatment"]["withdrawal_days"]) == ("Pour-on", 28)
    assert said["sample"] == {"tube": "KB-004711"}
    assert (said["body_condition"]["score"], said["note"]["note"]) == ("5", "limps")
    assert "weaning" in said
    assert Animal.objects.get(pk=cows[0]).group_id == trap
    assert set(phone.statuses()) == {"applied"}


def test_a_lost_tag_takes_two_touches_and_the_new_one_a_scan(phone, cows):
    phone.choose("Upper Bench", "New tag")
    phone.scan(eid(1))
    phone.page.get_by_role("button", name="Tag lost").click()
    phone.page.get_by_role("button", name="EID 840 2700 0000 0401 is lost").click()
    phone.scan(eid(61))
    expect(phone.page.locator(".tags")).to_contain_text("replaced by 840 2700 0000 0461")
    phone.scan(eid(2))
    phone.sees("2 yellow")
    phone.page.get_by_role("button", name="Tag lost").click()
    phone.page.get_by_role("button", name="Tag 2 yellow is lost").click()
    phone.keep()
    # The old number is nobody's from now on, the new one names the animal, before anything is sent.
    phone.scan(eid(61))
    phone.sees("1 yellow")
    phone.keep()
    phone.delivers()
    worn = TagWearing.objects.filter(animal__in=cows[:2], ended="").values_list("tag__number", flat=True)
    assert sorted(worn) == sorted(["1", eid(61), eid(2)])


def test_the_last_animal_is_taken_back_sent_or_unsent(phone, cows):
    phone.page.context.set_offline(True)
    phone.scan(eid(1))
    phone.weigh("1180")
    phone.keep()
    phone.page.locator("#undo").click()
    # The fields are open again, to be set right.
    phone.sees("1 yellow")
    assert phone.unsent() == 0
    phone.weigh("1188")
    phone.keep()
    phone.page.context.set_offline(False)
    phone.delivers()
    phone.page.locator("#undo").click()
    phone.page.get_by_role("button", name="Leave it").click()
    phone.delivers()
    today = Event.objects.filter(animal=cows[0], kind="weight", happened_on__gt=date(2026, 6, 1))
    assert [(one.data["weight"], one.is_void) for one in today] == [("1188", True)]
    expect(phone.page.locator("#counts")).to_have_text("Through 0 Expected 8")
    phone.type_number("1")
    expect(phone.page.locator("#card")).to_contain_text("1100 lb")


def test_a_list_of_numbers_goes_to_the_office_as_one_field_file_though_an_answer_is_lost(phone, cows):
    lost: list[Any] = []

    def lose_first(route: Any) -> None:
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch())
            route.abort()

    phone.page.route("**/api/v1/days/", lose_first)
    phone.page.get_by_role("button", name="List", exact=True).click()
    phone.page.get_by_text("A list of numbers").click()
    phone.page.locator("#numbers").focus()
    for number in (1, 2, 3):
        phone.page.keyboard.type(eid(number))
        phone.page.keyboard.press("Enter")
    phone.page.get_by_role("button", name="Keep the list").click()
    expect(phone.page.locator("#list-told")).to_contain_text("3 lines are safe")
    phone.until("chute.files.waiting === 0")
    assert lost[0].ok
    day = ProcessingDay.objects.get()
    file = FieldFile.objects.get(day=day)
    assert (day.group.name, file.row_count) == ("Upper Bench", 3)
    assert bytes(file.content).decode().split() == [eid(1), eid(2), eid(3)]


CAMERA = """
    globalThis.BarcodeDetector = class { async detect() { return [{rawValue: "KB-004712"}]; } };
    navigator.mediaDevices.getUserMedia = async () => {
        const canvas = document.createElement("canvas");
        canvas.getContext("2d").fillRect(0, 0, 9, 9);
        return canvas.captureStream(5);
    };
"""


def test_a_tube_is_read_by_the_camera_where_the_browser_can(phone):
    """And all of it by keys alone: the task, the animal, the camera, keeping."""
    page = phone.page
    phone.choose("Upper Bench", "Sample tube")
    phone.scan(eid(1))
    assert page.get_by_role("button", name="Read the tube by the camera").count() == 0
    page.get_by_role("button", name="Leave it").press("Enter")
    page.add_init_script(CAMERA)
    phone.open()
    page.locator("#number").focus()
    page.keyboard.type("2", delay=120)
    page.keyboard.press("Enter")
    phone.sees("2 yellow")
    expect(page.locator("input[name=weight]")).to_be_focused()
    page.get_by_role("button", name="Read the tube by the camera").press("Enter")
    expect(page.get_by_label("Sample tube", exact=True)).to_have_value("KB-004712")
    expect(page.locator("dialog")).to_have_count(0)
    page.locator("input[name=weight]").focus()
    page.keyboard.type("1180", delay=120)
    page.keyboard.press("Enter")
    expect(phone.last).to_contain_text("Kept for 2 yellow: 1180 lb, tube KB-004712")
    assert phone.complaints == []
