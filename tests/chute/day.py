"""A day of 500 animals with three devices, cuts and one crash, by hand; in the suite it is a shorter one.

    .venv/bin/python -m tests.chute.day [head]

It prints how long a number took from its arrival to its card, and fails where the record is not the truth.
"""

import os
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest

from tests.chute.phone import Phone

HEAD = "NOTCHBOOK_DAY_HEAD"
# What was left open is looked for by this; a number that comes meanwhile must not be lost.
SLOW_START = """
    const ask = navigator.locks.query.bind(navigator.locks);
    navigator.locks.query = () => new Promise((done) => setTimeout(() => done(ask()), 300));
"""
FULL = 500
USUAL = 30
RESULTS = {"Bred": "pregnant", "Open": "open", "Recheck": "recheck"}


@dataclass(slots=True)
class Truth:
    """What was done to one animal."""

    number: int
    weight: str
    result: str
    days: str = ""
    note: str = ""
    retag: str = ""
    is_taken_back: bool = False


@dataclass(slots=True)
class Hand:
    """One device and the person at it, with the animals that come to its chute."""

    phone: Phone
    herd: Iterator[Truth]
    done: list[Truth] = field(default_factory=list)
    is_offline: bool = False


def make_truths(head: int, chance: random.Random) -> list[Truth]:
    """What shall have been done to each animal by the end of the day; some are taken back, some get a new tag."""
    found = []
    for number in range(1, head + 1):
        result = chance.choice(list(RESULTS))
        days = str(chance.randrange(60, 200)) if result == "Bred" else ""
        truth = Truth(number, str(1050 + chance.randrange(250)), result, days)
        truth.note = "limps" if chance.random() < 0.1 else ""
        truth.retag = str(840270000500000 + number) if chance.random() < 0.08 else ""
        truth.is_taken_back = not truth.retag and chance.random() < 0.05
        found.append(truth)
    chance.shuffle(found)
    return found


def run_day(hands: list[Hand], eid_of: Any, chance: random.Random, crash_after: int) -> None:
    """Let the hands work in turn, their networks come and go, and one page die in the middle of an animal."""
    done = 0
    busy = list(hands)
    while busy:
        hand = chance.choice(busy)
        truth = next(hand.herd, None)
        if truth is None:
            busy.remove(hand)
            continue
        if chance.random() < 0.08:
            hand.is_offline = not hand.is_offline
            hand.phone.page.context.set_offline(hand.is_offline)
        work_one(hand.phone, truth, eid_of(truth.number))
        hand.done.append(truth)
        done += 1
        if done == crash_after:
            crash(hand)


def work_one(phone: Phone, truth: Truth, number: str) -> None:
    """One animal: scanned, which keeps the one before it; entered; some are taken back at once."""
    page = phone.page
    phone.scan(number)
    phone.sees(f"{truth.number} yellow")
    phone.weigh(truth.weight)
    if truth.weight.endswith(number[:2]):
        # It may be a piece of the next number: the person says that it is not.
        page.get_by_role("button", name="It is right").click()
    page.get_by_role("button", name=truth.result, exact=True).click()
    if truth.days:
        page.get_by_label("Days bred").fill(truth.days)
    if truth.note:
        page.get_by_label("Note").fill(truth.note)
    if truth.retag:
        page.get_by_role("button", name="Tag lost").click()
        page.get_by_role("button", name="EID").click()
        phone.scan(truth.retag)
    if truth.is_taken_back:
        phone.keep()
        page.locator("#undo").click()
        phone.sees(f"{truth.number} yellow")
        page.get_by_role("button", name="Leave it").click()


def crash(hand: Hand) -> None:
    """The page dies with an animal open; another is opened, slowly, and goes on with what was typed."""
    context = hand.phone.page.context
    page = context.new_page()
    page.add_init_script(SLOW_START)
    hand.phone.page.wait_for_timeout(400)
    hand.phone.page.close(run_before_unload=False)
    hand.phone = Phone(page)
    hand.phone.open()


def finish(hands: list[Hand]) -> list[float]:
    """Keep what is open, bring back the networks, wait until all is sent; milliseconds from number to card."""
    times: list[float] = []
    for hand in hands:
        if hand.phone.page.locator("#keep").count():
            hand.phone.keep()
        hand.phone.page.context.set_offline(False)
        hand.phone.page.evaluate("chute.sync.now()")
    for hand in hands:
        hand.phone.delivers()
        times += hand.phone.page.evaluate("chute.opened")
    return sorted(times)


if __name__ == "__main__":
    os.environ[HEAD] = sys.argv[1] if len(sys.argv) > 1 else str(FULL)
    sys.exit(pytest.main(["-q", "-s", "-p", "no:cacheprovider", "tests/chute/test_day.py"]))
