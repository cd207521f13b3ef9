"""With a large herd on the device a number's card is shown at once, by its EID and by its last digits."""

import json
import os
import sys
from collections.abc import Iterator
from statistics import median
from typing import Any
from uuid import UUID

import pytest

from tests.chute.conftest import FIRST
from tests.chute.phone import Phone
from tests.chute.speed import HEAD, USUAL

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MOST_MEDIAN = 50
# Each number goes in as a reader's would; what is measured ends when the browser has painted the card.
MEASURE = """async (numbers) => {
    const painted = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    const times = [];
    for (const number of numbers) {
        const began = performance.now();
        await chute.arrived(number);
        await painted();
        times.push(performance.now() - began);
    }
    return times;
}"""


def lines(start: str, head: int) -> Iterator[str]:
    """A first copy of so many cows, as the server would send it after its own beginning."""
    yield start
    facts = {"class": "cow", "status": "on_hand", "group": None, "born_on": "2021-03-01", "born_precision": "day"}
    check = {"on": "2026-01-10", "result": "pregnant", "days": 90}
    latest = {"pregnancy": check, "in_withdrawal": False, "free_on": None}
    for number in range(head):
        key = str(UUID(int=(7 << 76) + (2 << 62) + number))
        tags = [("eid", str(FIRST + number), ""), ("vid", str(number), "yellow")]
        worn = [{"kind": kind, "number": text, "colour": colour} for kind, text, colour in tags]
        weights = [{"on": f"2026-0{month}-01", "weight": "1150", "unit": "lb"} for month in (3, 2, 1)]
        card = {"id": key, **facts, **latest, "tags": worn, "weights": weights}
        yield json.dumps({"kind": "animal", "state": "in", "id": key, "card": card})
    yield json.dumps({"end": True, "count": head})


def test_a_card_is_shown_at_once(opened, code_of, kettle_bench):
    head = int(os.environ.get(HEAD, USUAL))
    phone = Phone(opened().new_page())

    def copy(route: Any) -> None:
        start = route.fetch().text().splitlines()[0]
        route.fulfill(body="\n".join(lines(start, head)) + "\n", content_type="application/x-ndjson")

    phone.page.route("**/sync/snapshot/**", copy)
    phone.open(f"#enrol={code_of()}")
    phone.page.get_by_role("button", name="Enrol").click()
    phone.until(f"chute.herd.base.size === {head}", 120)
    phone.page.get_by_role("button", name="Start", exact=True).click()
    numbers = [str(FIRST + place * 7 % head) for place in range(1, 101)]
    whole = sorted(phone.page.evaluate(MEASURE, numbers))
    ends = sorted(phone.page.evaluate(MEASURE, [number[-5:] for number in numbers]))
    told = f"{head} head, number to painted card: median {median(whole):.1f} ms, 95th {whole[94]:.1f} ms"
    sys.stdout.write(f"\n{told}; by last digits: median {median(ends):.1f} ms\n")
    assert median(whole) < MOST_MEDIAN
    assert median(ends) < MOST_MEDIAN
