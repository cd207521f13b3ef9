"""The chute page as the person at the chute uses it: enrol, choose, scan, type, keep."""

import re
import time
from typing import Any

from playwright.sync_api import Page, expect

# A machine that does other work beside takes its time.
expect.set_options(timeout=40_000)

# What runs in the page: a reader that types as a keyboard, each key as its own event, at so many milliseconds.
WEDGE = """async ([keys, gap]) => {
    const press = (key) => {
        const target = document.activeElement ?? document.body;
        const down = new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true});
        if (target.dispatchEvent(down) && key.length === 1 && target instanceof HTMLInputElement) {
            target.value += key;
            target.dispatchEvent(new InputEvent("input", {bubbles: true, data: key}));
        }
    };
    for (const key of keys) {
        press(key);
        if (gap) await new Promise((done) => setTimeout(done, gap));
    }
}"""


class Phone:
    """One page of a device, with what the browser complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.complaints: list[str] = []
        page.on("pageerror", lambda fault: self.complaints.append(str(fault)))
        page.on("console", lambda said: self.complaints.append(said.text) if said.type == "error" else None)

    def open(self, fragment: str = "") -> None:
        """Open the page, or open it again."""
        self.page.goto(f"/chute/{fragment}")
        self.until("Boolean(window.chute)")

    def enrol(self, code: str) -> None:
        """Enrol by the link of the office's picture, and wait until the herd is here."""
        self.open(f"#enrol={code}")
        self.page.get_by_role("button", name="Enrol").click()
        self.page.get_by_role("heading", name="Today", exact=True).wait_for()
        self.until("chute.herd.base.size > 0")
        self.wait_for_worker()

    def until(self, claim: str, seconds: float = 30) -> None:
        """Wait until something is true in the page, whose policy lets no text be run by the page itself."""
        ends = time.monotonic() + seconds
        while not self.page.evaluate(claim):
            assert time.monotonic() < ends, f"{claim} did not come true; {self.complaints}"
            self.page.wait_for_timeout(20)

    def wait_for_worker(self) -> None:
        """Wait until the page would start without a network."""
        self.page.evaluate("navigator.serviceWorker.ready.then(() => 0)")

    def choose(self, group: str, *tasks: str) -> None:
        """Say what is done today; weight is chosen already."""
        self.page.get_by_role("button", name="Today", exact=True).click()
        self.page.get_by_label("Group worked").select_option(label=group)
        for task in tasks:
            self.page.get_by_role("button", name=task, exact=True).click()
        self.page.get_by_role("button", name="Start", exact=True).click()
        self.page.locator("#number").wait_for()

    def scan(self, text: str, gap: int = 0, *, enter: bool = True) -> None:
        """A reader types a number into whatever has the focus."""
        self.page.evaluate(WEDGE, [[*text, *(["Enter"] if enter else [])], gap])

    def type_number(self, text: str) -> None:
        """Fingers type a number and press Enter."""
        self.page.locator("#number").fill(text)
        self.page.locator("#number").press("Enter")

    def sees(self, name: str) -> None:
        """Wait until the card of this animal is shown."""
        expect(self.page.locator("#card .vid")).to_have_text(name)

    def sees_nothing(self) -> None:
        """Wait until the page is ready for the next animal."""
        expect(self.page.locator(".waiting")).to_be_visible()

    def weigh(self, weight: str) -> None:
        """Type a weight."""
        self.page.locator("input[name=weight]").fill(weight)

    def keep(self) -> None:
        """Keep, and wait until it is said."""
        self.page.locator("#keep").click()
        expect(self.page.locator("#keep")).to_have_count(0)

    @property
    def last(self) -> Any:
        """The strip that tells what was kept last."""
        return self.page.locator("#last")

    @property
    def alarm(self) -> Any:
        return self.page.locator("#alarm")

    def unsent(self) -> int:
        """How many operations are on the device and not sent."""
        return int(self.page.evaluate("chute.outbox.unsent().length"))

    def statuses(self) -> list[str]:
        """What became of each operation, in their order."""
        return list(self.page.evaluate("[...chute.outbox.rows.values()].map((row) => row.status)"))

    def sync(self) -> None:
        """Send now, and wait until a round has ended well."""
        self.page.evaluate("chute.sync.now()")
        expect(self.page.locator("#sent")).to_have_attribute("data-state", "sent")

    def delivers(self) -> None:
        """Wait until all is sent, as it happens by itself."""
        expect(self.page.locator("#sent")).to_have_accessible_name(re.compile("^All sent$"), timeout=40_000)
