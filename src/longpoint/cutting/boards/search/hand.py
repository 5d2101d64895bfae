"""First fit by falling length, the way it is done by hand: a start for the solver and a measure of its worth."""

from __future__ import annotations

from collections import Counter

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import Column

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


class _Open:
    """An open board: what lies on each stick, and the room left on each at the very most."""

    def __init__(self, core: Core, b: int, widest_offset: int) -> None:
        self.core = core
        self.b = b
        self.sticks: list[Takes] = [{} for _ in core.bins[b].sticks]
        self.rooms = [length + widest_offset for length, _ in core.bins[b].sticks]

    def take(self, i: int) -> bool:
        """Take one more of an item on the first stick that can."""
        size = self.core.items[i].size
        for s, takes in enumerate(self.sticks):
            if size > self.rooms[s]:
                continue
            takes[i] = takes.get(i, 0) + 1
            if stick_fits(self.core, self.core.bins[self.b].sticks[s], takes):
                self.rooms[s] -= size
                return True
            takes[i] -= 1
        return False


def first_fit(core: Core, order: list[int]) -> list[Column] | None:
    """Lay each part, longest first, on the first open board that takes it, else open the first bin that does.

    Args:
        core: The problem.
        order: In which order bins are tried when a board is to be opened.

    Returns:
        A column per board, or None where a part finds none.
    """
    opened: list[_Open] = []
    used: Counter[int] = Counter()
    allowed = [frozenset(bin_.allowed) for bin_ in core.bins]
    widest = max(fs.offset for fs in core.family_sets)
    shortest = min(item.size for item in core.items)
    live: list[_Open] = []
    for i in sorted(range(len(core.items)), key=lambda i: (-core.items[i].length, i)):
        left = core.items[i].demand
        for board in live:
            while left and i in allowed[board.b] and board.take(i):
                left -= 1
            if not left:
                break
        while left:
            for b in order:
                limit = core.bins[b].limit
                if i not in allowed[b] or (limit is not None and used[b] >= limit):
                    continue
                board = _Open(core, b, widest)
                if board.take(i):
                    break
            else:
                return None
            used[board.b] += 1
            left -= 1
            while left and board.take(i):
                left -= 1
            opened.append(board)
            live.append(board)
        live = [board for board in live if max(board.rooms) >= shortest]
    columns = [as_column(board.b, board.sticks) for board in opened]
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
