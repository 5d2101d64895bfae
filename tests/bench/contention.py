"""Many benches on one PostgreSQL rack: no board given twice, no tick lost; how fast, and the slowest answers.

``python tests/bench/contention.py SECONDS [PROCESSES]`` (300 and 16 where nothing is said) prints the figures.
"""

from __future__ import annotations

import json
import os
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from longpoint.errors import FaultsError
from longpoint.store import ConflictError, Desk, Place, open_store, place_of
from longpoint.store.book.document import boards_of
from longpoint.store.book.plans import add_plan, close_batch
from longpoint.store.book.ticks import new_uid, tick_cut
from longpoint.store.keeping.archive import check_store
from longpoint.store.rack.stock import listed, put
from longpoint.store.tables import Tick
from store.databases import running_server
from store.making import board, plan_of

BOARDS = 60


def bench(place: Place, number: int, seconds: float, out: Path) -> None:
    """One bench: plans with boards that others want too, ticks cuts, drops what is left; notes what was confirmed."""
    luck = random.Random(number)
    store = open_store(place)
    took: dict[str, list[float]] = {"list": [], "plan": [], "tick": [], "drop": []}
    refused: Counter[str] = Counter()
    ticks: list[str] = []

    def timed(what: str, change: Callable[[Desk], Any]) -> Any:
        begun = time.perf_counter()
        try:
            with store.writing(f"bench {number}") as desk:
                return change(desk)
        except FaultsError as error:
            refused[error.faults[0].code] += 1
            return None
        except ConflictError:
            refused["conflict"] += 1
            return None
        finally:
            took[what].append(time.perf_counter() - begun)

    def cut(plan: int, key: str, uid: str) -> Any:
        return timed("tick", lambda desk: tick_cut(desk, plan, key, uid=uid))

    ends = time.monotonic() + seconds
    turn = 0
    while time.monotonic() < ends:
        turn += 1
        things = timed("list", lambda desk: listed(desk, limit=50)) or []
        wish = plan_of(
            f"bench {number}", turn, [one.label for one in luck.sample(things, min(len(things), 3))]
        )
        plan = timed("plan", partial(add_plan, document=wish, from_rack=True))
        if plan is None:
            continue
        for one in boards_of(wish)[: luck.randrange(3)]:
            uid = new_uid()
            if cut(plan.id, one.cut_key(1), uid) is not None:
                ticks.append(uid)
        timed("drop", partial(close_batch, number=plan.batch, state="dropped"))
        with store.writing(f"bench {number}") as desk:
            if len(things) < BOARDS // 2:
                put(desk, [board()])
    out.write_text(json.dumps({"took": took, "refused": refused, "ticks": ticks}))
    store.close()


def hammered(place: Place, *, processes: int, seconds: float, folder: Path) -> tuple[list[str], str]:
    """Lets benches loose on a rack; what is wrong afterwards, and the figures."""
    store = open_store(place)
    with store.writing("setup") as desk:
        put(desk, [board(how_many=BOARDS)])
    store.close()
    children = []
    for number in range(processes):
        child = os.fork()
        if child == 0:
            code = 1
            try:
                bench(place, number, seconds, folder / f"{number}.json")
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    found = [f"bench {number} ended with {code}" for number, code in enumerate(codes) if code]
    said = [json.loads(file.read_text()) for file in folder.glob("*.json")]
    store = open_store(place)
    found += check_store(store)
    with store.reading() as desk:
        kept = {row.uid for row in desk.session.query(Tick)}
    lost = [uid for one in said for uid in one["ticks"] if uid not in kept]
    found += [f"{len(lost)} confirmed ticks are lost"] if lost else []
    with store.engine.connect() as connection:
        from sqlalchemy import text

        twice = connection.execute(
            text("SELECT item_id FROM reservation GROUP BY item_id HAVING sum(amount) > 1")
        ).all()
        taken = connection.execute(
            text("SELECT item_id FROM event WHERE kind = 'taking' GROUP BY item_id HAVING count(*) > 1")
        ).all()
    found += [f"board {row[0]} was given twice" for row in (*twice, *taken)]
    store.close()
    lines = [
        f"{processes} processes, {seconds:g} s, {sum(len(one['ticks']) for one in said)} ticks confirmed"
    ]
    for what in ("list", "plan", "tick", "drop"):
        every = sorted(value for one in said for value in one["took"][what])
        if every:
            middle, late, last = (every[int(len(every) * share)] for share in (0.5, 0.99, 0.999999))
            lines.append(
                f"{what:<5} {len(every) / seconds:7.1f} a second; median {1000 * middle:.1f} ms, "
                f"1 in 100 over {1000 * late:.1f} ms, slowest {1000 * last:.1f} ms"
            )
    refused = sum((Counter(one["refused"]) for one in said), Counter())
    lines.append(f"refused: {dict(refused)}")
    return found, "\n".join(lines)


def main() -> int:
    """The whole of it."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 300.0
    processes = int(sys.argv[2]) if len(sys.argv) > 2 else 16
    with running_server() as server, tempfile.TemporaryDirectory() as name:
        place = Place(place_of(server.new(), {}).url, Path(name))
        found, figures = hammered(place, processes=processes, seconds=seconds, folder=Path(name))
    print(figures)
    for line in found[:20]:
        print(f"  {line}")
    print(f"{len(found)} wrong")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
