"""Random kills of whole commands: plan and replan, killed at a moment of chance, again and again into one folder.

``python tests/hard/kills.py COUNT [SEED]`` says how many kills fell into which command and whether anything was lost.
After each kill a reader must find one whole plan (every file that ``plan.json`` names, unchanged), and foreign files.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

from longpoint.export.manifest import sha256

BATCH = """
title = "{title}"
[[work]]
name = "Small"
width = {width}
height = 389
[[yard]]
name = "bars"
thickness = 21
depth = 44
serves = ["bars"]
lengths = [{{ length = 2400, price = 6.2 }}]
"""
FOREIGN = ("drawings/my-sketch.svg", "tables/clients.csv", "notes.txt")
SAID = "said.txt"
"""What the command said last."""

EVENTS = '[[split]]\nboard = "2400"\nnumber = 1\nat = 700\n'


def whole(out: Path, ledger: str) -> str:
    """What stands against a folder's being one whole plan; "" for nothing."""
    if not (out / ledger).exists():
        return f"no {ledger}"
    for row in json.loads((out / ledger).read_bytes())["files"]:
        file = out / row["path"]
        if not file.is_file() or sha256(file.read_bytes()) != row["sha256"]:
            return f"{row['path']} is not as {ledger} says"
    return ""


def run(words: list[str], cwd: Path, *, kill_after: float | None = None) -> tuple[bool, float]:
    """A command in a child of this process, which has everything loaded; whether it ended, and how long it took."""
    begun = time.monotonic()
    child = os.fork()
    if child == 0:
        try:
            os.chdir(cwd)
            said = os.open(SAID, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            sys.argv = ["longpoint", *words]
            from longpoint.cli import main

            main()
            os._exit(0)
        except SystemExit as end:
            os._exit(int(end.code or 0))
        except BaseException:
            os.write(2, traceback.format_exc().encode())
        finally:
            os._exit(99)
    if kill_after is not None:
        while time.monotonic() - begun < kill_after:
            if os.waitpid(child, os.WNOHANG)[0]:
                return True, time.monotonic() - begun
            time.sleep(0.002)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status) and os.WEXITSTATUS(status) != 0:
        raise SystemExit(f"{words} ended with {os.WEXITSTATUS(status)}:\n{(cwd / SAID).read_text()}")
    return not os.WIFSIGNALED(status), time.monotonic() - begun


def main() -> int:
    """Kills, looks, counts."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    luck = random.Random(seed)
    found: Counter[str] = Counter()
    lost: list[str] = []
    import longpoint.export.results
    import longpoint.jobs.replan  # noqa: F401 - so that no child loads it anew

    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        out, rest = top / "out", top / "rest"
        (top / "e.toml").write_text(EVENTS)
        for title, width in (("one", 517), ("two", 643)):
            (top / f"{title}.toml").write_text(BATCH.format(title=title, width=width))
        plan = ["plan", "one.toml", "-o", "out", "--by-rule", "--unrehearsed"]
        _, first = run(plan, top)
        replan = ["replan", "out/plan.json", "e.toml", "-o", "rest"]
        run(replan, top)
        for path in FOREIGN:
            for folder in (out, rest):
                (folder / path).parent.mkdir(parents=True, exist_ok=True)
                (folder / path).write_text("mine")
        longest = {"plan": first, "replan": first}
        for number in range(count):
            replanning = luck.random() < 0.4
            kind = "replan" if replanning else "plan"
            words = replan if replanning else [*plan[:1], luck.choice(("one.toml", "two.toml")), *plan[2:]]
            # Most kills near the end, where results are put in place.
            share = luck.random() if luck.random() < 0.4 else 0.6 + 0.45 * luck.random()
            ended, took = run(words, top, kill_after=share * longest[kind])
            if ended:
                longest[kind] = took
            found[f"{kind} {'ended before' if ended else 'killed'}"] += 1
            for folder, ledger in ((out, "plan.json"), (rest, "replan.json")):
                against = whole(folder, ledger)
                gone = [path for path in FOREIGN if not (folder / path).exists()]
                if against or gone:
                    lost.append(f"kill {number} of {words}: {against} {gone}")
        run([*plan[:1], "one.toml", *plan[2:]], top)
        run(replan, top)
        left = [
            path.name
            for path in (*top.iterdir(), *out.iterdir(), *rest.iterdir())
            if "longpoint-" in path.name
        ]
        if left:
            lost.append(f"left over: {left}")
    print(f"{count} runs, seed {seed}: {dict(found)}; {len(lost)} lost")
    for line in lost[:20]:
        print(f"  {line}")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
