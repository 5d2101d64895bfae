"""A shared workshop in a real browser, on a phone: signing in by keyboard, ticks of one and another, signing out."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from longpoint.store import open_store, place_of
from longpoint.store.benches.people import add_person
from longpoint.store.book.plans import batches, plans
from longpoint.store.book.ticks import ticks
from longpoint.web.app import Settings, make_app
from longpoint.web.room import built
from longpoint.web.serve import hosts_of
from web.conftest import Served

PASSWORD = "five wet brushes"

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.xdist_group("browser"),
    pytest.mark.skipif(shutil.which("chromium") is None, reason="needs Debian's chromium"),
    pytest.mark.skipif(not built(), reason="the browser code is not built: make browser"),
]


@pytest.fixture(scope="module")
def shared(served: Served) -> Iterator[str]:
    """The planned batch once more, this time for people who sign in."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    store = open_store(place_of(str(served.data), {}))
    with store.writing("setup") as desk:
        for name, role in (("Mara", "own"), ("Ben", "bench"), ("Ida", "look")):
            add_person(desk, name, PASSWORD, role)  # type: ignore[arg-type]
    store.close()
    app = make_app(Settings(data=served.data, hosts=hosts_of(port), shared=True))
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(20)


@pytest.fixture
def phone(browser: Browser, shared: str) -> Iterator[BrowserContext]:
    made = browser.new_context(
        viewport={"width": 390, "height": 844},
        base_url=shared,
        locale="en-GB",
        has_touch=True,
        is_mobile=True,
    )
    made.set_default_timeout(60_000)
    yield made
    made.close()


def sign_in(page: Page, name: str) -> None:
    page.locator("#name").focus()
    page.keyboard.type(name)
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    expect(page.locator("form.who a").first).to_have_text(name)


def test_somebody_signs_in_by_keyboard_and_goes_on_where_they_were(
    phone: BrowserContext, served: Served
) -> None:
    page = phone.new_page()
    page.goto(f"/b/{served.ident}/saw")
    expect(page).to_have_title("Sign in · longpoint")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    sign_in(page, "Ben")
    expect(page.locator("article.cut:visible")).to_be_visible()
    assert page.url.endswith(f"/b/{served.ident}/saw")


def test_what_one_ticked_without_a_line_is_sent_as_theirs_when_they_are_back(
    phone: BrowserContext, served: Served
) -> None:
    page = phone.new_page()
    page.goto(f"/b/{served.ident}/saw")
    sign_in(page, "Ben")
    page.goto(f"/b/{served.ident}/saw")
    expect(page.locator("article.cut:visible")).to_be_visible()
    phone.route("**/api/batches/*/ticks", lambda route: route.abort())  # the line is gone for ticks
    page.locator("article.cut:visible button.main").tap()
    expect(page.locator("[data-waiting] b").first).to_have_text("1")
    phone.unroute("**/api/batches/*/ticks")
    # Ben signs out before it was sent, and Mara signs in on the same phone
    page.evaluate("document.querySelector('form.who').requestSubmit()")
    expect(page).to_have_title("Sign in · longpoint")
    kept = page.evaluate("caches.open('longpoint-1').then((c) => c.keys()).then((k) => k.map((r) => r.url))")
    assert [url for url in kept if "/b/" in url] == []
    sign_in(page, "Mara")
    page.goto(f"/b/{served.ident}/saw")
    page.wait_for_timeout(1500)
    assert "Ben" in page.evaluate("localStorage.getItem('longpoint-ticks')")
    page.evaluate("document.querySelector('form.who').requestSubmit()")
    sign_in(page, "Ben")
    page.goto(f"/b/{served.ident}/saw")
    for _ in range(300):
        if page.evaluate("localStorage.getItem('longpoint-ticks')") == "{}":
            break
        page.wait_for_timeout(100)
    store = open_store(place_of(str(served.data), {}))
    with store.reading() as desk:
        said = [
            one.who
            for line in batches(desk)
            for plan in plans(desk, line.id)
            for one in ticks(desk, plan.id, "cut")
        ]
    store.close()
    assert "Ben" in said and "Mara" not in said


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_the_pages_of_the_door_are_sound_at_every_width(browser: Browser, shared: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, base_url=shared, locale="en-GB")
    page = context.new_page()
    page.goto("/")
    for path in ("", "/people", "/me"):
        if path == "/people":
            sign_in(page, "Mara")
        if path:
            page.goto(path)
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "best-practice"]})
        serious = [
            one["id"] for one in found.response["violations"] if one["impact"] in ("serious", "critical")
        ]
        assert serious == [], path
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
    context.close()
