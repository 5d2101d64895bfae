"""Every page in a real browser: its main wish, by keyboard, on a phone, over a reload and a lost line."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect

from longpoint.web.room import built
from web.conftest import BATCH, Served

PATHS = (
    "",
    "/plan",
    "/yard",
    "/saw",
    "/works/A",
    "/glue/A",
    "/cloth",
    "/stretch/A",
    "/prime",
    "/wall",
    "/money",
    "/shop",
    "/sheets",
)
PHONE, DESK, NARROW = (
    {"width": 390, "height": 844},
    {"width": 1280, "height": 900},
    {"width": 320, "height": 700},
)

expect.set_options(timeout=60_000)  # a laden machine is slow; nothing here asserts speed

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.xdist_group("browser"),
    pytest.mark.skipif(shutil.which("chromium") is None, reason="needs Debian's chromium"),
    pytest.mark.skipif(not built(), reason="the browser code is not built: make browser"),
]


@pytest.fixture
def context(browser: Browser, served: Served) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport=DESK, base_url=served.url, locale="en-GB")
    made.set_default_timeout(60_000)
    yield made
    made.close()


def watched(page: Page) -> list[str]:
    """What goes wrong on a page, and every request that leaves this machine."""
    found: list[str] = []
    page.on("pageerror", lambda error: found.append(str(error)))

    def heard(message: ConsoleMessage) -> None:
        # a line that was cut on purpose, and a wish that was given up because the page was left
        expected = ("ERR_INTERNET_DISCONNECTED" in message.text, message.text.startswith("htmx:"))
        if message.type == "error" and not any(expected):
            found.append(message.text)

    page.on("console", heard)
    page.on(
        "request",
        lambda request: (
            found.append(request.url)
            if not request.url.startswith(("http://127.0.0.1:", "data:", "blob:"))
            else None
        ),
    )
    return found


def all_sent(page: Page) -> None:
    """Waits until no tick is kept back on this machine; the page's own policy lets no script be made for that."""
    for _ in range(600):
        if page.evaluate("localStorage.getItem('longpoint-ticks')") == "{}":
            return
        page.wait_for_timeout(100)
    pytest.fail("ticks were not sent")


def test_a_first_batch_is_made_from_nothing_by_keyboard(context: BrowserContext) -> None:
    page = context.new_page()
    wrong = watched(page)
    page.goto("/")
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "work":
            break
    page.keyboard.type("Slip: 70 x 50 cm")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/b/[0-9a-f]{12}$"))
    expect(page.locator("#work-1-name")).to_have_value("Slip")
    expect(page.locator("#work-1-width")).to_have_value("70 cm")
    expect(page.locator("#answer-1 .chip")).to_be_visible()
    page.locator("#work-1-width").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("80 bananas")
    expect(page.locator("#e-work-1-width")).to_contain_text("bananas")
    page.keyboard.press("Control+a")
    page.keyboard.type("72 cm")
    expect(page.locator("#e-work-1-width")).to_be_empty()
    expect(page.locator("#answer-1 svg >> text=720").first).to_be_visible()
    page.reload()
    expect(page.locator("#work-1-width")).to_have_value("72 cm")
    page.locator("#undo").focus()
    page.keyboard.press("Enter")
    page.wait_for_load_state()
    expect(page.locator("#work-1-width")).to_have_value("70 cm")
    page.locator("button.main").focus()
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/plan$"))
    expect(page.locator(".doing")).to_be_visible()
    page.goto("/")
    page.go_back()
    page.get_by_role("button", name="Stop it").click()
    expect(page.locator("main")).to_contain_text("was stopped")
    assert wrong == []


@pytest.mark.parametrize("path", PATHS)
def test_a_page_has_no_serious_finding_and_fits_every_width(
    context: BrowserContext, served: Served, path: str
) -> None:
    page = context.new_page()
    wrong = watched(page)
    page.emulate_media(reduced_motion="reduce")
    page.goto(f"/b/{served.ident}{path}")
    if path == "":  # an answer that is still worked on is greyed
        expect(page.locator(".told:not(.first):not(.old)").first).to_be_visible(timeout=90_000)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        serious = _serious(page)
        assert serious == [], (path, scheme)
    for size in (DESK, PHONE, NARROW):
        page.set_viewport_size(size)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], size
    assert wrong == []


