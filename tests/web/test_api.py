"""The JSON interface: what it says of itself, and that nothing sent to it breaks it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from starlette.testclient import TestClient

from longpoint.store import open_store, place_of
from longpoint.store.benches.people import add_person
from longpoint.web.app import Settings, make_app
from web.conftest import BATCH, with_key


def test_a_batch_goes_in_is_changed_and_comes_out_as_it_was_written(client: TestClient) -> None:
    key = with_key(client)
    ident = client.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
    changed = BATCH.replace("80 cm", "81 cm")
    assert client.put(f"/api/batches/{ident}", json={"text": changed}, headers=key).status_code == 200
    assert client.get(f"/api/batches/{ident}").json() == {"text": changed}
    refused = client.put(f"/api/batches/{ident}", json={"text": BATCH.replace("80 cm", "wide")}, headers=key)
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["key"] == "work[1].width"
    assert client.get(f"/api/batches/{ident}").json() == {"text": changed}
    assert client.delete(f"/api/batches/{ident}", headers=key).status_code == 204
    assert client.get(f"/api/batches/{ident}").status_code == 404


def test_ticks_about_nothing_are_refused_by_name(client: TestClient) -> None:
    key = with_key(client)
    ident = client.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
    tick = {"id": "0123456789", "kind": "buy", "key": "boards", "state": "done"}
    answer = client.post(f"/api/batches/{ident}/ticks", json={"ticks": [tick]}, headers=key)
    assert answer.json() == {"kept": 0, "refused": ["0123456789"]}
    assert client.get(f"/api/batches/{ident}/ticks").json()["buy"] == {}
    assert (
        client.post("/api/batches/0123456789ab/ticks", json={"ticks": [tick]}, headers=key).status_code == 404
    )


def test_the_page_of_the_interface_names_every_way_in(client: TestClient) -> None:
    page = client.get("/api").text
    schema = client.get("/api/openapi.json").json()
    assert schema["openapi"].startswith("3.1")
    for path in schema["paths"]:
        assert path in page and path.startswith("/api/")


@pytest.mark.slow
@pytest.mark.parametrize("accounts", [False, True])
def test_nothing_sent_to_it_breaks_it(tmp_path: Path, accounts: bool) -> None:
    data, hosts = tmp_path / "desk", frozenset({"testserver", "localhost", "127.0.0.1"})
    app = make_app(Settings(data=data, hosts=hosts, shared=accounts))
    with TestClient(app) as client:
        key = with_key(client)
        if accounts:
            store = open_store(place_of(str(data), {}))
            with store.writing("setup") as desk:
                add_person(desk, "Mara", "five wet brushes", "own")
            store.close()
            client.post("/sign-in", data={"name": "Mara", "password": "five wet brushes"}, headers=key)
            key = with_key(client)
        cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
        ident = client.post("/api/batches", json={"text": BATCH}, headers=key).json()["ident"]
        schema = schemathesis.openapi.from_dict(client.get("/api/openapi.json").json())
        headers = {**key, "cookie": cookie}
        asked = sum(_sent(client, found.ok(), ident, headers) for found in schema.get_all_operations())
        assert asked > 100
        assert client.get(f"/api/batches/{ident}").status_code == 200


def _sent(client: TestClient, operation: Any, ident: str, headers: dict[str, str]) -> int:
    """Sends what one way in may be sent, and what it may not, to a batch that is there and to none."""
    asked = 0

    @settings(max_examples=25, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy())
    def sent(case: schemathesis.Case) -> None:
        nonlocal asked
        path = case.formatted_path
        if asked % 2 and case.method != "DELETE" and not path.endswith("/plan"):
            path = operation.path.replace("{ident}", ident)
        body = case.body if isinstance(case.body, dict | list | str | int | float | None) else None
        answer = client.request(case.method, path, json=body, params=case.query or None, headers=headers)
        asked += 1
        assert answer.status_code < 500, (case.method, path, body)

    sent()
    return asked
