"""The picture of the pages in README and docs: three of them side by side, taken from a server of its own.

Run by ``make pictures``: ``python tools/pages_picture.py PICTURE.png``.
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
from playwright.sync_api import sync_playwright

from longpoint.web.app import Settings, make_app
from longpoint.web.serve import hosts_of

PORT = 8427
BATCH = Path(__file__).parents[1] / "examples" / "four-insides.toml"
SHOTS = (
    ("/b/{ident}", (900, 1000)),
    ("/b/{ident}/works/D", (900, 1000)),
    ("/b/{ident}/saw", (390, 844)),
)
HIGH = 820


def main(picture: Path) -> None:
    """Plans an example and takes its pages.

    Args:
        picture: Where the picture goes.
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
            ident = asked.post("/api/batches", json={"text": BATCH.read_text()}, headers=key).json()["ident"]
            asked.post(f"/api/batches/{ident}/plan", json={"rehearsing": False}, headers=key)
            while asked.get(f"/api/batches/{ident}/plan").json()["state"] in ("waiting", "working"):
                time.sleep(0.5)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-background-networking"]
            )
            taken = []
            for path, (width, height) in SHOTS:
                page = browser.new_page(viewport={"width": width, "height": height})
                page.goto(url + path.format(ident=ident))
                if path.endswith("{ident}"):
                    page.wait_for_selector(".told", timeout=120_000)
                page.wait_for_timeout(3_000)
                taken.append(Image.open(io.BytesIO(page.screenshot())).convert("RGB"))
            browser.close()
        server.should_exit = True
        thread.join(20)
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
    main(Path(sys.argv[1]))
