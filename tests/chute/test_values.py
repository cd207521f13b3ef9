"""What the page reads and judges by itself is what herd.values reads and judges: the two can't drift apart."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from herd.reports.due import OVERDUE_DAYS
from herd.values.chipcode import ElectronicNumber
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.eventdata import read_event_data
from herd.values.eventkinds import check_event
from herd.values.hexwords import dotted_hex, reversed_word
from herd.values.mass import WeightUnit
from herd.values.plausibility import plausible_gain_per_day, plausible_range
from herd.values.policy import PUBLISHED
from herd.values.pregnancy import LONGEST_DAYS
from herd.values.problems import Unreadable
from herd.values.tagnumbers import read_tag_number
from herd.values.telegram import encode_telegram

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WHOLE = [
    "840270000000123", "840003123456789", "124000111222333", "076000000000012", "982000123456789",
    "900215000000001",
]  # fmt: skip
NUMBERS = [ElectronicNumber.from_digits(one) for one in WHOLE]
FORMS = [
    "{0}", " {0}\r", "{1} {2}", "{1}-{2}", "{1}.{2}", "{1} {3} {4} {5}", "'{0}", '="{0}"', '"{0}"', "0{0}", "1{0}",
    "1 {0}", "2{0}", "1{0} ", "{0}.0", "{0},00", "]C1{0}", "\x02{0}\x03", "\ufeff{0}", "{0}5", "{6}", "{0}x",
    "{7}E+14", "{0}\u200b",
]  # fmt: skip
LETTERED = [
    "US000123456789", "USA000123456789", "CA 000123456789", "XI000000000001", "ZZ000123456789", "la000123456789",
]  # fmt: skip
DAMAGED = [
    "84027000000012O", "8402700000001l3", "000000000000000", "000270000000123", "840999999999999", "8.40270E+14",
    "84.0027E+13", "840,270,000,000,123", "8402700000001", "84027000000012", "12345678901234567", "F" * 16,
    "0" * 16, "",
]  # fmt: skip
VISUAL = [
    "417", " 417 ", "0417", "417 yellow", "417-YEL", "yellow 417", "417 (Y)", "417Y", "Y417", "#417", "Tag 417",
    "No. 12", "A 12", "b12", "417 blau", "417 grün", "417 purple", "417 bl", "12-Mar", "2026-03-15", "3/15/2026",
    "1.7E+05", "417.0", "417.5", "n/a", "-", "?", "#####", "#N/A", "x" * 21, "417/2", "417 / 2", "17E05", "12 34",
    "..", "417 rot", "ear tag 5 red", "éé12",
]  # fmt: skip


def texts() -> list[str]:
    """The same numbers in every form in which they are written, and what only looks like them."""
    found = [*LETTERED, *DAMAGED, *VISUAL]
    for one, number in zip(WHOLE, NUMBERS, strict=True):
        parts = (one, one[:3], one[3:], one[3:7], one[7:11], one[11:], one[:14], f"{one[0]}.{one[1:]}")
        found += [form.format(*parts) for form in FORMS]
        words = (number.word, reversed_word(number.word))
        found += [*(f"{word:016X}" for word in words), f"0x{words[0]:016x}", dotted_hex(number)]
        found.append(encode_telegram(number))
    return list(dict.fromkeys(found))


def read_here(text: str) -> dict[str, str] | None:
    """What herd.values reads, None where it refuses."""
    try:
        if might_be_electronic(text):
            return {"kind": "eid", "number": read_electronic(text).number.digits}
        read = read_tag_number("vid", text)
    except Unreadable:
        return None
    return {"kind": "vid", "number": read.number, "colour": read.colour}


@pytest.fixture
def page(opened) -> Any:
    made = opened().new_page()
    made.goto("/chute/")
    return made


READ = """async (texts) => {
    const {readNumber} = await import("/static/chute/numbers.js");
    return texts.map((text) => { const read = readNumber(text); return read.fault ? null : read; });
}"""


def test_the_page_reads_the_same_numbers(page):
    given = texts()
    here = [read_here(text) for text in given]
    there = page.evaluate(READ, given)
    assert sum(one is not None for one in here) > 100
    assert sum(one is None for one in here) > 30
    # The page asks to scan again what it can't decode; it never reads another number.
    undecoded = {encode_telegram(number) for number in NUMBERS}
    differ = [
        (text, mine, yours)
        for text, mine, yours in zip(given, here, there, strict=True)
        if mine != yours and not (text in undecoded and yours is None)
    ]
    assert differ == []


SPLIT = """async (bursts) => {
    const {splitBurst, trailingEids} = await import("/static/chute/numbers.js");
    return bursts.map((burst) => [splitBurst(burst), trailingEids(burst)]);
}"""


def test_bursts_of_readers_come_apart_into_their_numbers(page):
    one, two, three = WHOLE[:3]
    lines, flagged = f"{one}\r\n{two}\n", f"1{one}1{two}"
    found = page.evaluate(SPLIT, [one + two, lines, one + two + three, flagged, f"512{one}", f"5{one}{two}", "417"])
    assert [split for split, _ in found] == [
        [one, two], [one, two], [one, two, three], [f"1{one}", f"1{two}"], [f"512{one}"], [f"5{one}{two}"], ["417"]
    ]  # fmt: skip
    assert found[4][1] == {"before": "512", "numbers": [one]}
    assert found[5][1] == {"before": "5", "numbers": [one, two]}
    assert found[6][1] is None


AGES = [None, -3, 0, 1, 60, 205, 249, 250, 251, 319, 320, 400, 549, 550, 900, 1094, 1095, 4000]
SPANS = [0, 1, 3, 10, 40, 200, 900]
CLASSES = ["cow", "bull", "heifer", "steer", "calf"]
JUDGE = """async ([classes, ages, spans]) => {
    const {plausiblePounds, plausibleGain} = await import("/static/chute/judging.js");
    const {LONGEST_DAYS} = await import("/static/chute/entry.js");
    const pairs = classes.flatMap((kind) => ages.map((age) => [kind, age]));
    const gains = (kind, age) => spans.map((span) => plausibleGain(kind, age, span));
    return [pairs.map(([kind, age]) => [plausiblePounds(kind, age), gains(kind, age)]), LONGEST_DAYS];
}"""


def test_the_page_has_the_same_limits(page):
    limits, longest = page.evaluate(JUDGE, [CLASSES, AGES, SPANS])
    assert longest == LONGEST_DAYS
    pairs = [(kind, age) for kind in CLASSES for age in AGES]
    for (kind, age), (pounds, gains) in zip(pairs, limits, strict=True):
        assert pounds == pytest.approx([float(one.entered) for one in plausible_range(kind, age)]), (kind, age)
        for span, gain in zip(SPANS, gains, strict=True):
            wanted = plausible_gain_per_day(kind, age, span_days=span)
            assert gain == pytest.approx([float(Decimal(one)) for one in wanted]), (kind, age, span)


DUE = """async ([known, told, overdue, due]) => {
    const {dueOf, GESTATION, OVERDUE} = await import("/static/chute/cardfacts.js");
    const {shown} = await import("/static/chute/overlay.js");
    const check = {on: "2026-03-14", result: "pregnant", days: 90};
    const card = {tags: [], weights: [], pregnancy: check, due_on: known};
    const row = (kind, data) => ({kind: "event", op_id: "o", body: {at: told, data: {kind, data}}});
    const pending = (kind, data) => shown(card, [row(kind, data)], () => told);
    return {
        days: [GESTATION, OVERDUE],
        due: [card, {...card, due_on: null}, {...card, due_on: undefined}, pending("calving", {outcome: "live"}),
            pending("pregnancy_check", {result: "pregnant", days: 100}),
            pending("pregnancy_check", {result: "open"})].map((one) => dueOf(one, told)),
        late: [overdue, due].map((day) => dueOf(card, day)),
    };
}"""


def test_the_page_says_when_she_is_due_as_the_record_does(page):
    """What the record says goes first, also where it says nothing; what is only here yet is reckoned here."""
    due, told = date(2026, 10, 1), date(2026, 3, 20)
    longest = PUBLISHED.gestation_spread + OVERDUE_DAYS
    last = [(due + timedelta(days=longest + more)).isoformat() for more in (1, 0)]
    said = page.evaluate(DUE, [due.isoformat(), told.isoformat(), *last])
    assert said["days"] == [PUBLISHED.gestation, longest]
    by_check = [(day + timedelta(days=PUBLISHED.gestation - bred)).isoformat() for day, bred in
                ((date(2026, 3, 14), 90), (told, 100))]  # fmt: skip
    assert said["due"] == [due.isoformat(), "", by_check[0], "", by_check[1], ""]
    assert said["late"] == ["", due.isoformat()]


DRAW = """async () => {
    const {newEntry, drawUp, TASKS} = await import("/static/chute/entry.js");
    const product = {key: "p", name: "Pour-on", dose: "10 ml", route: "topical", withdrawal_days: 28, lot: "L1"};
    const products = [product, {...product, key: "v", is_vaccine: true, veterinarian: ""}];
    const work = {group: "", tasks: TASKS.map((one) => one.key), products, moveTo: "g"};
    const card = {id: "a", class: "cow", group: "", tags: [], weights: []};
    const entry = newEntry(card, {kind: "vid", number: "417"}, work);
    Object.assign(entry.fields, {weight: "1180,5", result: "pregnant", days: "90", tube: "T-0001", score: "5"});
    Object.assign(entry.fields, {note: "limps", sold: true});
    return drawUp(entry, card, work, {unit: "lb", today: "2026-03-14"});
}"""


def test_whatever_is_kept_is_an_event_as_the_record_takes_it(page):
    kept = page.evaluate(DRAW)
    assert kept["asides"] == []
    said = [one["members"]["data"] for one in kept["drafts"] if one["kind"] == "event"]
    wanted = "weight pregnancy_check treatment vaccination sample body_condition weaning sale note"
    assert [one["kind"] for one in said] == wanted.split()
    read = [(one["kind"], dict(read_event_data(one["data"], WeightUnit.KG).data)) for one in said]
    assert [check_event(kind, data) for kind, data in read] == [[]] * len(said)


PIECES = """async (weights) => {
    const {newEntry, drawUp} = await import("/static/chute/entry.js");
    const work = {group: "", tasks: ["weight"], products: []};
    const card = {id: "a", class: "cow", group: "", tags: [], weights: []};
    return weights.map(([weight, piece, isByHand, sure]) => {
        const entry = newEntry(card, {kind: "vid", number: "417"}, work);
        entry.fields.weight = weight;
        Object.assign(entry, {piece, sure});
        const here = {unit: "lb", today: "2026-03-14", starts: new Set(["8402", "9820"]), isByHand};
        return drawUp(entry, card, work, here).drafts.length;
    });
}"""


def test_a_weight_that_may_be_a_piece_of_a_number_asks_for_a_persons_word(page):
    """Fast keys ask whoever keeps it; how it begins or ends asks only where the next number would keep it."""
    given = [
        ("1180", "", False, False, 1), ("1184", "", False, False, 0), ("1184", "", True, False, 1),
        ("840", "", False, False, 0), ("982", "", False, False, 0), ("1198", "", False, False, 0),
        ("1180", "11", True, False, 0), ("1180", "11", True, True, 1), ("1180", "84", False, False, 1),
    ]  # fmt: skip
    assert page.evaluate(PIECES, [list(one[:4]) for one in given]) == [one[4] for one in given]
