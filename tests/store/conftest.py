"""Stores on both databases, and one small plan whose boards come from the rack."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.export.rows.plan import plan_json
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch
from longpoint.store import Place, Store, open_store, place_of
from store.databases import Server, running_server, server_is_there
from store.making import RACK, Clock


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    if not server_is_there():
        pytest.skip("Debian's postgresql is not installed")
    with running_server() as running:
        yield running


@pytest.fixture(params=["sqlite", "postgres"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """A place with nothing in it, on either database."""
    if request.param == "sqlite":
        return place_of(str(tmp_path / "data"), {})
    server: Server = request.getfixturevalue("server")
    return place_of(server.new(), {"HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path / "data")})


@pytest.fixture(params=["sqlite", "postgres"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """A store that was just made, on either database."""
    place = place_of(str(tmp_path / "data"), {})
    if request.param == "postgres":
        place = Place(place_of(request.getfixturevalue("server").made(), {}).url, tmp_path / "data")
    opened = open_store(place, clock=Clock())
    yield opened
    opened.close()


@pytest.fixture
def lite(tmp_path: Path) -> Iterator[Store]:
    """A store in a file, where the database does not matter."""
    opened = open_store(place_of(str(tmp_path / "data"), {}), clock=Clock())
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def plan_file() -> bytes:
    return plan_json(plan_batch(parse_batch(RACK), choose=design_of))


@pytest.fixture
def document(plan_file: bytes) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan_file)
    return found
