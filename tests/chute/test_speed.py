"""With a large herd on the device a number's card is shown at once, by its EID and by its last digits."""

import os
import sys
from datetime import date
from statistics import median

import pytest

from herd.intake.days import GivenFile, open_day
from herd.intake.pipeline import apply_day, run
from tests.bench.scratch import EIDS_FROM, herd_list
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


def test_a_card_is_shown_at_once(opened, code_of, kettle_bench):
    head = int(os.environ.get(HEAD, USUAL))
    file = GivenFile("herd.csv", herd_list(head), is_herd_list=True)
    day = open_day(outfit=kettle_bench, person=None, name="herd", worked_on=date(2026, 3, 1), group=None, files=[file])
    run(day)
    apply_day(day, None)
    phone = Phone(opened().new_page())
    phone.open(f"#enrol={code_of()}")
    phone.page.get_by_role("button", name="Enrol").click()
    phone.until(f"chute.herd.base.size === {head}", 120)
    phone.page.get_by_role("button", name="Start", exact=True).click()
    numbers = [str(EIDS_FROM + place * 7 % head) for place in range(1, 101)]
    whole = sorted(phone.page.evaluate(MEASURE, numbers))
    ends = sorted(phone.page.evaluate(MEASURE, [number[-5:] for number in numbers]))
    told = f"{head} head, number to painted card: median {median(whole):.1f} ms, 95th {whole[94]:.1f} ms"
    sys.stdout.write(f"\n{told}; by last digits: median {median(ends):.1f} ms\n")
    assert median(whole) < MOST_MEDIAN
    assert median(ends) < MOST_MEDIAN
