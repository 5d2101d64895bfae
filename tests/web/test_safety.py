"""What does not come from a page of this server is refused, and what a person typed is never taken for a page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from web.conftest import BATCH, with_key


def _batch(client: TestClient, text: str = BATCH) -> str:
    made = client.post("/api/batches", json={"text": text}, headers=with_key(client))
    assert made.status_code == 201, made.text
    return str(made.json()["ident"])


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:9999", "localhost.evil.example:8000", ""])
def test_another_name_for_this_machine_is_not_answered(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_form_of_another_site_is_refused_even_with_the_key(
    client: TestClient, headers: dict[str, str]
) -> None:
    answer = client.post("/api/batches", json={"text": BATCH}, headers={**with_key(client), **headers})
    assert answer.status_code == 403
    assert client.get("/api/batches").json() == []


def test_without_the_key_nothing_changes(client: TestClient) -> None:
    ident = _batch(client)
    for send in (
        lambda: client.post("/new", data={"work": "Reeds: 70 x 50 cm"}),
        lambda: client.post(f"/b/{ident}/remove", data={"key": "0" * 64}),
        lambda: client.post(f"/b/{ident}/undo"),
        lambda: client.put(f"/api/batches/{ident}", json={"text": BATCH}),
        lambda: client.delete(f"/api/batches/{ident}", headers={"x-longpoint-key": "wrong"}),
        lambda: client.post(f"/api/batches/{ident}/plan", json={}),
        lambda: client.post(f"/b/{ident}/tick", data={"kind": "buy", "what": "x"}),
    ):
        assert send().status_code == 403
    assert [row["ident"] for row in client.get("/api/batches").json()] == [ident]


def test_the_key_of_one_browser_does_not_serve_another(client: TestClient) -> None:
    stolen = with_key(client)
    client.cookies.clear()
    client.get("/")
    assert client.post("/api/batches", json={"text": BATCH}, headers=stolen).status_code == 403


def test_every_page_keeps_to_itself(client: TestClient) -> None:
    ident = _batch(client)
    for path in ("/", f"/b/{ident}", "/api", "/b/nothing", f"/b/{ident}/file"):
        answer = client.get(path)
        policy = answer.headers["content-security-policy"]
        assert (
            "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
        )
        assert answer.headers["x-content-type-options"] == "nosniff"
        if "html" in answer.headers["content-type"]:
            assert not re.search(r"<script(?![^>]*src=)|\son[a-z]+=|style=|javascript:", answer.text)
            assert not re.search(r'(?:src|href|action)="(?:https?:)?//', answer.text)


def test_what_is_too_large_is_refused_before_it_is_read(client: TestClient) -> None:
    key = with_key(client)
    big = b"#" * 10_000_000
    assert client.post("/open", files={"batch": ("b.toml", big)}, headers=key).status_code == 413
    assert client.post("/api/batches", json={"text": "x" * 500_000}, headers=key).status_code == 422

    def stream():  # without a length said beforehand
        for _ in range(40):
            yield b"#" * 100_000

    answer = client.post(
        "/api/batches", content=stream(), headers={**key, "content-type": "application/json"}
    )
    assert answer.status_code == 413


def test_a_file_that_is_no_batch_is_refused_with_reasons_and_nothing_is_kept(client: TestClient) -> None:
    key = with_key(client)
    for contents in (b"\x89PNG\r\n\x1a\n" + bytes(100), b"\xff\xfe\x00", b"title = ", b"<script>alert(1)</script>",
                     b"[[work]]\nname = 1\nwidth = 1e999\nheight = -3\n", ("[" * 3000).encode()):  # fmt: skip
        answer = client.post("/open", files={"batch": ("b.toml", contents)}, headers=key)
        assert answer.status_code == 422 and "Traceback" not in answer.text, contents[:20]
    assert client.get("/api/batches").json() == []


def test_script_in_a_name_is_only_a_name(client: TestClient) -> None:
    name = '<script>alert(1)</script>"><img src=x onerror=alert(1)>'
    text = BATCH.replace('"Reeds"', f"'{name}'").replace('"Porch"', f"'{name}'")
    ident = _batch(client, text)
    for path in ("/", f"/b/{ident}", f"/b/{ident}/plan"):
        page = client.get(path).text
        assert "<script>alert" not in page and "<img src=x" not in page
        assert "&lt;script&gt;" in page


def test_no_path_from_outside_is_opened(client: TestClient, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("nobody may read this")
    ident = _batch(client)
    for path in ("/static/../app.py", "/static/%2e%2e/app.py", "/static/built/../../safety.py", "/fonts/../x.ttf",
                 f"/b/{ident}/take/../../../secret/0", f"/b/{ident}/take/0123456789ab/0",
                 f"/b/{ident}/works/..%2f..", "/b/../../secret"):  # fmt: skip
        answer = client.get(path)
        assert answer.status_code in (404, 307), path
        assert "nobody may read" not in answer.text and "def " not in answer.text


def test_a_place_to_go_back_to_is_one_of_ours(client: TestClient) -> None:
    key = with_key(client)
    for back in ("//evil.example", "https://evil.example", "/\\evil", "javascript:alert(1)", "/b/x\r\nx: y"):
        answer = client.post("/shown", data={"back": back, "words": "de"}, headers=key)
        assert answer.headers["location"] == "/"
    assert "Was soll es werden?" in client.get("/").text


def test_huge_numbers_and_wrong_kinds_get_a_message_beside_their_field(client: TestClient) -> None:
    ident = _batch(client)
    key = with_key(client)
    for value in ("9" * 400, "1e308", "-5", "0", "NaN", "80 bananas", "{}", "\u202e80"):
        answer = client.post(
            f"/b/{ident}/say",
            data={"work[1].width": value, "about": "1"},
            headers={**key, "hx-request": "true"},
        )
        assert answer.status_code == 200
        assert re.search(r'id="e-work-1-width"[^>]*>[^<]+<', answer.text), value
    assert client.get(f"/api/batches/{ident}").json()["text"] == BATCH


def test_ticks_of_a_wrong_kind_are_refused(client: TestClient) -> None:
    ident = _batch(client)
    answer = client.post(f"/b/{ident}/tick", data={"kind": "x", "what": "y"}, headers=with_key(client))
    assert answer.status_code == 422
