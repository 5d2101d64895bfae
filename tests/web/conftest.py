"""A desk for tests, and a real server with one planned batch for those that look at pages."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import httpx
import pytest
import uvicorn
from starlette.testclient import TestClient

from longpoint.web.app import Settings, make_app
from longpoint.web.serve import hosts_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser

BATCH = """\
# What hangs in the porch. Everything here is invented.
title = "Porch"
currency = "EUR"

[[work]]
name = "Reeds"   # the small one
width = "80 cm"
height = "60 cm"
inside = { cross_rails = 1 }

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
"""


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A server in this process, without a browser."""
    app = make_app(Settings(data=tmp_path / "desk", hosts=hosts_of(8000)))
    with TestClient(app, base_url="http://127.0.0.1:8000", follow_redirects=False) as made:
        yield made


def with_key(client: TestClient) -> dict[str, str]:
    """The header that everything that changes something carries."""
    return {"x-longpoint-key": client.get("/api/key").json()["key"]}


@dataclass(frozen=True)
class Served:
    """A server with a planned batch.

    Attributes:
        url: Where it is.
        ident: The batch.
        data: Its folder.
    """

    url: str
    ident: str
    data: Path


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A real server on a free port, its batch planned without rehearsal."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    data = tmp_path_factory.mktemp("desk")
    app = make_app(Settings(data=data, hosts=hosts_of(port), warm=True))
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    url = f"http://127.0.0.1:{port}"
    with httpx.Client(base_url=url, timeout=30) as asked:
        while not server.started:
            time.sleep(0.05)
        key = {"x-longpoint-key": asked.get("/api/key").json()["key"]}
        ident = asked.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
        asked.post(f"/api/batches/{ident}/plan", json={"rehearsing": False}, headers=key)
        for _ in range(1200):
            state = asked.get(f"/api/batches/{ident}/plan").json()
            if state["state"] not in ("waiting", "working"):
                break
            time.sleep(0.2)
        assert state["state"] == "done", state
        yield Served(url, ident, data)
    server.should_exit = True
    thread.join(20)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A real Chromium."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        made = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-background-networking"]
        )
        yield made
        made.close()
