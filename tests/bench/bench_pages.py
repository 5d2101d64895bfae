"""Speed of the pages: server time of each for a planned batch, and of a verdict for one work while it is said.

Baselines are named beside each: a page is held against the time a person notices, a first verdict against the choice
among all designs that follows it. Run by ``make bench``.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from longpoint.choosing.chooser import ComputedChooser
from longpoint.jobs.answer import Answered, first_answer, whole_answer
from longpoint.model.reading import parse_batch
from longpoint.web.app import Settings, make_app
from longpoint.web.serve import hosts_of

pytestmark = pytest.mark.bench

DEMO = Path(__file__).parents[2] / "examples" / "winter-show.toml"
NOTICED = 0.1
"""What a person takes for at once. [s] Common practice, no published source."""

PATHS = (
    "",
    "/plan",
    "/yard",
    "/saw",
    "/works/A",
    "/glue/A",
    "/stretch/A",
    "/prime",
    "/wall",
    "/money",
    "/sheets",
)
WORK = 'title = "x"\n[[work]]\nname = "Reeds"\nwidth = {width}\nheight = 600\n'


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, str, dict[str, str]]]:
    """The demo, planned without rehearsal, behind a client."""
    app = make_app(Settings(data=tmp_path_factory.mktemp("desk"), hosts=hosts_of(8000)))
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        key = {"x-longpoint-key": client.get("/api/key").json()["key"]}
        ident = client.post("/api/batches", json={"text": DEMO.read_text()}, headers=key).json()["ident"]
        client.post(f"/api/batches/{ident}/plan", json={"rehearsing": False}, headers=key)
        while client.get(f"/api/batches/{ident}/plan").json()["state"] in ("waiting", "working"):
            time.sleep(0.5)
        yield client, ident, key


def bench_every_page_of_the_demo(planned: tuple[TestClient, str, dict[str, str]]) -> None:
    client, ident, _ = planned
    for path in PATHS:
        taken = []
        for _ in range(5):
            began = time.perf_counter()
            assert client.get(f"/b/{ident}{path}").status_code == 200
            taken.append(time.perf_counter() - began)
        print(
            f"{path or '/':>12}: {1000 * min(taken):6.1f} ms, {min(taken) / NOTICED:5.2f} of what is noticed"
        )


def bench_fifty_people_read_and_tick_at_once(planned: tuple[TestClient, str, dict[str, str]]) -> None:
    client, ident, key = planned
    taken: list[float] = []

    def person(number: int) -> None:
        for count in range(10):
            began = time.perf_counter()
            tick = {
                "id": f"person-{number:03d}-{count:03d}",
                "kind": "cut",
                "key": f"{number}",
                "state": "done",
            }
            client.post(f"/api/batches/{ident}/ticks", json={"ticks": [tick]}, headers=key)
            client.get(f"/b/{ident}/yard")
            taken.append(time.perf_counter() - began)

    people = [threading.Thread(target=person, args=(number,)) for number in range(50)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    assert len(client.get(f"/api/batches/{ident}/ticks").json()["cut"]) == 50
    taken.sort()
    print(
        f"a tick and a page: middle {taken[len(taken) // 2]:.3f} s, slowest {taken[-1]:.3f} s, {len(taken)} of each"
    )


def bench_first_verdict_against_the_whole_choice() -> None:
    batch = parse_batch(WORK.format(width=800))
    whole = whole_answer(batch, 0, ComputedChooser())
    assert isinstance(whole, Answered)
    like = whole.draft.designed.design
    first, all_of_it = [], []
    for width in (805, 811, 823, 840):
        batch = parse_batch(WORK.format(width=width))
        first_answer(batch, 0, like)  # the canvas of this face is prepared
        began = time.process_time()
        assert isinstance(first_answer(batch, 0, like), Answered)
        first.append(time.process_time() - began)
        began = time.process_time()
        whole_answer(batch, 0, ComputedChooser())
        all_of_it.append(time.process_time() - began)
    print(
        f"first verdict {1000 * min(first):.0f}-{1000 * max(first):.0f} ms of computing, "
        f"{min(all_of_it) / min(first):.1f} times as quick as the whole choice; {max(first) / 0.3:.2f} of 300 ms"
    )
