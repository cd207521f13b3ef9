"""The frame of every page: the content security policy, landmarks, forms that cannot be sent from elsewhere."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from herd.ledger.models import Changeset

TEMPLATES = sorted((Path(settings.BASE_DIR) / "templates").rglob("*.html"))
# Inline style or script in any form would be stopped by the policy (W3C Content Security Policy Level 3).
INLINE = {
    "a style attribute": re.compile(r"<[^>]*\sstyle\s*="),
    "an event attribute": re.compile(r"<[^>]*\son[a-z]+\s*="),
    "a style element": re.compile(r"<style\b"),
    "a script without a source": re.compile(r"<script(?![^>]*\bsrc=)"),
    "a javascript address": re.compile(r"javascript:", re.IGNORECASE),
    "script in an htmx attribute": re.compile(r"hx-on|hx-vals=['\"]js:|\[[^\]]*\]\s*from:"),
}


class Outline(HTMLParser):
    """Collects what a page is made of."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def count(self, tag):
        return sum(1 for name, _ in self.tags if name == tag)


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: str(path.relative_to(settings.BASE_DIR)))
def test_no_template_holds_inline_style_or_script(template):
    text = template.read_text()
    assert [what for what, pattern in INLINE.items() if pattern.search(text)] == []


def test_the_templates_are_there():
    assert len(TEMPLATES) > 30


@pytest.mark.parametrize(
    "line", ['<p style="x">', '<a onclick="x">', "<style>", "<script>x</script>", "<a href='javascript:x'>"]
)
def test_inline_style_or_script_would_be_noticed(line):
    assert any(pattern.search(line) for pattern in INLINE.values())


def test_a_page_carries_the_policy(ada_in):
    policy = ada_in.get(reverse("office:home")).headers["Content-Security-Policy"]
    assert "script-src 'self';" in policy
    assert "style-src 'self';" in policy


def pages(herd):
    return [
        reverse("office:home"),
        reverse("office:find"),
        reverse("office:animal", args=[herd.cow]),
        reverse("office:group", args=[herd.group]),
        reverse("office:activity"),
        reverse("office:changeset", args=[Changeset.objects.first().pk]),
        reverse("office:changeset-undo", args=[Changeset.objects.first().pk]),
        reverse("office:event-new", args=[herd.cow]),
        reverse("office:animal-new"),
    ]


def test_each_page_has_its_landmarks_one_heading_and_a_way_past_the_navigation(ada_in, herd):
    for address in pages(herd):
        page = Outline(ada_in.get(address).content.decode())
        assert [page.count(tag) for tag in ("header", "main", "footer", "h1")] == [1, 1, 1, 1], address
        assert ("a", {"class": "skip", "href": "#main"}) in page.tags
        assert ("html", {"lang": "en"}) in page.tags


def test_each_field_has_a_label_and_each_id_is_there_once(ada_in, herd):
    for address in pages(herd):
        page = Outline(ada_in.get(address).content.decode())
        ids = [attrs["id"] for _, attrs in page.tags if attrs.get("id")]
        assert len(ids) == len(set(ids)), address
        labels = {attrs.get("for") for tag, attrs in page.tags if tag == "label"}
        fields = [
            attrs for tag, attrs in page.tags
            if tag in {"input", "select", "textarea"} and attrs.get("type") not in {"hidden", "submit"}
        ]  # fmt: skip
        assert fields, address
        unnamed = [one for one in fields if one.get("id") not in labels and not one.get("aria-label")]
        assert unnamed == [], address


def test_the_page_one_is_on_is_marked_in_the_navigation(ada_in):
    page = Outline(ada_in.get(reverse("office:groups")).content.decode())
    marked = [attrs["href"] for tag, attrs in page.tags if tag == "a" and attrs.get("aria-current") == "page"]
    assert marked == [reverse("office:groups")]


def test_a_form_sent_without_its_token_is_refused_in_words(cast, herd):
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.ada)
    written = Changeset.objects.count()
    for address in (
        reverse("office:animal-correct", args=[herd.cow]),
        reverse("office:changeset-undo", args=[Changeset.objects.first().pk]),
        reverse("office:group-new"),
        reverse("office:sign-in"),
        reverse("office:sign-out"),
    ):
        answer = client.post(address, {"reason": "x", "coat": "red", "name": "x"})
        assert answer.status_code == 403, address
        assert "The form was not accepted" in answer.content.decode()
    assert Changeset.objects.count() == written


def test_script_and_style_of_each_page_stay_under_100_kilobytes(ada_in, herd):
    for address in pages(herd):
        page = Outline(ada_in.get(address).content.decode())
        files = [attrs.get("src") for tag, attrs in page.tags if tag == "script"]
        files += [attrs.get("href") for tag, attrs in page.tags if tag == "link" and attrs["rel"] == "stylesheet"]
        own = [finders.find(name.removeprefix("/static/")) for name in files if name]
        assert own
        assert sum(Path(name).stat().st_size for name in own) < 100_000, address


# WCAG 2.1, success criterion 1.4.3: 4.5 to 1 for text; luminance as the same document defines it.
def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def palettes():
    """The colours of the light and of the dark look."""
    text = Path(finders.find("office/office.css")).read_text()
    blocks = re.findall(r":root \{(.*?)\n\s*\}", text, re.DOTALL)[:2]
    return [dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block)) for block in blocks]


ON = [
    *(("ink", back) for back in ("paper", "sheet", "shade", "good-back", "warn-back", "bad-back")),
    *(("faded", back) for back in ("paper", "sheet", "shade")),
    *(("link", back) for back in ("paper", "sheet", "shade", "bad-back")),
    ("sage-ink", "sage"),
    ("sage-ink", "sage-deep"),
    ("good", "good-back"),
    ("warn", "warn-back"),
    ("bad", "bad-back"),
    ("bad", "sheet"),
    ("bad", "paper"),
]


@pytest.mark.parametrize(("front", "back"), ON)
def test_text_stands_out_in_the_light_and_in_the_dark(front, back):
    light, dark = palettes()
    assert contrast(light[front], light[back]) >= 4.5
    assert contrast(dark[front], dark[back]) >= 4.5


def test_black_on_white_has_the_contrast_that_the_standard_names():
    # WCAG 2.1 names 21 to 1 as the most there is.
    assert round(contrast("#000000", "#ffffff"), 6) == 21


# WCAG 2.1, success criterion 1.4.11: 3 to 1 for the edges of fields and the ring of focus.
@pytest.mark.parametrize("front", ["field", "focus", "sage"])
@pytest.mark.parametrize("back", ["paper", "sheet"])
def test_edges_and_focus_stand_out(front, back):
    light, dark = palettes()
    assert contrast(light[front], light[back]) >= 3
    assert contrast(dark[front], dark[back]) >= 3
