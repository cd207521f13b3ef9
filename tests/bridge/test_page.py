"""The page on this machine: seen only with the key, settled only from its own forms, kept safe from what ports send."""

import re
from pathlib import Path

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe

from herd.bridge import pairs
from herd.bridge.keeping import Keeping, PairState, State
from herd.bridge.live import Live
from herd.bridge.page.server import Page
from herd.bridge.reading import Reading, ReadingKind
from herd.client.capture import timed
from herd.client.clocks import clocks_of_machine
from herd.values.identity import new_id
from tests.bridge.saying import FIRST, SECOND

NASTY = "<script>alert(1)</script>"


class Opened:
    """A page that is served, its file, and a browser's state that has the key."""

    def __init__(self, folder: Path):
        self.keeping = Keeping(folder / "bridge.db")
        self.live = Live()
        self.woken = []
        self.page = Page(0, folder / "bridge.db", self.live, lambda: self.woken.append(1))
        self.page.start()
        self.site, _, self.key = self.page.address.partition("?key=")
        self.browser = httpx.Client(base_url=self.site, follow_redirects=True)

    def close(self):
        self.page.stop()
        self.browser.close()
        self.keeping.close()

    def enter(self):
        answer = self.browser.get("/", params={"key": self.key})
        assert answer.status_code == 200
        return answer.text

    def kept(self, kind, value, unit="", reason="No number was read for it."):
        made = Reading(str(new_id()), kind, value, unit, (), timed(clocks_of_machine(), None), "port", value)
        self.keeping.add(made)
        self.keeping.mark(made.id, State.KEPT, reason)
        return made.id

    def send(self, address, token=None, headers=None, **given):
        form = token if token is not None else re.search(r'name="form" value="(\w+)"', self.enter())[1]
        return self.browser.post(address, data={"form": form, **given}, headers=headers or {})

    def states(self):
        return {one.value: state for state in State for one in self.keeping.readings(state)}


@pytest.fixture
def opened(tmp_path):
    made = Opened(tmp_path)
    yield made
    made.close()


@pytest.fixture
def both(opened):
    """A weight and a number that wait for a person."""
    return opened.kept(ReadingKind.WEIGHT, "450", "kg"), opened.kept(ReadingKind.NUMBER, FIRST)


def test_without_the_key_nothing_is_shown_or_done(opened, both):
    for answer in (
        opened.browser.get("/"),
        opened.browser.get("/now"),
        opened.browser.get("/", params={"key": "x" * 43}),
        opened.browser.post("/aside", data={"reading": both[0]}),
    ):
        assert answer.status_code == 403
        assert FIRST not in answer.text
    assert set(opened.states().values()) == {State.KEPT}


def test_the_key_is_kept_in_a_cookie_that_no_other_site_sends(opened):
    answer = httpx.get(opened.page.address)
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/"
    assert answer.headers["Set-Cookie"].endswith("; HttpOnly; SameSite=Strict; Path=/")


def test_the_key_outlives_the_program(tmp_path, opened):
    assert opened.keeping.key() == opened.key
    assert (tmp_path / "bridge.db").stat().st_mode & 0o777 == 0o600


def test_another_name_for_this_machine_is_refused(opened):
    opened.enter()
    assert opened.browser.get("/", headers={"Host": "elsewhere.example"}).status_code == 403


def test_a_form_of_another_site_settles_nothing(opened, both):
    assert opened.send("/aside", token="", reading=both[0]).status_code == 403
    opened.enter()
    assert opened.send("/aside", token="0" * 64, reading=both[0]).status_code == 403
    foreign = {"Origin": "http://elsewhere.example"}
    assert opened.send("/aside", headers=foreign, reading=both[0]).status_code == 403
    assert set(opened.states().values()) == {State.KEPT}


def test_a_weight_is_joined_with_a_number_that_was_read(opened, both):
    weight, number = both
    assert "joined by a person" in opened.send("/join", weight=weight, number=number, typed="").text
    (pair,) = pairs.pairs(opened.keeping, (PairState.READY,))
    assert (pair.number, pair.weight.in_words(), pair.by) == (FIRST, "450 kg", "person")
    assert opened.woken
    assert set(opened.states().values()) == {State.PAIRED}


