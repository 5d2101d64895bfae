"""Memory of the server over many plans, each in a process of its own.

``python tests/bench/many_plans.py [HOW MANY]`` (1000 where nothing is said). One small batch is planned for good; from
then on what a plan leaves is copied by a process of its own in its place, since a thousand plans would take hours: what
is measured is the server that begins them, watches them and shows their pages, not the planning. Printed is the memory
of the process that holds the server and whoever asks it.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from longpoint.web import runs
from longpoint.web.app import Settings, make_app
from longpoint.web.serve import hosts_of

SMALL = """title = "Porch"
[[work]]
name = "Reeds"
width = {width}
height = 600
[work.inside]
cross_rails = 1
[[yard]]
thickness = 21
depth = 44
lengths = [{{ length = 2400, price = 6.2 }}]
"""


def resident() -> float:
    """Memory of this process. [MiB]"""
    line = next(one for one in Path("/proc/self/status").read_text().splitlines() if one.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def planned(client: TestClient, key: dict[str, str], ident: str, width: int) -> str:
    client.put(
        f"/api/batches/{ident}", json={"text": SMALL.format(width=width)}, headers=key
    ).raise_for_status()
    client.post(f"/api/batches/{ident}/plan", json={"rehearsing": False}, headers=key).raise_for_status()
    while (state := client.get(f"/api/batches/{ident}/plan").json())["state"] in ("waiting", "working"):
        time.sleep(0.005)
    assert state["state"] == "done", state
    return str(state["run"])


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(Settings(data=Path(folder), hosts=hosts_of(8000)))
        with TestClient(app, base_url="http://127.0.0.1:8000") as client:
            key = {"x-longpoint-key": client.get("/api/key").json()["key"]}
            made = client.post("/api/batches", json={"text": SMALL.format(width=800)}, headers=key)
            ident = made.json()["ident"]
            run = planned(client, key, ident, 801)
            kept = Path(folder) / "kept"
            subprocess.run(
                ["cp", "-r", str(Path(folder) / "batches" / ident / "runs" / run), str(kept)], check=True
            )
            begin = subprocess.Popen

            def copied(words: list[str], **more: Any) -> subprocess.Popen[bytes]:
                if "longpoint.web.apart.plan_run" not in words:
                    return begin(words, **more)
                rest = "cp -r $0/out $0/told $0/own.json $0/plan.pickle $1 && cp $0/end.json $1/end.json"
                return begin(["sh", "-c", rest, str(kept), words[-1]], **more)

            runs.subprocess.Popen = copied  # type: ignore[assignment, misc]
            marks = sorted({10, 100, 200, 500, count})
            for number in range(1, count + 1):
                planned(client, key, ident, 800 + 2 * (number % 2))
                for page in ("plan", "saw", "yard", "works/A"):
                    client.get(f"/b/{ident}/{page}").raise_for_status()
                if number in marks:
                    print(f"{number:6d} plans: {resident():6.1f} MiB", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
