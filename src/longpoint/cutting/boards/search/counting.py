"""Which numbers of boards cost exactly so much and are long enough: often there are only a few."""

from __future__ import annotations

from longpoint.cutting.boards.search.core import Core

MOST_VECTORS = 24
MOST_BINS = 200
STEPS = 60_000


def rooms_of(core: Core) -> tuple[list[int], int]:
    """The most that parts and what is left can take of one board of each bin, and what all parts take. [nm].

    A stick that is used up gives its parts a kerf more than it has: the last cut falls beyond its end.
    """
    beyond = max(0, *(fs.offset for fs in core.family_sets))
    rooms = [sum(length + beyond for length, _ in bin_.sticks) for bin_ in core.bins]
    return rooms, sum(item.size * item.demand for item in core.items)


def most_room(core: Core, cost: int) -> float:
    """The most room that so much money and the boards at hand give, whole boards or not. [nm]."""
    rooms, _ = rooms_of(core)
    count = sum(item.demand for item in core.items)
    money, room = float(cost), 0.0
    for b in sorted(range(len(rooms)), key=lambda b: core.bins[b].cost / rooms[b]):
        bin_ = core.bins[b]
        most = count if bin_.limit is None else min(count, bin_.limit)
        copies = float(most) if bin_.cost == 0 else min(float(most), money / bin_.cost)
        room += copies * rooms[b]
        money -= copies * bin_.cost
    return room


def vectors_of(core: Core, *, cost: int, least_room: float) -> list[tuple[int, ...]] | None:
    """Every way to take whole boards for exactly a cost with at least some room in all.

    Args:
        core: The problem.
        cost: What they cost together, cost units.
        least_room: Least room of all of them. [nm]

    Returns:
        How many of each bin, the roomiest first; None where there are too many ways to list.
    """
    if len(core.bins) > MOST_BINS:
        return None
    rooms, _ = rooms_of(core)
    count = sum(item.demand for item in core.items)
    order = sorted(range(len(rooms)), key=lambda b: (-core.bins[b].cost, b))
    # Room that a cost unit buys at best, from each place in the order on.
    rates = [rooms[b] / core.bins[b].cost if core.bins[b].cost else 0.0 for b in order]
    best_rate = [max(rates[k:], default=0.0) for k in range(len(order) + 1)]
    free = [
        sum(rooms[b] * _most(core, b, count) for b in order[k:] if core.bins[b].cost == 0)
        for k in range(len(order) + 1)
    ]
    found: list[tuple[int, ...]] = []
    chosen = [0] * len(rooms)
    steps = STEPS

    def go(k: int, money: int, room: int) -> bool:
        nonlocal steps
        steps -= 1
        if steps < 0 or len(found) > MOST_VECTORS:
            return False
        if room + money * best_rate[k] + free[k] < least_room:
            return True
        if k == len(order):
            if money == 0:
                found.append(tuple(chosen))
            return True
        b = order[k]
        price = core.bins[b].cost
        most = _most(core, b, count) if price == 0 else min(_most(core, b, count), money // price)
        for taken in range(most, -1, -1):
            chosen[b] = taken
            if not go(k + 1, money - taken * price, room + taken * rooms[b]):
                return False
        chosen[b] = 0
        return True

    if not go(0, cost, 0) or len(found) > MOST_VECTORS:
        return None
    return sorted(
        found, key=lambda counts: (-sum(n * room for n, room in zip(counts, rooms, strict=True)), counts)
    )


def _most(core: Core, b: int, count: int) -> int:
    limit = core.bins[b].limit
    return count if limit is None else min(limit, count)
