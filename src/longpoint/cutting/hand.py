"""First fit by falling length, the way it is done by hand: a start for the solver and a measure of its worth."""

from __future__ import annotations

from collections import Counter

from longpoint.cutting.core import Core
from longpoint.cutting.pricing import Column

Takes = dict[int, int]


def stick_fits(core: Core, stick: tuple[int, int], takes: Takes) -> bool:
    """Whether one stick can give what is asked, its last cut safe.

    Args:
        core: The problem.
        stick: Its length and what is held beyond it. [nm]
        takes: How many of each item.

    Returns:
        True where it can.
    """
    taken = {i: count for i, count in takes.items() if count}
    if not taken:
        return True
    families = frozenset(core.items[i].family for i in taken)
    total = sum(core.items[i].size * count for i, count in taken.items())
    offsets = [fs.offset for fs in core.family_sets if families <= fs.families]
    if not offsets or total > stick[0] + max(offsets):
        return False
    if core.safe == 0:
        return True
    latest = max(core.items[i].round for i in taken)
    longest = max(core.items[i].length for i in taken if core.items[i].round == latest)
    return longest + stick[0] + max(offsets) - total + stick[1] >= core.safe


def as_column(b: int, sticks: list[Takes]) -> Column:
    """A column from what lies on each stick of a bin.

    Args:
        b: Index of the bin.
        sticks: How many of each item on each stick.

    Returns:
        The column.
    """
    whole: Counter[int] = Counter()
    for takes in sticks:
        whole.update({i: count for i, count in takes.items() if count})
    return Column(
        b,
        tuple(sorted(whole.items())),
        tuple(tuple(sorted((i, count) for i, count in takes.items() if count)) for takes in sticks),
    )


def _cheapest_for(core: Core, used: Counter[int], column: Column) -> Column:
    """The same parts from the cheapest single-stick bin that is still to be had."""
    best = column
    if len(column.sticks) != 1:
        return column
    takes = dict(column.takes)
    for b, bin_ in enumerate(core.bins):
        free = bin_.limit is None or used[b] < bin_.limit or b == column.bin
        if not free or len(bin_.sticks) != 1 or bin_.cost >= core.bins[best.bin].cost:
            continue
        if set(takes) <= set(bin_.allowed) and stick_fits(core, bin_.sticks[0], takes):
            best = as_column(b, [takes])
    return best


def first_fit(core: Core, order: list[int]) -> list[Column] | None:
    """Lay each part, longest first, on the first open board that takes it, else open the first bin that does.

    Args:
        core: The problem.
        order: In which order bins are tried when a board is to be opened.

    Returns:
        A column per board, or None where a part finds none.
    """
    open_bins: list[int] = []
    contents: list[list[Takes]] = []
    used: Counter[int] = Counter()
    allowed = [frozenset(bin_.allowed) for bin_ in core.bins]
    by_length = sorted(range(len(core.items)), key=lambda i: (-core.items[i].length, i))
    for i in by_length:
        first_board = 0
        for _ in range(core.items[i].demand):
            placed = False
            for k in range(first_board, len(open_bins)):
                if i not in allowed[open_bins[k]]:
                    continue
                for s, stick in enumerate(core.bins[open_bins[k]].sticks):
                    takes = contents[k][s]
                    takes[i] = takes.get(i, 0) + 1
                    if stick_fits(core, stick, takes):
                        placed, first_board = True, k
                        break
                    takes[i] -= 1
                if placed:
                    break
            if placed:
                continue
            for b in order:
                bin_ = core.bins[b]
                if i not in allowed[b] or (bin_.limit is not None and used[b] >= bin_.limit):
                    continue
                fitting = next(
                    (s for s, stick in enumerate(bin_.sticks) if stick_fits(core, stick, {i: 1})), None
                )
                if fitting is None:
                    continue
                used[b] += 1
                open_bins.append(b)
                contents.append([{} for _ in bin_.sticks])
                contents[-1][fitting][i] = 1
                placed, first_board = True, len(open_bins) - 1
                break
            if not placed:
                return None
    columns = [as_column(b, sticks) for b, sticks in zip(open_bins, contents, strict=True)]
    for k, column in enumerate(columns):
        better = _cheapest_for(core, used, column)
        used[column.bin] -= 1
        used[better.bin] += 1
        columns[k] = better
    return columns


def total_cost(core: Core, columns: list[Column]) -> int:
    """Cost of some boards, cost units."""
    return sum(core.bins[column.bin].cost for column in columns)


def plan_by_hand(core: Core) -> list[Column] | None:
    """The cheapest of a few first-fit plans: cheapest per length first, dearest last, long first, short first.

    Args:
        core: The problem.

    Returns:
        A column per board, or None where no such plan meets the demand.
    """
    numbers = list(range(len(core.bins)))

    def clear(b: int) -> int:
        return sum(length for length, _ in core.bins[b].sticks) or 1

    orders = [
        sorted(numbers, key=lambda b: (core.bins[b].cost / clear(b), -clear(b), b)),
        sorted(numbers, key=lambda b: (-clear(b), b)),
        sorted(numbers, key=lambda b: (clear(b), b)),
        sorted(numbers, key=lambda b: (len(core.bins[b].allowed), core.bins[b].cost / clear(b), b)),
    ]
    orders += [
        [b, *(other for other in orders[0] if other != b)] for b in numbers if core.bins[b].limit is None
    ][:12]
    best: list[Column] | None = None
    for order in orders:
        plan = first_fit(core, order)
        if plan is not None and (best is None or total_cost(core, plan) < total_cost(core, best)):
            best = plan
    return best
