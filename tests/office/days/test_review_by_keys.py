"""The review in a real browser: by keys alone, with the focus on each finding, on a phone, without a script."""

import pytest
from django.conf import settings
from django.urls import reverse
from playwright.sync_api import expect, sync_playwright

from herd.intake.models import Ruling

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(scope="module")
def browser(chromium):
    with sync_playwright() as player:
        opened = player.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield opened
        opened.close()


@pytest.fixture
def open_page(browser, live_server, client, cast):
    """Open pages signed in as ben; what the browser complains of is collected in `page.complaints`."""
    contexts = []

    def opened(**screen):
        client.force_login(cast.ben)
        context = browser.new_context(base_url=live_server.url, **screen)
        contexts.append(context)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.complaints = []
        page.on("console", lambda said: page.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda fault: page.complaints.append(str(fault)))
        return page

    yield opened
    for context in contexts:
        context.close()


def press(page, key: str) -> str:
    """Press a key that brings another finding, and return its heading, on which the focus lies then."""
    title = page.locator("#finding-title")
    before = title.inner_text()
    page.keyboard.press(key)
    expect(title).not_to_have_text(before)
    expect(title).to_be_focused()
    return title.inner_text()


def test_the_whole_queue_is_ruled_by_keys_alone(open_page, day):
    page = open_page()
    page.goto(reverse("office:review", args=[day.pk]))
    first = page.locator("#finding-title").inner_text()
    second = press(page, "n")
    assert press(page, "p") == first
    assert press(page, "ArrowRight") == second
    press(page, "ArrowLeft")
    press(page, "1")
    assert Ruling.objects.count() == 1
    expect(page.locator("[data-review-said]")).to_contain_text("Ruled:")
    press(page, "u")
    assert Ruling.objects.count() == 0
    for _ in range(20):
        if page.locator("#finding-title").inner_text() == "Nothing is left to decide":
            break
        press(page, "1")
    assert page.locator("#finding-title").inner_text() == "Nothing is left to decide"
    assert not day.findings.filter(is_open=True).exists()
    assert page.complaints == []


def test_all_alike_are_listed_and_ruled_by_keys(open_page, day):
    page = open_page()
    page.goto(reverse("office:review", args=[day.pk]) + "?kind=not_seen")
    page.keyboard.press("a")
    assert press(page, "1") == "The same answer for 2 findings alike?"
    assert press(page, "Escape") != "The same answer for 2 findings alike?"
    assert Ruling.objects.count() == 0
    page.keyboard.press("a")
    press(page, "1")
    press(page, "y")
    assert Ruling.objects.count() == 2
    assert not day.findings.filter(is_open=True, kind="not_seen").exists()


def test_digits_typed_into_the_field_choose_nothing(open_page, day):
    page = open_page()
    page.goto(reverse("office:review", args=[day.pk]) + "?kind=doubtful_value")
    page.keyboard.press("3")
    expect(page.locator("#typed")).to_be_focused()
    page.keyboard.type("1112")
    assert Ruling.objects.count() == 0
    press(page, "Enter")
    assert [(one.choice, one.typed) for one in Ruling.objects.all()] == [("type", "1112")]


def test_a_phone_shows_the_review_without_scrolling_sideways(open_page, day):
    page = open_page(viewport={"width": 390, "height": 844}, has_touch=True)
    for name in ("days", "day", "review", "day-report"):
        page.goto(reverse(f"office:{name}", args=[] if name == "days" else [day.pk]))
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide == 0, name
    page.goto(reverse("office:review", args=[day.pk]))
    for choice in page.locator(".choice").all():
        assert choice.bounding_box()["height"] >= 44


def test_a_ruling_works_without_a_script(open_page, day):
    page = open_page(java_script_enabled=False)
    page.goto(reverse("office:review", args=[day.pk]))
    first = page.locator("#finding-title").inner_text()
    page.locator(".choice").first.click()
    page.wait_for_load_state()
    assert page.locator("#finding-title").inner_text() != first
    assert Ruling.objects.count() == 1


def test_dropped_files_are_named_before_they_are_sent(open_page, day):
    page = open_page()
    page.goto(reverse("office:day-new"))
    files = [
        {"name": "reader.csv", "mimeType": "text/csv", "buffer": b"EID\n840270000004170\n"},
        {"name": "list.txt", "mimeType": "text/plain", "buffer": b"417\n"},
    ]
    page.locator("input[type=file]").set_input_files(files)
    assert page.locator("[data-chosen] li").all_inner_texts() == ["reader.csv, 1 kB", "list.txt, 1 kB"]
    page.get_by_role("button", name="Read the files").click()
    page.wait_for_url("**/days/*-*/")
    assert "reader.csv" in page.locator("main").inner_text()
