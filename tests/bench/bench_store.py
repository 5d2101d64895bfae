"""How a large rack and a large book answer: 100 000 boards, 10 000 works.

Each figure is milliseconds in the database, the median of 15, beside the same with a hundredth of the rows: what grows
by less than a hundred times is found by an index. Asked for: a list, a search, a reservation each under 50 ms.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from longpoint.store import Desk, Place, Store, open_store, place_of
from longpoint.store.book.plans import add_plan, batches
from longpoint.store.book.ticks import copies
from longpoint.store.rack.reserving import release, reserve
from longpoint.store.rack.stock import Wish, listed, put
from store.databases import running_server, server_is_there
from store.making import board, plan_of

pytestmark = pytest.mark.bench

LARGE, SMALL = 100_000, 1000
WORKS = 10_000


def filled(store: Store, boards: int, works: int) -> None:
    """Boards of fifty sections and many lengths; works in batches of twenty."""
    portion = [
        board(
            300 + 7 * (n % 500),
            thickness=18 + n % 10,
            depth=30 + n % 5 * 7,
            place=f"shelf {n % 97}",
            yard=f"yard {n % 7}",
        )
        for n in range(1000)
    ]
    for _ in range(boards // 1000):
        with store.writing("Mara") as desk:
            put(desk, portion)
    many = max(works // 20, 1)
    for first in range(0, many, 50):
        with store.writing("Mara") as desk:
            for number in range(first, min(first + 50, many)):
                wish = plan_of(f"Batch {number}", number, [])
                wish["works"] = [
                    {**wish["works"][0], "name": f"Work {number}-{n}", "code": f"A{n}", "how_many": 1}
                    for n in range(20)
                ]
                add_plan(desk, wish)
    if store.engine.dialect.name == "postgresql":
        from sqlalchemy import text

        with store.engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
            connection.execute(text("ANALYZE"))


ASKED: dict[str, Callable[[Desk], Any]] = {
    "the rack's list": lambda desk: listed(desk),
    "boards of a section and a length": lambda desk: listed(
        desk, Wish(kind="board", section=(20, 44), at_least=2000, free=True)
    ),
    "a search by words": lambda desk: listed(desk, Wish(words="shelf 9")),
    "a search that finds nothing": lambda desk: listed(desk, Wish(words="not there at all")),
    "batches": lambda desk: batches(desk),
    "a work by part of its name": lambda desk: copies(desk, words="Work 7-1"),
}


def milliseconds(store: Store, asked: Callable[[Desk], Any]) -> float:
    """Median of 15."""
    took = []
    for _ in range(15):
        with store.reading() as desk:
            begun = time.perf_counter()
            asked(desk)
            took.append(1000 * (time.perf_counter() - begun))
    return statistics.median(took)


def reserving(store: Store) -> float:
    """Ten boards are kept for a plan; median of 15."""
    with store.writing("Mara") as desk:
        plan = add_plan(desk, plan_of("reserving", 1, [])).id
    took = []
    for number in range(15):
        with store.writing("Mara") as desk:
            begun = time.perf_counter()
            reserve(desk, plan, {f"B{100 + 37 * number + n}": 1 for n in range(10)})
            took.append(1000 * (time.perf_counter() - begun))
            release(desk, plan)
    return statistics.median(took)


@pytest.fixture(scope="module", params=["sqlite", "postgres"])
def stores(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Store, Store]]:
    folder = tmp_path_factory.mktemp("rack")
    if request.param == "postgres":
        if not server_is_there():
            pytest.skip("Debian's postgresql is not installed")
        with running_server() as server:
            yield from _two([Place(place_of(server.new(), {}).url, Path(folder)) for _ in range(2)])
    else:
        yield from _two([place_of(str(folder / name), {}) for name in ("large", "small")])


def _two(places: list[Place]) -> Iterator[tuple[Store, Store]]:
    large, small = (open_store(place) for place in places)
    filled(large, LARGE, WORKS)
    filled(small, SMALL, WORKS // 100)
    yield large, small
    large.close()
    small.close()


def bench_a_large_store(stores: tuple[Store, Store], capsys: pytest.CaptureFixture[str]) -> None:
    large, small = stores
    rows = [(what, milliseconds(large, asked), milliseconds(small, asked)) for what, asked in ASKED.items()]
    rows.append(("a reservation of ten boards", reserving(large), reserving(small)))
    with capsys.disabled():
        print(
            f"\n{large.engine.dialect.name}: {LARGE} boards and {WORKS} works beside {SMALL} and {WORKS // 100}"
        )
        for what, one, other in rows:
            print(f"  {what:<34} {one:7.1f} ms, {one / other:5.1f} × {other:.1f} ms")
