"""The whole way of an outfit through its pages: first run, herd list, a processing day, review, undo, apply again."""

import html
import re
from io import StringIO

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from tests.cast import PASSWORD
from tests.journeys.fieldwork import (
    FIRST_WEIGHED_ON,
    WORKED_ON,
    Sent,
    eid,
    herd_list,
    misread,
    phone_list,
    scale_file,
    vet_sheet,
)

pytestmark = pytest.mark.django_db

UUID = re.compile(rb"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
STRANGER = "840 270 000 990 033"


@pytest.fixture(autouse=True)
def _forget_failed_sign_ins():
    cache.clear()


@pytest.fixture
def owner() -> Client:
    """A person who set up the outfit on the first page, went away and signed in again."""
    visitor = Client()
    outfit = {"name": "Kettle Bench", "code": "", "time_zone": "America/Denver", "weight_unit": "lb"}
    person = {"username": "ada", "password": PASSWORD, "again": PASSWORD}
    first = visitor.get(reverse("office:home"), follow=True)
    assert "Set up your outfit" in words(first)
    assert "Begin with your herd list" in words(visitor.post(first.redirect_chain[-1][0], outfit | person, follow=True))
    visitor.post(reverse("office:sign-out"))
    client = Client()
    signed_in = {"username": "ada", "password": PASSWORD}
    assert "Kettle Bench" in words(client.post(reverse("office:sign-in"), signed_in, follow=True))
    return client


@pytest.fixture
def stocked(owner: Client) -> Client:
    """The owner after the herd list was dropped and applied."""
    day = drop(owner, FIRST_WEIGHED_ON, herd_list(), is_herd_list="on")
    assert "Nothing waits for a person" in look(owner, day)
    assert "12 new animals" in look(owner, f"{day}apply/")
    assert "12 head on hand" not in look(owner, reverse("office:home"))
    owner.post(f"{day}apply/")
    return owner


@pytest.fixture
def day(stocked: Client) -> str:
    """The address of the day on which Mill Trap was worked, read and waiting for its review."""
    page = stocked.get(reverse("office:day-new")).content.decode()
    group = re.search(r'<option value="([^"]+)">Mill Trap<', page)[1]
    return drop(stocked, WORKED_ON, scale_file(), phone_list(), vet_sheet(), group=group)


@pytest.fixture
def ruled(stocked: Client, day: str) -> str:
    """The day with every finding answered by a person."""
    for vid in (404, 411, 412):
        answer(stocked, day, f"visual tag {vid}", f"It is cow {vid} yellow")
    answer(stocked, day, f"EID {spaced(misread(eid(404)))}", "A slip: it is cow 404 yellow")
    answer(stocked, day, f"EID {STRANGER}", "Set the line aside")
    answer(stocked, day, "cow 409 yellow: weight 400 lb is doubtful", "Type what it should be", typed="1209")
    return day


def words(answered) -> str:
    """What a person reads on a page."""
    text = re.sub(r"<(script|style).*?</\1>|<[^>]+>", " ", answered.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(text))


def look(client: Client, address: str) -> str:
    """What a person reads at an address."""
    answered = client.get(address)
    assert answered.status_code == 200, address
    return words(answered)


def drop(client: Client, worked_on: str, *files: Sent, **more: str) -> str:
    """Send files as a new day and return the day's address."""
    uploads = [SimpleUploadedFile(file.name, file.content) for file in files]
    said = {"worked_on": worked_on, "uploads": uploads, **more}
    return client.post(reverse("office:day-new"), said, follow=True).redirect_chain[-1][0]


def spaced(number: str) -> str:
    """An EID in the threes in which pages show it."""
    return " ".join(re.findall("...", number))


def titles(client: Client, day: str) -> dict[str, str]:
    """The findings of the review in its order, by walking with Next until it comes around: title to page."""
    found: dict[str, str] = {}
    address = f"{day}review/"
    while True:
        page = client.get(address).content.decode()
        title = heading(page)
        if title in found or title == "Nothing is left to decide":
            return found
        found[title] = page
        onward = re.search(r'href="[^"]*review/(\?kind=\w+&amp;after=[^"]+)"', page)[1]
        address = f"{day}review/{html.unescape(onward)}"


def heading(page: str) -> str:
    """The title of the finding that a review page shows."""
    inside = re.search(r'id="finding-title"[^>]*>(.*?)</h2>', page, re.S)[1]
    return re.sub(r"\s+", " ", html.unescape(re.sub("<[^>]+>", "", inside))).strip()


def answer(client: Client, day: str, about: str, label: str, **typed: str) -> None:
    """Press the choice of this label on the finding whose title begins so."""
    page = next(page for title, page in titles(client, day).items() if title.startswith(about))
    buttons = re.findall(r'name="choice" value="([^"]+)"[^>]*>(.*?)</button>', page, re.S)
    choice = next(key for key, inside in buttons if label in re.sub("<[^>]+>", "", html.unescape(inside)))
    finding = re.search(r'name="finding" value="([^"]+)"', page)[1]
    answered = client.post(f"{day}review/rule/", {"finding": finding, "choice": choice, **typed})
    assert "Ruled:" in words(answered) or "Nothing is left" in words(answered)


def counts(client: Client, day: str) -> dict[str, list[int]]:
    """The report's table: for each file lines, applied, known, set aside, unusable, waiting."""
    page = client.get(f"{day}report/").content.decode()
    table = re.search(r"What became of every line.*?</table>", page, re.S)[0]
    found = {}
    for row in re.findall(r"<tr.*?</tr>", table, re.S)[1:]:
        name = re.sub("<[^>]+>", "", re.search(r"<th.*?</th>", row, re.S)[0]).strip()
        cells = re.findall(r"<td[^>]*>\s*(\d+)", row)
        found[name] = [int(cell) for cell in cells]
    return found


def printed() -> bytes:
    """The record as the export command prints it."""
    out = StringIO()
    call_command("export", outfit="kettle-bench", stdout=out)
    return out.getvalue().encode()


def page_of_cow(client: Client, number: str) -> str:
    """What the page of an animal says, found by a number as a person types it."""
    answered = client.get(reverse("office:find"), {"q": number}, follow=True)
    assert answered.redirect_chain, words(answered)
    return words(answered)


def stands(client: Client, number: str, weight: str, source: str) -> bool:
    """Whether an animal's events tell a weight with its file and line; what was taken back stands below them."""
    events = page_of_cow(client, number).partition(" Events ")[2].partition(" Last changes ")[0]
    return re.search(rf"{re.escape(weight)}\b.{{0,40}}{re.escape(source)}\b", events) is not None


def test_the_herd_list_becomes_the_head_count(stocked):
    home = look(stocked, reverse("office:home"))
    assert "12 head on hand" in home
    assert "12 cows" in home
    assert "Mill Trap 12" in home


def test_the_review_asks_about_the_misread_the_unknown_and_the_doubtful(stocked, day):
    pages = titles(stocked, day)
    assert any(title.startswith(f"EID {spaced(misread(eid(404)))}: on no animal") for title in pages)
    assert any(title.startswith(f"EID {STRANGER}: on no animal") for title in pages)
    doubtful = re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", pages["cow 409 yellow: weight 400 lb is doubtful"]))
    assert "scale.csv, line 11" in doubtful
    assert "lb to 2,000 lb" in doubtful


def test_nothing_waits_once_every_finding_is_ruled(stocked, ruled):
    assert titles(stocked, ruled) == {}
    assert "Nothing waits for a person" in look(stocked, ruled)
    assert "10 weights" in look(stocked, f"{ruled}apply/")


def test_the_ruled_day_stands_on_the_animals_with_file_and_line(stocked, ruled):
    stocked.post(f"{ruled}apply/")
    assert stands(stocked, eid(401), "1,201 lb", "scale.csv, line 2")
    assert stands(stocked, eid(404), "1,204 lb", "scale.csv, line 5")
    assert stands(stocked, "409", "1,209 lb", "scale.csv, line 11")
    assert re.search(r"late.{0,60}phone list\.csv, line 3\b", page_of_cow(stocked, "411"))
    assert re.search(r"vet\.csv, line 5\b", page_of_cow(stocked, "401"))
    nobody = stocked.get(reverse("office:find"), {"q": STRANGER})
    assert "Nothing found" in words(nobody)
    assert "12 head on hand" in look(stocked, reverse("office:home"))


def test_every_line_of_the_report_has_come_to_one_end(stocked, ruled):
    stocked.post(f"{ruled}apply/")
    table = counts(stocked, ruled)
    assert {name: row[0] for name, row in table.items()} == {
        "scale.csv": 11,
        "phone list.csv": 3,
        "vet.csv": 12,
        "All files": 26,
    }
    for name, (lines, *ends) in table.items():
        assert sum(ends) == lines, name
    files = [row for name, row in table.items() if name != "All files"]
    assert [sum(column) for column in zip(*files, strict=True)] == table["All files"]
    assert table["scale.csv"] == [11, 10, 0, 1, 0, 0]
    assert table["vet.csv"] == [12, 12, 0, 0, 0, 0]


def test_undo_brings_the_record_back_byte_for_byte_and_the_day_applies_again(stocked, ruled):
    before = printed()
    stocked.post(f"{ruled}apply/")
    applied = printed()
    assert applied != before
    assert "can be taken back" in look(stocked, f"{ruled}undo/")
    assert "was taken back" in words(stocked.post(f"{ruled}undo/", follow=True))
    assert printed() == before
    assert not stands(stocked, "409", "1,209 lb", "scale.csv, line 11")
    assert "1,209 lb. taken back" in page_of_cow(stocked, "409")
    assert titles(stocked, ruled) == {}
    stocked.post(f"{ruled}apply/")
    assert stands(stocked, "409", "1,209 lb", "scale.csv, line 11")
    assert counts(stocked, ruled)["scale.csv"] == [11, 10, 0, 1, 0, 0]
    assert UUID.sub(b"", printed()) == UUID.sub(b"", applied)
