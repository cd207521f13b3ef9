"""The way of an outfit in a real browser, at a desk and on a phone: herd list, a day by keys, the plot, undo."""

import re

import pytest
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import expect

from tests.cast import PASSWORD
from tests.journeys.fieldwork import FIRST_WEIGHED_ON, WORKED_ON, Sent, eid, herd_list, scale_file, vet_sheet

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

EMPTY = "Nothing is left to decide"
SCREENS = {
    "desk": {"viewport": {"width": 1440, "height": 900}},
    "phone": {"viewport": {"width": 390, "height": 844}, "has_touch": True},
}


@pytest.fixture(params=SCREENS)
def page(request, browser, live_server, cast):
    """A page of ada, who has signed in by keys; what the browser complains of is collected in `page.complaints`."""
    cache.clear()
    context = browser.new_context(base_url=live_server.url, **SCREENS[request.param])
    opened = context.new_page()
    opened.set_default_timeout(10_000)
    opened.complaints = []
    opened.on("console", lambda said: opened.complaints.append(said.text) if said.type == "error" else None)
    opened.on("pageerror", lambda fault: opened.complaints.append(str(fault)))
    opened.goto(reverse("office:home"))
    fits(opened)
    opened.get_by_label("User name").focus()
    opened.keyboard.type("ada")
    opened.keyboard.press("Tab")
    opened.keyboard.type(PASSWORD)
    opened.keyboard.press("Enter")
    opened.get_by_role("heading", name="Herd count", level=1).wait_for()
    yield opened
    context.close()


def fits(page) -> None:
    """See that the page does not scroll sideways."""
    page.wait_for_load_state()
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide == 0, page.url


def follow(page, role: str, name: str, heading: str) -> None:
    """Press Enter on a link or button, and arrive on the page with this heading."""
    page.get_by_role(role, name=name, exact=True).first.press("Enter")
    page.get_by_role("heading", name=heading, level=1).wait_for()
    fits(page)


def send(page, day: str, group: str, *files: Sent) -> None:
    """Choose files on the form of a new day and send it; the day's page comes back in review."""
    payload = [{"name": one.name, "mimeType": "text/csv", "buffer": one.content} for one in files]
    page.locator("input[type=file]").set_input_files(payload)
    page.get_by_label("Day", exact=True).fill(day)
    if group:
        page.get_by_label("Group worked").select_option(label=group)
    fits(page)
    follow(page, "button", "Read the files", f"{group or 'Processing day'} {day}")
    expect(page.get_by_text("in review", exact=True)).to_be_visible()


def apply(page, heading: str) -> None:
    """Apply from the page that offers it, by way of the page that says what is written."""
    follow(page, "link", "Apply", "Apply this day?")
    follow(page, "button", "Apply", heading)
    expect(page.get_by_role("heading", name="Applied")).to_be_visible()


def bring_in_herd(page) -> None:
    """Drop in the herd list of an outfit without animals, and apply it."""
    follow(page, "link", "Drop in your herd list", "New processing day")
    assert page.get_by_label("This is our herd list").is_checked()
    send(page, FIRST_WEIGHED_ON, "", herd_list())
    apply(page, f"Processing day {FIRST_WEIGHED_ON}")
    follow(page, "link", "Herd count", "Herd count")
    expect(page.get_by_text("12 head on hand")).to_be_visible()


def open_review(page) -> None:
    """Send the scale's file and the vet's sheet as a new day, and begin its review."""
    follow(page, "link", "New processing day", "New processing day")
    send(page, WORKED_ON, "Mill Trap", scale_file(), vet_sheet())
    page.get_by_role("link", name=re.compile(r"^Review \d+ findings$")).press("Enter")
    page.locator("#finding-title").wait_for()
    fits(page)


def press(page, key: str) -> str:
    """Press a key that brings another finding, and return its heading, on which the focus lies then."""
    title = page.locator("#finding-title")
    before = title.inner_text()
    page.keyboard.press(key)
    expect(title).not_to_have_text(before)
    expect(title).to_be_focused()
    fits(page)
    return title.inner_text()


def go_to(page, beginning: str) -> None:
    """Press n until the finding with this heading is shown."""
    title = page.locator("#finding-title")
    for _ in range(12):
        if title.inner_text().startswith(beginning):
            return
        press(page, "n")
    raise AssertionError(f"no finding begins with {beginning}")


def key_of(page, label: str) -> str:
    """The number that stands before an answer."""
    return page.locator(".choice", has_text=label).locator(".choice-number").inner_text()


def review_by_keys(page) -> None:
    """Rule everything: one typed, one taken back and ruled again, one kind all alike, the rest by the first answer."""
    go_to(page, "cow 409 yellow: weight 400 lb is doubtful")
    page.keyboard.press(key_of(page, "Type what it should be"))
    page.keyboard.type("1209")
    press(page, "Enter")
    go_to(page, "EID 840 270 000 990 033")
    left = page.locator(".queue-left").inner_text()
    press(page, key_of(page, "Set the line aside"))
    assert page.locator(".queue-left").inner_text() != left
    assert press(page, "u").startswith("EID 840 270 000 990 033")
    assert page.locator(".queue-left").inner_text() == left
    press(page, key_of(page, "Set the line aside"))
    go_to(page, "visual tag 41")
    page.keyboard.press("a")
    assert "The same answer for" in press(page, "1")
    title = press(page, "y")
    for _ in range(6):
        if title == EMPTY:
            break
        title = press(page, "1")
    assert title == EMPTY


def find_by_last_digits(page, digits: str, name: str) -> None:
    """Find an animal from wherever one is, by "/" and the last digits of its EID, and open its page."""
    page.keyboard.press("/")
    page.keyboard.type(digits)
    page.keyboard.press("Enter")
    page.get_by_role("heading", name=f"1 animal for “{digits}”", level=1).wait_for()
    fits(page)
    follow(page, "link", name, name)


def test_the_whole_way_by_keys_from_herd_list_to_undo(page):
    bring_in_herd(page)
    open_review(page)
    review_by_keys(page)
    apply(page, f"Mill Trap {WORKED_ON}")
    follow(page, "link", "Report", f"Report: Mill Trap {WORKED_ON}")
    find_by_last_digits(page, eid(409)[-4:], "409 yellow")
    page.locator("#weights-plot canvas").wait_for()
    fits(page)
    weights = page.get_by_role("region", name="Weights")
    assert "1,209 lb" in weights.inner_text()
    page.get_by_role("link", name="scale.csv, line 11").first.press("Enter")
    page.get_by_role("heading", name=f"Mill Trap {WORKED_ON}", level=1).wait_for()
    follow(page, "link", "Undo the day", "Undo this day?")
    page.get_by_role("button", name="Take back").press("Enter")
    page.get_by_text("was taken back").wait_for()
    fits(page)
    find_by_last_digits(page, eid(409)[-4:], "409 yellow")
    assert "1,159 lb" in weights.inner_text()
    assert "1,209 lb" not in weights.inner_text()
    assert page.complaints == []
