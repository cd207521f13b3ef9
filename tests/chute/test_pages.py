"""Every view of the chute page on a phone and a tablet, by day and by night: whole, legible, and usable by touch."""

import os
from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_FILE_PATH

from tests.chute.conftest import eid
from tests.chute.phone import Phone

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SCREENS = {
    "phone": {"viewport": {"width": 390, "height": 844}, "color_scheme": "light", "has_touch": True},
    "tablet": {"viewport": {"width": 820, "height": 1180}, "color_scheme": "dark", "has_touch": True},
}
TASKS = ("Pregnancy check", "Sample tube", "New tag", "Body condition", "Weaning", "Sale", "Note")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
CHECK = """async (rules) => {
    const found = await axe.run({runOnly: {type: "tag", values: rules}});
    const places = (one) => one.nodes.slice(0, 3).map((node) => node.target.join(" ")).join(", ");
    return found.violations.map((one) => `${one.id}: ${places(one)}`);
}"""
# Gloves need more than the 24 pixels of WCAG 2.2: everything that is touched is 48 high at least.
SMALL = """() => [...document.querySelectorAll("button, input, select, textarea, summary")]
    .filter((one) => one.getClientRects().length && one.getBoundingClientRect().height < 48)
    .map((one) => `${one.tagName} ${one.id || one.textContent}`)"""


def faults_of(phone: Phone, view: str, screen: str) -> list[str]:
    """What is wrong with what is shown now."""
    page = phone.page
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    faults = [f"scrolls sideways by {wide} pixels"] if wide else []
    faults += [f"small: {one}" for one in page.evaluate(SMALL)]
    page.evaluate(Path(AXE_FILE_PATH).read_text(encoding="utf-8"))
    faults += page.evaluate(CHECK, RULES)
    if folder := os.environ.get("NOTCHBOOK_SHOTS"):
        page.screenshot(path=f"{folder}/chute-{view}-{screen}.png", full_page=True)
    return [f"{view} ({screen}): {fault}" for fault in faults]


@pytest.mark.parametrize("screen", SCREENS)
def test_every_view_is_whole_and_legible(opened, code_of, cows, bench, trap, product, screen):
    phone = Phone(opened(**SCREENS[screen]).new_page())
    faults = []
    phone.open()
    faults += faults_of(phone, "enrol", screen)
    phone.enrol(code_of())
    phone.page.get_by_role("button", name="Treatment or vaccine").click()
    phone.page.locator("#product").select_option(label="Pour-on")
    faults += faults_of(phone, "today", screen)
    phone.page.get_by_role("button", name="Treatment or vaccine").click()
    phone.choose("Upper Bench")
    faults += faults_of(phone, "waiting", screen)
    phone.scan(eid(1))
    phone.weigh("1180")
    phone.scan(eid(2))
    phone.weigh("9999")
    phone.scan(eid(3))
    phone.sees("3 yellow")
    faults += faults_of(phone, "weight", screen)
    phone.page.get_by_role("button", name="Tag lost").click()
    phone.page.get_by_role("button", name="Tag 3 yellow is lost").click()
    faults += faults_of(phone, "lost", screen)
    phone.scan(eid(77))
    phone.page.get_by_text("Not in this device’s herd.", exact=True).wait_for()
    faults += faults_of(phone, "unknown", screen)
    phone.keep()
    phone.choose("Mill Trap", *TASKS)
    phone.scan(eid(1))
    phone.page.get_by_role("button", name="Bred", exact=True).click()
    phone.page.get_by_role("button", name="Sold today").click()
    faults += faults_of(phone, "all", screen)
    phone.keep()
    for name, label in (("list", "List"), ("setup", "Today")):
        phone.page.get_by_role("button", name=label, exact=True).click()
        faults += faults_of(phone, name, screen)
    phone.page.locator("#sent").click()
    faults += faults_of(phone, "sent", screen)
    assert faults + phone.complaints == []
