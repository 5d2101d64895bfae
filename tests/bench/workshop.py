"""A shared workshop under load: time of each page, fifty people who read and tick at once.

``python tests/bench/workshop.py [PEOPLE] [SECONDS] [FOLDER]`` (50 and 60 where nothing is said)
starts ``longpoint serve --shared`` in a process of its own, plans the example batch in it, and prints the figures.
Times are those of whoever asks, on the same machine, so that they hold the way through the loopback too. A folder that
is named keeps the planned example for the next time.
"""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path
from typing import Any

import httpx

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "examples" / "winter-show.toml"
RUN = "from longpoint.cli import main; main()"
PASSWORD = "five wet brushes"
PAGES = (
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
READ = ("/saw", "/glue/A", "/yard")


class Browser:
    """Somebody signed in, over one connection."""

    def __init__(self, url: str) -> None:
        self.asked = httpx.Client(base_url=url, timeout=120)
        self.asked.post("/sign-in", data={"name": "Mara", "password": PASSWORD}, headers=self.key())
        self.head = self.key()

    def key(self) -> dict[str, str]:
        return {"x-longpoint-key": self.asked.get("/api/key").json()["key"]}

    def planned(self, ident: str) -> dict[str, Any]:
        """Plans a batch and waits until that is done."""
        self.asked.post(
            f"/api/batches/{ident}/plan", json={"rehearsing": False}, headers=self.head
        ).raise_for_status()
        while (state := self.asked.get(f"/api/batches/{ident}/plan").json())["state"] in (
            "waiting",
            "working",
        ):
            time.sleep(0.2)
        assert state["state"] == "done", state
        return dict(state)


def resident(process: int) -> float:
    """Memory of a process. [MiB]"""
    text = Path(f"/proc/{process}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+)", text)
    assert found is not None
    return int(found[1]) / 1024


def computing(process: int) -> float:
    """Processor time that a process has used. [ms]

    References:
        proc(5): utime and stime of /proc/PID/stat in clock ticks.
    """
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return 1000 * (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def pages(browser: Browser, ident: str, process: int) -> None:
    for path in PAGES:
        taken = []
        used = computing(process)
        for _ in range(15):
            began = time.perf_counter()
            answer = browser.asked.get(f"/b/{ident}{path}")
            taken.append(1000 * (time.perf_counter() - began))
            assert answer.status_code == 200
        taken.sort()
        used = (computing(process) - used) / len(taken)
        size = len(answer.content) / 1000
        print(
            f"{path or '/':>12}: {used:5.1f} ms of computing; by the clock least {taken[0]:6.1f} ms, middle "
            f"{taken[7]:6.1f} ms; {size:4.0f} kB"
        )


def people(url: str, ident: str, data: Path, count: int, seconds: float) -> None:
    """Each reads a page and ticks a cut of it, again and again; what was confirmed is looked for in the end."""
    first = Browser(url)
    keys = re.findall(r'data-key="([0-9a-f]+\.0/[^"]+)"', first.asked.get(f"/b/{ident}/saw").text)
    crowd = [Browser(url) for _ in range(count)]
    took: dict[str, list[float]] = {"page": [], "tick": []}
    sent: list[list[str]] = [[] for _ in crowd]
    answers: Counter[int] = Counter()
    twice = 0
    end = time.perf_counter() + seconds

    def person(number: int) -> None:
        nonlocal twice
        browser, turn = crowd[number], 0
        while time.perf_counter() < end:
            began = time.perf_counter()
            answers[browser.asked.get(f"/b/{ident}{READ[turn % len(READ)]}").status_code] += 1
            took["page"].append(time.perf_counter() - began)
            uid = f"load-{number:03d}-{turn:05d}"
            key = keys[(number + count * turn) % len(keys)]
            tick = {"id": uid, "kind": "cut", "key": key, "state": "done" if turn % 3 else ""}
            for again in range(1 + (turn % 5 == 4)):  # some are sent twice, as after a line that was gone
                began = time.perf_counter()
                answer = browser.asked.post(
                    f"/api/batches/{ident}/ticks", json={"ticks": [tick]}, headers=browser.head
                )
                took["tick"].append(time.perf_counter() - began)
                answers[answer.status_code] += 1
                if answer.status_code == 200:
                    sent[number].append(uid) if not again else None
                    twice += again and answer.json()["kept"]
            turn += 1

    threads = [threading.Thread(target=person, args=(number,)) for number in range(count)]
    began = time.perf_counter()
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    over = time.perf_counter() - began
    for what, times in took.items():
        times.sort()
        print(
            f"{what:>12}: {len(times) / over:6.1f} a second, middle {times[len(times) // 2]:.3f} s, one in twenty over "
            f"{times[int(0.95 * len(times))]:.3f} s, slowest {times[-1]:.3f} s"
        )
    print(f"     answers: {dict(answers)}")
    confirmed = {uid for some in sent for uid in some}
    kept = ticks_in(data)
    print(f"       ticks: {len(confirmed)} confirmed, {len(confirmed - kept.keys())} lost, {twice} kept twice, "
          f"{sum(n > 1 for n in kept.values())} doubled in the store")  # fmt: skip
    assert confirmed <= kept.keys() and not twice


def ticks_in(data: Path) -> Counter[str]:
    from sqlalchemy import select

    from longpoint.store import open_store, place_of
    from longpoint.store.tables import Tick

    store = open_store(place_of(str(data), {}))
    with store.reading() as desk:
        found = Counter(desk.session.scalars(select(Tick.uid)))
    store.close()
    return found


def example(browser: Browser) -> str:
    """The example, planned; the one that is there where there is one."""
    there = [row["ident"] for row in browser.asked.get("/api/batches").json() if row["works"] > 1]
    if there:
        return str(there[0])
    made = browser.asked.post("/api/batches", json={"text": DEMO.read_text()}, headers=browser.head)
    ident = str(made.json()["ident"])
    browser.planned(ident)
    return ident


def main(count: int, seconds: float, kept: str) -> None:
    with tempfile.TemporaryDirectory() as fresh, socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()
        folder = kept or fresh
        if not (Path(folder) / "longpoint.db").exists():
            make = [sys.executable, "-c", RUN, "account", "add", "Mara", "--role", "own", "--data", folder]
            subprocess.run(make, input=PASSWORD, text=True, check=True, stdout=subprocess.DEVNULL)
        words = [
            "serve",
            "--shared",
            "--unencrypted",
            "--at",
            "127.0.0.1",
            "--port",
            str(port),
            "--no-show",
            "--data",
            folder,
        ]
        with subprocess.Popen(
            [sys.executable, "-c", RUN, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        ) as server:
            try:
                url = f"http://127.0.0.1:{port}"
                while True:
                    try:
                        httpx.get(f"{url}/api/key")
                        break
                    except httpx.ConnectError:
                        time.sleep(0.2)
                browser = Browser(url)
                ident = example(browser)
                pages(browser, ident, server.pid)
                people(url, ident, Path(folder), count, seconds)
                print(f"memory of the server after that: {resident(server.pid):.1f} MiB")
            finally:
                server.terminate()


if __name__ == "__main__":
    given = [*sys.argv[1:], "", "", ""]
    main(int(given[0] or 50), float(given[1] or 60), given[2])
