"""Where no browser code was built, and none runs, pages are plain forms, and every main wish can still be done."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from longpoint.web import room
from web.conftest import Served

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.xdist_group("browser"),
    pytest.mark.skipif(shutil.which("chromium") is None, reason="needs Debian's chromium"),
]


@pytest.fixture
def page(served: Served, browser: Browser, monkeypatch: pytest.MonkeyPatch) -> Iterator[Page]:
    monkeypatch.setattr(room, "built", lambda: False)
    context = browser.new_context(base_url=served.url, locale="en-GB", java_script_enabled=False)
    context.set_default_timeout(60_000)
    yield context.new_page()
    context.close()


def test_a_batch_is_begun_changed_answered_planned_and_stopped(page: Page) -> None:
    page.goto("/")
    assert "<script" not in page.content()
    page.locator("#work").fill("Slip: 70 x 50 cm")
    page.get_by_role("button", name="Begin", exact=True).click()
    page.locator("#work-1-width").fill("80 bananas")
    page.locator("article.work").get_by_role("button", name="Keep").click()
    expect(page.locator("#e-work-1-width")).to_contain_text("bananas")
    page.locator("#work-1-width").fill("80 cm")
    page.locator("article.work").get_by_role("button", name="Keep").click()
    expect(page.locator("#work-1-width")).to_have_value("80 cm")
    page.get_by_role("link", name="See how it stands").click()
    expect(page.locator(".chip")).to_be_visible(
        timeout=120_000
    )  # the page loads itself again until it is known
    page.get_by_role("link", name="Back").click()
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Plan it").click()
    expect(page.locator(".doing")).to_be_visible()
    page.get_by_role("button", name="Stop it").click()
    expect(page.locator("main")).to_contain_text("was stopped")


def test_the_bench_is_ticked_and_measured(page: Page, served: Served) -> None:
    path = f"/b/{served.ident}"
    page.goto(f"{path}/saw")
    before = page.locator("article.cut:visible").get_attribute("id")
    page.locator("article.cut:visible").get_by_role("button", name="Cut", exact=True).click()
    assert page.locator("article.cut:visible").get_attribute("id") != before
    for step in ("yard", "glue/A", "cloth", "stretch/A"):
        page.goto(f"{path}/{step}")
        boxes = page.locator("button.box[aria-pressed=true]")
        count = boxes.count()
        page.locator("button.box[aria-pressed=false]:visible").last.click()
        expect(boxes).to_have_count(count + 1)
    page.goto(f"{path}/glue/A")
    page.locator("#inside-a3").fill("557.5")
    page.get_by_role("button", name="Keep it and say the next lengths").click()
    expect(page.locator("#lengths table")).to_contain_text("557.5 mm")
    page.goto(f"{path}/works/A")
    page.get_by_role("button", name="Try it").click()
    expect(page.locator(".chip")).to_be_visible()


def test_the_shop_the_rack_files_and_languages(page: Page, served: Served) -> None:
    path = f"/b/{served.ident}"
    page.goto(f"{path}/shop")
    page.locator("#shop-people").fill("bananas")
    page.locator("form", has=page.locator("#shop-people")).get_by_role("button", name="Keep").click()
    expect(page.locator("#e-shop-people")).to_contain_text("bananas")
    page.goto("/rack")
    boards = page.locator("tbody tr")
    count = boards.count()  # other tests of this desk put boards in too
    for name, value in (("thickness", "21"), ("depth", "44"), ("length", "1800")):
        page.locator(f"#{name}").fill(value)
    page.get_by_role("button", name="Put it in").click()
    expect(boards).to_have_count(count + 1)
    page.goto(f"{path}/sheets")
    href = str(page.locator("a", has_text="pack.pdf").get_attribute("href"))
    assert page.request.get(href).body()[:4] == b"%PDF"
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("h1")).to_have_text(re.compile("Blätter"))
