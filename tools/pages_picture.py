"""Pictures of the pages in README and docs, side by side, taken from a server of its own.

Run by ``make pictures``: ``python tools/pages_picture.py DESK.png PHONE.png``.
"""

from __future__ import annotations

import io
import sys
import tempfile
import threading
import time
from pathlib import Path

import httpx
import uvicorn
from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from longpoint.web.app import Settings, make_app
from longpoint.web.serve import hosts_of

PORT = 8427
BATCH = """\
title = "Porch and landing"
currency = "EUR"

[[work]]
name = "Reeds"
width = "120 cm"
height = "90 cm"

[[work]]
name = "Slip"
width = "80 cm"
height = "60 cm"

[[yard]]
name = "strip"
thickness = 21
depth = 44
lengths = ["2.4 m", "3 m"]
per_metre = 2.6

[[yard]]
name = "thin strip"
thickness = 21
depth = 28
lengths = ["2.4 m"]
per_metre = 1.9

[[roll]]
name = "raw cotton"
width = "210 cm"
per_metre = 9
"""
Shot = tuple[str, str]
"""A path and the mark on the page that is brought to its top; "" for the head."""

DESK: tuple[Shot, ...] = (("/b/{ident}", ""), ("/b/{ident}/works/A", ""), ("/b/{ident}/stretch/A", ""))
PHONE: tuple[Shot, ...] = (
    ("/b/{ident}/saw", ""),
    ("/b/{ident}/glue/A", "#step-4"),
    ("/b/{ident}/cloth", ""),
    ("/b/{ident}/stretch/A", "#press"),
)
HIGH = 700


def main(desk: Path, phone: Path) -> None:
    """Plans a batch and takes its pages.

    Args:
        desk: Where the picture of pages on a desk goes.
        phone: Where that of pages on a phone goes.
    """
    with tempfile.TemporaryDirectory() as data:
        app = make_app(Settings(data=Path(data), hosts=hosts_of(PORT), warm=True))
        server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=PORT, log_level="error"))
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.1)
        url = f"http://127.0.0.1:{PORT}"
        with httpx.Client(base_url=url, timeout=60) as asked:
            key = {"x-longpoint-key": asked.get("/api/key").json()["key"]}
            ident = asked.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
            asked.post(f"/api/batches/{ident}/plan", json={"rehearsing": False}, headers=key)
            while asked.get(f"/api/batches/{ident}/plan").json()["state"] in ("waiting", "working"):
                time.sleep(0.5)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-background-networking"]
            )
            for picture, shots, size in ((desk, DESK, (900, 1000)), (phone, PHONE, (390, 844))):
                _beside([_taken(browser, url, ident, shot, size) for shot in shots], picture)
            browser.close()
        server.should_exit = True
        thread.join(20)


def _taken(browser: Browser, url: str, ident: str, shot: Shot, size: tuple[int, int]) -> Image.Image:
    path, mark = shot
    page = browser.new_page(viewport={"width": size[0], "height": size[1]}, locale="en-GB")
    page.goto(url + path.format(ident=ident))
    if path.endswith("{ident}"):
        page.wait_for_selector(".answer:not(.htmx-request) .told:not(.first):not(.old)", timeout=180_000)
    if mark:
        page.locator(mark).evaluate("it => it.scrollIntoView()")
    page.wait_for_timeout(3_000)
    taken = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    page.close()
    return taken


def _beside(taken: list[Image.Image], picture: Path) -> None:
    scaled = [image.resize((round(image.width * HIGH / image.height), HIGH)) for image in taken]
    gap = 18
    whole = Image.new(
        "RGB", (sum(i.width for i in scaled) + gap * (len(scaled) + 1), HIGH + 2 * gap), "#d8d1c4"
    )
    at = gap
    for image in scaled:
        whole.paste(image, (at, gap))
        at += image.width + gap
    whole.quantize(64).save(picture, optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
