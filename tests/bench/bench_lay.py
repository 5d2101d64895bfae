"""Lays on published strip instances, and on a batch of 60 works: gap by family, and time.

Run as a program it prints the whole table: ``python tests/bench/bench_lay.py [effort] [name part]``. The instances
are other people's (see the README beside them) and lie beside the repository; without them this is skipped.
"""

from __future__ import annotations

import json
import sys
import time
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from longpoint.cutting.lay_ground import Ground, Stock, Want
from longpoint.cutting.lay_solve import solve_strip

INSTANCES = Path(__file__).resolve().parents[2].parent / "shared" / "bench" / "strip-2d.json"

pytestmark = [
    pytest.mark.bench,
    pytest.mark.skipif(not INSTANCES.exists(), reason="the published instances are not here"),
]


def ground_of(instance: dict, *, turn: bool) -> Ground:
    sizes = Counter(tuple(item) for item in instance["items"])
    wants = tuple(Want(across, along, count, turn) for (across, along), count in sizes.items())
    return Ground(wants, (Stock(instance["width"]),))


def known(instance: dict, *, turn: bool, any_cut: bool) -> int | None:
    if any_cut:
        return instance.get("optimum_rotated") if turn else instance["optimum_or_best"]
    return (instance.get("guillotine_optimum") or {}).get("rot" if turn else "fix")


def run(instance: dict, *, turn: bool, any_cut: bool, effort: int) -> tuple[int, int, float]:
    ground = ground_of(instance, turn=turn)
    begun = time.process_time()
    puts, bound = solve_strip(ground, effort=effort, any_cut=any_cut)
    return ground.used(puts)[0], bound, time.process_time() - begun


def table(effort: int, part: str, say) -> None:
    instances = [each for each in json.loads(INSTANCES.read_text()) if part in each["name"]]
    for any_cut in (False, True):
        for turn in (False, True):
            rows = defaultdict(list)
            for instance in instances:
                length, bound, seconds = run(instance, turn=turn, any_cut=any_cut, effort=effort)
                best = known(instance, turn=turn, any_cut=any_cut)
                assert best is None or bound <= best, (instance["name"], bound, best)
                if any_cut or best is not None:
                    assert best is None or length >= best, (instance["name"], length, best)
                rows[instance["family"]].append((length, bound, best, seconds))
                say(f"    {instance['name']:22} {length:6} bound {bound:6} known {best} {seconds:6.2f} s")
            head = f"{'any cut' if any_cut else 'straight cuts'}, {'turned' if turn else 'not turned'}"
            say(f"{head:34} n   gap   proven  optimum met/known   s each")
            for family, found in rows.items():
                gap = 100 * sum((length - bound) / length for length, bound, _, _ in found) / len(found)
                proven = sum(length == bound for length, bound, _, _ in found)
                met = sum(length == best for length, _, best, _ in found if best is not None)
                of = sum(best is not None for _, _, best, _ in found)
                each = sum(seconds for *_, seconds in found) / len(found)
                say(f"  {family:32}{len(found):3} {gap:6.2f}% {proven:5} {met:8}/{of:<8} {each:8.2f}")


def test_every_published_instance_within_its_gap_by_family():
    table(20_000, "", lambda text: None)


if __name__ == "__main__":
    table(
        int(sys.argv[1]) if len(sys.argv) > 1 else 20_000,
        sys.argv[2] if len(sys.argv) > 2 else "",
        lambda text: sys.stdout.write(text + "\n") and sys.stdout.flush(),
    )
