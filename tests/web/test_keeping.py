"""The rack and the build book on pages: what comes in is there, what changed meanwhile is not written over."""

from __future__ import annotations

import re

from starlette.testclient import TestClient

from web.conftest import with_key


def test_a_board_comes_into_the_rack_and_goes_out_once(client: TestClient) -> None:
    key = with_key(client)
    assert client.post("/rack", data={"thickness": "wide", "depth": "44"}, headers=key).status_code == 422
    stated = {"thickness": "21", "depth": "44 mm", "length": "1.8 m", "place": "by the door"}
    assert client.post("/rack", data=stated, headers=key).status_code == 303
    page = client.get("/rack").text
    assert "1800 mm" in page and "by the door" in page
    found = re.search(r'name="label" value="([^"]+)"><input type="hidden" name="seen" value="([0-9]+)"', page)
    assert found is not None
    label, seen = found.groups()
    assert client.post("/rack/take", data={"label": label, "seen": seen}, headers=key).status_code == 303
    again = client.post("/rack/take", data={"label": label, "seen": seen}, headers=key)
    assert again.status_code in (409, 422)
    assert "by the door" not in client.get("/rack").text


def test_an_empty_book_says_how_it_is_filled(client: TestClient) -> None:
    assert "Nothing is kept yet" in client.get("/book").text