def test_the_first_page_and_the_page_for_programs_have_no_serious_finding(context: BrowserContext) -> None:
    page = context.new_page()
    for path in ("/", "/rack", "/book", "/api", "/b/000000000000"):
        page.goto(path)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert _serious(page) == [], (path, scheme)
        for size in (DESK, PHONE, NARROW):
            page.set_viewport_size(size)
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], (path, size)


def _serious(page: Page) -> list[tuple[str, str]]:
    """Serious findings, letters of drawings among them."""
    found: dict[str, Any] = Axe().run(page).response
    return [
        (one["id"], node["html"][:160])
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


def _cut(page: Page) -> str:
    return page.locator("article.cut:visible").get_attribute("id") or ""


def test_the_saw_keeps_its_place_over_a_reload_and_a_lost_line_and_no_tick_is_lost_or_doubled(
    browser: Browser, served: Served
) -> None:
    context = browser.new_context(viewport=PHONE, base_url=served.url, has_touch=True)
    page = context.new_page()
    wrong = watched(page)
    page.goto(f"/b/{served.ident}/saw")
    page.evaluate("navigator.serviceWorker.ready")
    assert _cut(page) == "cut-0"
    expect(page.locator(".swing:visible")).to_contain_text("SWING LEFT")
    expect(page.locator(".part:visible")).to_contain_text("first of two on this stop")
    page.locator("article.cut:visible button.main").tap()
    expect(page.locator(".part:visible")).to_contain_text("second of two on this stop")
    all_sent(page)
    page.reload()
    assert _cut(page) == "cut-1"
    context.set_offline(True)
    page.reload()
    assert _cut(page) == "cut-1"
    page.locator("article.cut:visible button.main").tap()
    page.locator("article.cut:visible button.main").tap()
    expect(page.locator("[data-waiting]").first).to_contain_text("2")
    page.reload()
    assert _cut(page) == "cut-3"
    state = context.request.get(f"/api/batches/{served.ident}/ticks").json()["cut"]
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    all_sent(page)
    after = context.request.get(f"/api/batches/{served.ident}/ticks").json()["cut"]
    assert (len(state), len(after)) == (1, 3)
    assert set(after.values()) == {"done"}
    assert wrong == []
    context.close()


def test_two_windows_tick_one_list_and_both_ticks_stay(context: BrowserContext, served: Served) -> None:
    one, other = context.new_page(), context.new_page()
    for page in (one, other):
        page.goto(f"/b/{served.ident}/yard")
    one.locator("button.box").nth(0).click()
    other.locator("button.box").nth(1).click()
    for page in (one, other):
        all_sent(page)
        page.reload()
        expect(page.locator("button.box[aria-pressed=true]")).to_have_count(2)


def test_a_work_stands_in_space_and_is_built_step_by_step(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/works/A")
    canvas = page.locator(".space canvas")
    expect(canvas).to_have_attribute("data-drawn", "7")
    whole = _wooden(page)
    assert whole > 1500  # pixels of wood among the paper
    page.locator("#built-to").fill("5")
    assert int(canvas.get_attribute("data-drawn") or 0) < 7
    assert _wooden(page) < whole
    canvas.focus()
    before = page.evaluate("document.querySelector('.space canvas').toDataURL()")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.querySelector('.space canvas').toDataURL()") != before


def _wooden(page: Page) -> int:
    return int(
        page.evaluate(
            """() => {
            const from = document.querySelector('.space canvas');
            const to = document.createElement('canvas');
            to.width = 320; to.height = 220;
            const pen = to.getContext('2d');
            pen.drawImage(from, 0, 0, 320, 220);
            const seen = pen.getImageData(0, 0, 320, 220).data;
            let count = 0;
            for (let at = 0; at < seen.length; at += 4) if (seen[at] - seen[at + 2] > 40) count += 1;
            return count; }"""
        )
    )


def test_a_moved_rail_gets_its_verdict_and_nothing_is_kept(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/works/A")
    answer = page.locator("#rail-answer")
    expect(answer.locator(".chip")).to_be_visible()
    before = answer.locator("dl").inner_text()
    page.locator("#at").fill("230")
    expect(answer.locator("dl")).not_to_have_text(re.compile(re.escape(before.split("\n")[1])))
    text = context.request.get(f"/api/batches/{served.ident}").json()["text"]
    assert text == BATCH


def test_the_order_of_stapling_is_played_and_a_run_is_ticked(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/stretch/A")
    expect(page.locator(".run-card.now .huge")).to_have_text(re.compile("bottom", re.IGNORECASE))
    page.get_by_role("button", name="Watch it run by run").click()
    expect(page.locator(".run-card.now")).to_have_attribute("data-run", "3")
    page.get_by_role("button", name="Watch it run by run").click()
    page.reload()
    expect(page.locator(".run-card.now")).to_have_attribute("data-run", "1")
    page.get_by_role("button", name="Run done", exact=True).click()
    page.reload()
    expect(page.locator(".run-card.now")).to_have_attribute("data-run", "2")


def test_the_rehearsal_is_played_with_tension_and_bending_bars(
    context: BrowserContext, served: Served
) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/stretch/A")
    if page.get_by_role("button", name="Rehearse it on this frame").count():
        page.get_by_role("button", name="Rehearse it on this frame").click()
    status = page.locator(".rehearsed")
    expect(status).to_contain_text("N/m upright", timeout=150_000)
    first = status.inner_text()
    bars = page.locator("[data-bars] path").first.get_attribute("d")
    page.get_by_role("button", name="Watch it run by run").click()
    expect(status).not_to_have_text(first)
    page.wait_for_timeout(3000)
    assert page.locator("[data-bars] path").first.get_attribute("d") != bars
    assert page.locator("[data-tiles] rect").count() >= 4
    assert int(page.locator("[data-tiles] text").first.text_content() or -1) >= 0


def test_the_glue_page_ticks_steps_keeps_the_clock_and_answers_diagonals(
    context: BrowserContext, served: Served
) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/glue/A")
    page.locator(".clock button").first.click()
    expect(page.locator(".clock output").first).to_have_text(re.compile(r"7:5\d|\d+:5\d"))
    page.locator("#one").fill("1004")
    page.locator("#other").fill("1000")
    page.get_by_role("button", name="What does it say?").click()
    expect(page.locator("#fit")).to_contain_text("Out of square")
    page.locator("#one").fill("bananas")
    page.get_by_role("button", name="What does it say?").click()
    expect(page.locator("#e-one")).to_contain_text("bananas")


def test_measured_lengths_and_a_press_test_are_entered_by_keyboard(
    context: BrowserContext, served: Served
) -> None:
    page = context.new_page()
    wrong = watched(page)
    page.goto(f"/b/{served.ident}/glue/A")
    page.locator("#inside-a3").focus()
    page.keyboard.type("557.5")
    page.keyboard.press("Enter")
    expect(page.locator("#lengths table")).to_contain_text("557.5 mm not measured yet")
    page.locator("#wind").focus()
    page.keyboard.type("6")
    page.keyboard.press("Enter")
    expect(page.locator("#fit .caution")).to_contain_text("In wind")
    page.goto(f"/b/{served.ident}/stretch/A")
    page.locator("#dip").focus()
    page.keyboard.type("4.5")
    page.keyboard.press("Enter")
    expect(page.locator("#press")).to_contain_text("Wished are")
    expect(page.locator("#press")).to_contain_text("Kept under")
    assert wrong == []


def test_orders_are_compared_on_the_frame_and_the_planned_one_is_marked(
    context: BrowserContext, served: Served
) -> None:
    page = context.new_page()
    wrong = watched(page)
    page.goto(f"/b/{served.ident}/stretch/A")
    page.get_by_role("button", name="Compare the orders").click()
    expect(page.locator("#orders table")).to_be_visible(timeout=240_000)
    expect(page.locator("#orders tbody tr")).to_have_count(7)
    expect(page.locator("#orders .stamp")).to_have_count(1)
    expect(page.locator("#orders")).to_contain_text("The plan has middles outward")
    assert _serious(page) == []
    page.set_viewport_size(NARROW)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert wrong == []


def test_cuts_of_the_cloth_are_ticked_and_stay(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/cloth")
    box = page.locator("button.box").last
    before = box.get_attribute("aria-pressed")  # other tests tick here, too
    box.click()
    all_sent(page)
    page.reload()
    expect(box).to_have_attribute("aria-pressed", "false" if before == "true" else "true")


def test_the_shop_is_kept_as_it_is_typed_and_can_be_undone(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    wrong = watched(page)
    text = context.request.get(f"/api/batches/{served.ident}").json()["text"]
    page.goto(f"/b/{served.ident}/shop")
    page.locator("#shop-saw-kerf").focus()
    page.keyboard.type("bananas")
    expect(page.locator("#e-shop-saw-kerf")).to_contain_text("bananas")
    page.keyboard.press("Control+a")
    page.keyboard.type("2.6 mm")
    expect(page.locator("#e-shop-saw-kerf")).to_have_text("")
    page.reload()
    expect(page.locator("#shop-saw-kerf")).to_have_value("2.6 mm")
    for _ in range(3):
        if context.request.get(f"/api/batches/{served.ident}").json()["text"] == text:
            break
        page.locator("#undo").click()
        page.goto(f"/b/{served.ident}/shop")
    assert context.request.get(f"/api/batches/{served.ident}").json()["text"] == text
    assert wrong == []


SAIL = """\
title = "Boathouse"
# a sail of one's own, far too weak
[[work]]
name = "Sail"
width = "160 cm"
height = "120 cm"
inside = { cross_rails = 0, end_rails = "none" }
[[yard]]
name = "strip"
thickness = 21
depth = 44
lengths = ["2.4 m", "3 m"]
[[yard]]
name = "thin strip"
thickness = 21
depth = 28
lengths = ["2.4 m"]
"""


def test_one_click_applies_a_remedy_and_the_step_can_be_undone(
    context: BrowserContext, served: Served
) -> None:
    page = context.new_page()
    page.goto("/")
    key = {"x-longpoint-key": str(page.locator("body").get_attribute("data-key"))}
    made = context.request.post("/api/batches", data={"text": SAIL}, headers=key).json()
    path = f"/b/{made['ident']}"
    page.goto(path)
    page.locator("input[name=quick]").check()
    page.get_by_role("button", name="Plan it").click()
    expect(page.locator(".works a")).to_be_visible(timeout=180_000)
    page.goto(f"{path}/works/A")
    failed = page.locator("li.not", has_text="One more cross rail").first
    expect(failed).to_contain_text("What would help")
    failed.get_by_role("button", name="Do that and plan again").click()
    page.wait_for_url(re.compile("/plan$"))
    text = context.request.get(f"/api/batches{path[2:]}").json()["text"]
    assert "cross_rails = 1" in text
    assert "# a sail of one's own" in text
    page.get_by_role("button", name="Stop it").click()
    page.goto(f"{path}/works/A")
    page.get_by_role("button", name="Undo").click()
    page.wait_for_url(re.compile(f"{made['ident']}$"))
    assert context.request.get(f"/api/batches{path[2:]}").json()["text"] == SAIL


def test_another_language_and_inches_at_one_click_each(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/yard")
    page.get_by_role("button", name="in", exact=True).click()
    page.goto(f"/b/{served.ident}/works/A")
    expect(page.locator("main")).to_contain_text("31 1/2")
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("main")).to_contain_text("Hält es?")
    assert page.locator("html").get_attribute("lang") == "de"
    page.goto(f"/b/{served.ident}/glue/A")
    page.locator("#one").fill("39 3/4")
    page.locator("#other").fill("39")
    page.get_by_role("button", name="Was sagt das?").click()
    expect(page.locator("#fit")).to_contain_text("Aus dem Winkel")
    expect(page.locator("#fit")).to_contain_text("in")


def test_every_file_can_be_taken_and_the_list_can_be_sent(context: BrowserContext, served: Served) -> None:
    page = context.new_page()
    page.goto(f"/b/{served.ident}/sheets")
    href = page.locator("a", has_text="pack.pdf").get_attribute("href")
    assert context.request.get(str(href)).body()[:4] == b"%PDF"
    page.goto(f"/b/{served.ident}/yard")
    page.locator("summary").click()
    assert "strip" in page.locator("#as-text").input_value()


def test_a_spoiled_piece_is_planned_anew_and_the_cuts_go_on_from_there(
    context: BrowserContext, served: Served
) -> None:
    """Last of all: what is planned here takes the place of the first plan at the saw."""
    page = context.new_page()
    page.goto(f"/b/{served.ident}/saw")
    while _cut(page) != "cut-3":
        page.locator("article.cut:visible button.main").click()
    page.locator("article.cut:visible").get_by_role("button", name="Spoiled").click()
    all_sent(page)
    page.get_by_role("button", name="Plan the rest").click()
    expect(page.locator("#rest")).to_be_visible()
    expect(page.locator(".cuts")).to_contain_text("0 of 4 cut")  # one bar again, and three rails
    page.reload()
    page.locator("#rest summary").click()
    expect(page.locator("#rest")).to_contain_text("A2")
