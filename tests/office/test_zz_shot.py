import os
from datetime import date
import pytest
from playwright.sync_api import sync_playwright
from django.urls import reverse
from tests.office.test_by_keyboard import open_page, browser
from herd.registry.services import lists
from tests.cast import entry
pytestmark=[pytest.mark.browser, pytest.mark.django_db(transaction=True)]
def test_shots(browser, live_server, client, cast, herd):
    lists.add(entry=entry(cast.kettle_bench), subject="herd_list", facts={"name":"Open cows","question":"classes=cow&check=open"})
    for name, screen in {"desk":{"viewport":{"width":1440,"height":900}},"phone":{"viewport":{"width":390,"height":844},"color_scheme":"dark"}}.items():
        page=open_page(browser, live_server, client, cast.ada, **screen)
        page.goto(reverse("office:herd")+"?classes=cow&classes=bull&classes=heifer&classes=calf&count=1&months_from=x")
        page.screenshot(path=f"/tmp/a/{name}-open.png", full_page=True)
        page.goto(reverse("office:herd"))
        page.get_by_label("all 4 on this page").focus(); page.keyboard.press("Space")
        assert page.get_by_text("4 picked").is_visible()
        page.screenshot(path=f"/tmp/a/{name}.png", full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= screen["viewport"]["width"]
        page.get_by_role("button", name="Picked to a processing day").press("Enter")
        page.wait_for_url("**/herd/day/")
        page.screenshot(path=f"/tmp/a/{name}-day.png", full_page=True)
        page.goto(reverse("office:herd"))
        page.get_by_label("Pick 417 yellow").focus(); page.keyboard.press("Space")
        page.get_by_role("button", name="Move picked").press("Enter")
        page.wait_for_url("**/animals/move/")
        assert "1" in page.inner_text("main")
        page.goto(reverse("office:herd-keep")+"?classes=cow")
        assert page.complaints==[]
