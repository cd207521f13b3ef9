"""A reader whose machine stalls: no pause within its keys puts a number into a weight, or makes two numbers of one."""

from random import Random
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.chute.conftest import eid

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Keys with a clock of their own: a pause is a later stamp and, where a silence ends the run, the page's timers run on.
WEDGE = """async (runs) => {
    let now = 1000;
    let last = 0;
    const timers = new Map();
    globalThis.setTimeout = (done, span = 0) => { timers.set(++last, [now + span, done]); return last; };
    globalThis.clearTimeout = (key) => timers.delete(key);
    const wait = (span) => {
        const until = now + span;
        for (;;) {
            const next = [...timers].filter(([, [at]]) => at <= until).sort((one, other) => one[1][0] - other[1][0])[0];
            if (!next) break;
            timers.delete(next[0]);
            now = next[1][0];
            next[1][1]();
        }
        now = until;
    };
    const {Wedge} = await import("/static/chute/wedge.js");
    const field = document.createElement("input");
    field.name = "weight";
    document.body.replaceChildren(field);
    let said;
    new Wedge((number) => said.numbers.push(number), (text) => said.pieces.push(text));
    field.addEventListener("piece", (event) => { said.doubted = event.detail; });
    field.addEventListener("keydown", (event) => { if (event.key === "Enter") said.entered = true; });
    return runs.map((keys) => {
        wait(5000);
        field.value = "";
        said = {numbers: [], pieces: [], doubted: "", entered: false};
        for (const [key, span] of keys) {
            wait(span);
            const down = new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true});
            Object.defineProperty(down, "timeStamp", {value: now});
            if (field.dispatchEvent(down) && key.length === 1) {
                field.value += key;
                field.dispatchEvent(new InputEvent("input", {bubbles: true, data: key}));
            }
        }
        wait(1500);
        return {...said, value: field.value};
    });
}"""
Keys = list[tuple[str, int]]


def fingers(text: str, chance: Random) -> Keys:
    return [(key, chance.randint(110, 400)) for key in text]


def reader(text: str, chance: Random, *, enter: bool, stalls: float = 0.4, longest: int = 400) -> Keys:
    """Mostly a few milliseconds between two keys, and now and then a pause."""
    keys = [*text, *(["Enter"] if enter else [])]
    return [(key, chance.randint(46, longest) if chance.random() < stalls else chance.randint(0, 12)) for key in keys]


@pytest.fixture
def page(opened) -> Page:
    made = opened().new_page()
    made.goto("/chute/")
    return made


def run(page: Page, runs: list[Keys]) -> list[dict[str, Any]]:
    # A page of its own kind: nothing of the app listens beside the wedge that is tried.
    page.route("**/empty", lambda route: route.fulfill(body="<!doctype html><body>", content_type="text/html"))
    page.goto("/empty")
    return list(page.evaluate(WEDGE, runs))


def test_a_number_comes_out_whole_however_its_keys_are_spaced(page):
    """With a carriage return and without, into an empty weight and into half a one."""
    chance = Random(4711)
    runs, typed, numbers = [], [], []
    for place in range(400):
        enter, half = place % 2 == 0, chance.choice(["", "1", "12", "118", "1180", "512.5"])
        number = eid(chance.randint(1, 9000))
        stalls, longest = chance.choice([0.0, 0.1, 0.4, 1.0]), chance.choice([120, 400, 950])
        runs.append([*fingers(half, chance), *reader(number, chance, enter=enter, stalls=stalls, longest=longest)])
        typed.append(half)
        numbers.append(number)
    for place, said in enumerate(run(page, runs)):
        told = (place, typed[place], numbers[place], runs[place], said)
        # A single 1 in front of a number may as well be the reader's flag.
        assert said["value"] in ({typed[place], ""} if typed[place] == "1" else {typed[place]}), told
        assert [one[-15:] for one in said["numbers"]] == [numbers[place]], told
        assert (said["pieces"], said["entered"]) == ([], False), told


def test_what_is_left_of_a_number_is_never_taken_for_fingers(page):
    """Cut off anywhere and with whatever pauses: the weight is empty, or asked about, or begins as numbers begin."""
    chance = Random(1214)
    runs, cuts = [], []
    for _ in range(400):
        cut = eid(chance.randint(1, 9000))[: chance.randint(1, 14)]
        runs.append(reader(cut, chance, enter=False, stalls=chance.choice([0.0, 0.2, 0.5])))
        cuts.append(cut)
    for cut, keys, said in zip(cuts, runs, run(page, runs), strict=True):
        assert said["numbers"] == [], (cut, said)
        is_doubted = bool(said["doubted"]) and said["doubted"] in said["value"]
        # Digits too many for a weight are refused as one, and a start of 840 is asked about by what it says.
        is_seen = len(said["value"]) > 4 or eid(1).startswith(said["value"])
        is_fast = any(span <= 45 for _, span in keys[1 : len(said["value"])])
        assert is_doubted or (is_seen and not is_fast), (cut, keys, said)


def test_a_weight_that_fingers_type_is_a_weight(page):
    chance = Random(99)
    weights = [str(chance.randint(60, 2400)) for _ in range(100)]
    found = run(page, [[*fingers(one, chance), ("Enter", 150)] for one in weights])
    wanted = [{"numbers": [], "pieces": [], "doubted": "", "entered": True, "value": one} for one in weights]
    assert found == wanted


def test_a_carriage_return_that_comes_late_keeps_nobody(page):
    (said,) = run(page, [[*((key, 5) for key in eid(7)), ("Enter", 600)]])
    assert (said["numbers"], said["entered"], said["value"]) == ([eid(7)], False, "")


def test_a_piece_after_a_long_silence_is_told(page):
    """The reader goes on after more than a second: what stands in the field is asked about, the rest is no number."""
    number = eid(7)
    late = [*((key, 60) for key in number[:3]), (number[3], 1400), *((key, 5) for key in number[4:]), ("Enter", 5)]
    (said,) = run(page, [late])
    assert (said["numbers"], said["pieces"], said["doubted"]) == ([], [number[3:]], number[:3])