def test_a_weight_is_joined_with_a_number_that_was_typed(opened, both):
    opened.send("/join", weight=both[0], number="", typed=" 112 yellow ")
    (pair,) = pairs.pairs(opened.keeping, (PairState.READY,))
    assert pair.number == "112 yellow"
    assert opened.states()[FIRST] == State.KEPT


@pytest.mark.parametrize("typed", ["84027000000012", "", "840270000000123"])
def test_what_names_no_animal_or_two_is_refused_in_words(opened, both, typed):
    number = both[1] if typed == FIRST else ""
    answer = opened.send("/join", weight=both[0], number=number, typed=typed)
    assert answer.status_code == 409
    assert 'role="alert"' in answer.text
    assert set(opened.states().values()) == {State.KEPT}


def test_what_somebody_else_has_settled_is_not_settled_again(opened, both):
    weight, number = both
    token = re.search(r'name="form" value="(\w+)"', opened.enter())[1]
    opened.send("/join", weight=weight, number=number)
    for address, given in (
        ("/join", {"weight": weight, "number": number}),
        ("/join", {"weight": weight, "typed": "112"}),
        ("/aside", {"reading": weight}),
        ("/back", {"reading": number}),
        ("/join", {"weight": number, "typed": "112"}),
    ):
        answer = opened.send(address, token=token, **given)
        assert answer.status_code == 409
        assert "settled already" in answer.text
    assert len(pairs.pairs(opened.keeping, tuple(PairState))) == 1


def test_a_reading_is_set_aside_and_put_back(opened, both):
    opened.send("/aside", reading=both[0])
    assert opened.states() == {"450": State.ASIDE, FIRST: State.KEPT}
    opened.send("/back", reading=both[0])
    assert opened.states() == {"450": State.KEPT, FIRST: State.KEPT}


def test_what_ports_and_files_send_is_text_and_nothing_else(opened):
    opened.live.line("reader", NASTY, NASTY)
    opened.live.say(scale=NASTY, trouble=NASTY, delivery=NASTY)
    opened.live.port("reader", NASTY)
    opened.kept(ReadingKind.NUMBER, NASTY, reason=NASTY)
    text = opened.enter()
    assert NASTY not in text
    assert "&lt;script&gt;" in text


def test_answers_forbid_inline_script_and_framing(opened):
    opened.enter()
    answer = opened.browser.get("/")
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer.headers["Cache-Control"] == "no-store"
    assert "Python" not in answer.headers.get("Server", "")


def test_too_much_is_refused(opened):
    opened.enter()
    assert opened.browser.post("/join", data={"form": "x" * 20_000}).status_code == 403


@pytest.mark.browser
@pytest.mark.parametrize("width", [1440, 390])
def test_a_person_settles_by_keyboard_alone_on_a_page_without_faults(opened, both, browser, width):
    opened.kept(ReadingKind.WEIGHT, "431.5", "kg", "Two numbers were read for one time on the scale.")
    opened.live.port("reader", "open")
    opened.live.line("scale", "+ 450 kg", "450 kg")
    page = browser.new_page(viewport={"width": width, "height": 900})
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(opened.page.address)
    assert opened.key not in page.url
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert Axe().run(page).violations_count == 0
    page.get_by_label("Number typed").first.focus()
    page.keyboard.type("112")
    opened.live.say(scale="460 kg")
    page.get_by_text("460 kg").wait_for()
    assert page.get_by_label("Number typed").first.input_value() == "112"
    page.keyboard.press("Enter")
    page.get_by_text("joined by a person").wait_for()
    page.reload()
    assert said == []
    assert [one.number for one in pairs.pairs(opened.keeping, (PairState.READY,))] == ["112"]
    page.close()


def test_numbers_read_elsewhere_are_offered_with_their_times(opened, both):
    opened.kept(ReadingKind.NUMBER, SECOND)
    text = opened.enter()
    assert re.search(rf"<option value=\"[0-9a-f-]+\">{SECOND} at \d\d:\d\d:\d\d</option>", text)
