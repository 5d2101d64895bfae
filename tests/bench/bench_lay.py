"""Lays on published strip instances, and on a batch of 60 works: gap by family, and time.

Run as a program it prints the whole table: ``python tests/bench/bench_lay.py [effort] [name part]
[straight | free]``. The instances
are other people's (see the README beside them) and lie beside the repository; without them this is skipped.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections import Counter, defaultdict
from pathlib import Path

import numpy as np
import pytest

from longpoint.cutting.lay.ground import Ground, Stock, Want
from longpoint.cutting.lay.problem import LayPiece, LayProblem
from longpoint.cutting.lay.solve import solve_ground, solve_strip
from longpoint.cutting.lay.strip import lay_pieces

INSTANCES = (
    Path(os.environ.get("LONGPOINT_INSTANCES", Path(__file__).resolve().parents[1] / "published"))
    / "strip-2d.json"
)

pytestmark = pytest.mark.bench


def known(instance: dict, *, turn: bool, any_cut: bool) -> int | None:
    if any_cut:
        return instance.get("optimum_rotated") if turn else instance["optimum_or_best"]
    return (instance.get("guillotine_optimum") or {}).get("rot" if turn else "fix")


def run(instance: dict, *, turn: bool, any_cut: bool, effort: int) -> tuple[int, int, float]:
    sizes = Counter(tuple(item) for item in instance["items"])
    pieces = tuple(
        LayPiece(f"{across} × {along}", across, along, count, turn)
        for (across, along), count in sizes.items()
    )
    begun = time.process_time()
    plan = lay_pieces(LayProblem(pieces, instance["width"], any_cut=any_cut), effort=effort)
    return plan.length // 10**6, plan.at_least // 10**6, time.process_time() - begun


def table(effort: int, part: str, say, cuts=(False, True)) -> None:
    instances = [each for each in json.loads(INSTANCES.read_text()) if part in each["name"]]
    for any_cut in cuts:
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


def test_every_published_instance_stands_between_its_bound_and_no_better_than_its_optimum(capsys):
    with capsys.disabled():
        table(2_000, "", lambda text: None if text.startswith("    ") else sys.stdout.write(text + "\n"))


def batch_of_60(seed: int, *, turn: bool) -> Ground:
    """70 pieces of 30 sizes for works of 300 to 2000 mm, cut  (depth 28, wrap 40, grip 20)."""
    rng = np.random.default_rng(seed)
    sizes = [
        (int(rng.integers(30, 200)) * 10 + 176, int(rng.integers(30, 200)) * 10 + 176) for _ in range(30)
    ]
    counts = [1] * 30
    for _ in range(40):
        counts[int(rng.integers(30))] += 1
    wants = [Want(min(w, 2096), h, n, turn) for (w, h), n in zip(sizes, counts, strict=True)]
    return Ground(tuple(wants), (Stock(2100),))


def by_hand(ground: Ground) -> int:
    """Rows as one lays them by hand: longest pieces first, beside each other until the roll is full."""
    pieces = sorted(((w.along, w.across) for w in ground.wants for _ in range(w.count)), reverse=True)
    length = room = 0
    for along, across in pieces:
        if across > room:
            length, room = length + along, ground.stocks[0].width
        room -= across
    return length


@pytest.mark.parametrize("turn", [False, True], ids=["warp kept", "may turn"])
def test_a_batch_of_60_works_beats_rows_laid_by_hand(turn, capsys):
    solve_strip(batch_of_60(99, turn=turn), effort=100, any_cut=False)  # compiled before it is timed
    for seed in range(3):
        ground = batch_of_60(seed, turn=turn)
        begun = time.process_time()
        puts, bound, _ = solve_strip(ground, effort=20_000, any_cut=False)
        seconds = time.process_time() - begun
        length, hand = ground.used(puts)[0], by_hand(ground)
        with capsys.disabled():
            sys.stdout.write(
                f"{'may turn' if turn else 'warp kept'} {seed}: {length} mm, at least {bound} "
                f"(within {100 * (length - bound) / length:.2f} %), by hand {hand} mm "
                f"({hand / length:.3f} times), {seconds:.1f} s on one core\n"
            )
        assert length < hand
        assert (length - bound) / length < 0.025


def flaws_of(seed: int, kind: str) -> tuple[tuple[int, int, int, int], ...]:
    """Flaws as left, near, right, far: a join and two slubs near the free end, five joins, or eight slubs in 50 m."""
    if kind == "first":
        return ((0, 3000, 2100, 3050), (700, 1500, 760, 1540), (1500, 4800, 1540, 4900))
    rng = np.random.default_rng(90 + seed)
    joins = tuple((0, y, 2100, y + 60) for y in sorted(int(v) for v in rng.integers(2000, 48000, 5)))
    slubs = []
    for _ in range(8):
        x, y = int(rng.integers(0, 2000)), int(rng.integers(0, 50000))
        slubs.append((x, y, x + 60, y + 40))
    return joins if kind == "joins" else tuple(slubs)


@pytest.mark.parametrize("kind", ["first", "joins", "slubs"])
def test_batches_on_a_roll_with_flaws_come_near_their_bound(kind, capsys):
    for seed in range(2):
        rng = np.random.default_rng(seed)
        sizes = [
            (int(rng.integers(30, 200)) * 10 + 176, int(rng.integers(30, 200)) * 10 + 176) for _ in range(30)
        ]
        wants = tuple(Want(min(w, 2096), h, int(rng.integers(1, 4)), may_turn=False) for w, h in sizes)
        ground = Ground(wants, (Stock(2100, blocked=flaws_of(seed, kind)),))
        begun = time.process_time()
        found = solve_ground(ground, effort=20_000)
        seconds = time.process_time() - begun
        length = ground.used(found.puts)[0]
        with capsys.disabled():
            sys.stdout.write(
                f"{kind} {seed}: {length} mm, at least {found.length} "
                f"(within {100 * (length - found.length) / length:.2f} %), {seconds:.1f} s on one core\n"
            )
        assert (length - found.length) / length < 0.06


if __name__ == "__main__":
    table(
        int(sys.argv[1]) if len(sys.argv) > 1 else 20_000,
        sys.argv[2] if len(sys.argv) > 2 else "",
        lambda text: sys.stdout.write(text + "\n") and sys.stdout.flush(),
        {"straight": (False,), "free": (True,)}.get(sys.argv[3] if len(sys.argv) > 3 else "", (False, True)),
    )
