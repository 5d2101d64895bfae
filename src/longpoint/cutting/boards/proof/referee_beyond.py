"""The referee's check of what proves more than a certificate: rows, listed patterns and trees, all in whole numbers.

It works out every worth and every pattern anew from the problem, and walks the tree with integers of any size. It
shares no code with the search.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.proof.referee_proof import (
    clear_lengths,
    companies,
    gives_something,
    least_lengths,
    next_total,
    size_of,
    takes,
)
from longpoint.cutting.boards.values import (
    Board,
    BoardProblem,
    CountsProof,
    ListedProof,
    Tree,
    WantedPart,
)

Integers = npt.NDArray[np.int64]

MOST_PATTERNS = 20_000
MOST_TABLE = 8_000_000  # values of one table
CELLS = 16_384


def proven_beyond(problem: BoardProblem, proof: CountsProof | ListedProof) -> Fraction:
    """What a proof shows that every plan costs at least.

    Args:
        problem: The problem.
        proof: The proof.

    Returns:
        The least cost, money; 0 where the proof does not hold.
    """
    groups = _groups(problem, proof.groups)
    if groups is None or proof.unit <= 0 or proof.over < 0:
        return Fraction(0)
    holds = _counts_hold if isinstance(proof, CountsProof) else _listed_holds
    if not holds(problem, groups, proof):  # type: ignore[arg-type]
        return Fraction(0)
    return next_total(problem, (proof.over + 1) * proof.unit)


def _groups(problem: BoardProblem, named: Sequence[Sequence[str]]) -> list[list[Board]] | None:
    """The boards of each group; None where a board that gives something is in none of them, or in two."""
    boards = {board.name: board for board in problem.boards}
    names = [name for group in named for name in group]
    if len(set(names)) < len(names) or not all(group and set(group) <= boards.keys() for group in named):
        return None
    left = [board for board in problem.boards if board.how_many != 0 and board.name not in set(names)]
    if any(gives_something(problem, board) for board in left):
        return None
    return [[boards[name] for name in group] for group in named]


def _cost(group: Sequence[Board], unit: Fraction) -> int:
    return min(math.floor(Fraction(board.cost) / unit) for board in group)


def _limit(group: Sequence[Board]) -> int | None:
    counts = [board.how_many for board in group]
    return None if None in counts else sum(count or 0 for count in counts)


def _counts_hold(problem: BoardProblem, groups: list[list[Board]], proof: CountsProof) -> bool:
    wanted = sum(part.how_many for part in problem.parts)
    costs = [_cost(group, proof.unit) for group in groups]
    high: list[int] = []
    for group, cost in zip(groups, costs, strict=True):
        limit = _limit(group)
        most = wanted if limit is None else min(wanted, limit)
        high.append(min(most, proof.over // cost) if cost > 0 else most)
    rows: list[list[int]] = []
    least: list[int] = []
    for row in proof.rows:
        prices = dict(row)
        if len(prices) < len(row) or min(prices.values(), default=0) < 0:
            return False
        worths = _worths(problem, groups, prices)
        if worths is None:
            return False
        rows.append(worths)
        least.append(sum(prices.get(part.name, 0) * part.how_many for part in problem.parts))
    return _tree_holds(costs, rows, least, high, proof.over, proof.tree)


def _worths(
    problem: BoardProblem, groups: Sequence[Sequence[Board]], prices: dict[str, int]
) -> list[int] | None:
    """The most that any board of each group is worth; None where the prices are too high to tell."""
    tables: dict[tuple[tuple[int, int, int], ...], Integers] = {}
    found: list[int] = []
    longest = max(length for group in groups for board in group for length in clear_lengths(problem, board))
    for group in groups:
        best = 0
        for board in group:
            for members, extra in companies(problem):
                entries = tuple(
                    sorted(
                        (prices[part.name], size_of(problem, part), part.how_many)
                        for part in members
                        if prices.get(part.name, 0) > 0 and takes(part, board)
                    )
                )
                if not entries:
                    continue
                if entries not in tables:
                    room = longest + extra
                    rate = max(Fraction(price, size) for price, size, _ in entries)
                    top = math.floor(max(room, 0) * rate)
                    if top > MOST_TABLE:
                        return None
                    tables[entries] = least_lengths(list(entries), top, room)
                worth = sum(
                    int(np.flatnonzero(tables[entries] <= length + extra)[-1])
                    for length in clear_lengths(problem, board)
                    if length + extra >= 0
                )
                best = max(best, worth)
        found.append(best)
    return found


def _tree_holds(
    costs: Sequence[int],
    rows: Sequence[Sequence[int]],
    least: Sequence[int],
    high: Sequence[int],
    over: int,
    tree: Tree,
) -> bool:
    """Whether every leaf of the tree shows that nothing there costs `over` or less."""
    matrix = np.array([list(row) for row in rows], dtype=object).reshape(len(rows), len(costs))
    prices = np.array(list(costs), dtype=object)
    boxes = [(np.zeros(len(costs), dtype=object), np.array(list(high), dtype=object))]
    for node in tree:
        if not boxes:
            return False
        lower, upper = boxes.pop()
        first, second = node
        if isinstance(second, int):
            if not (0 <= first < len(costs) and lower[first] <= second < upper[first]):
                return False
            below, above = upper.copy(), lower.copy()
            below[first], above[first] = second, second + 1
            boxes += [(above, upper), (lower, below)]
            continue
        if first < 0 or any(y < 0 or not 0 <= r < len(rows) for r, y in second):
            return False
        reduced = first * prices
        bound = 0
        for r, y in second:
            reduced = reduced - y * matrix[r]
            bound += y * least[r]
        bound += int(np.where(reduced >= 0, reduced * lower, reduced * upper).sum()) if len(costs) else 0
        if bound <= first * over:
            return False
    return not boxes


def _listed_holds(problem: BoardProblem, groups: list[list[Board]], proof: ListedProof) -> bool:
    named = {part.name: part for part in problem.parts}
    names = [name for group in proof.parts for name in group]
    if sorted(names) != sorted(named) or not all(proof.parts) or len(proof.parts) != len(proof.prices):
        return False
    if proof.scale < 1 or len(proof.charges) != len(groups) or min((*proof.prices, *proof.charges)) < 0:
        return False
    kinds = [[named[name] for name in group] for group in proof.parts]
    demand = [sum(part.how_many for part in kind) for kind in kinds]
    limits = [_limit(group) for group in groups]
    if any(charge and limit is None for charge, limit in zip(proof.charges, limits, strict=True)):
        return False
    costs = [_cost(group, proof.unit) for group in groups]
    earned = sum(price * count for price, count in zip(proof.prices, demand, strict=True))
    paid = sum(charge * (limit or 0) for charge, limit in zip(proof.charges, limits, strict=True))
    room = proof.scale * proof.over + paid - earned
    patterns: set[tuple[int, tuple[int, ...]]] = set()
    for g, group in enumerate(groups):
        need = proof.scale * costs[g] + proof.charges[g]
        for counts in _patterns(problem, kinds, demand, proof.prices, group, need - room):
            if sum(price * count for price, count in zip(proof.prices, counts, strict=True)) > need:
                return False  # the prices are no certificate
            patterns.add((g, counts))
            if len(patterns) > MOST_PATTERNS:
                return False
    listed = sorted(patterns)
    limited = [g for g, limit in enumerate(limits) if limit is not None]
    rows = [[counts[i] for _, counts in listed] for i in range(len(kinds))]
    rows += [[-1 if g == mine else 0 for g, _ in listed] for mine in limited]
    high = [
        max(-(-wanted // count) for wanted, count in zip(demand, counts, strict=True) if count)
        for _, counts in listed
    ]
    least = [*demand, *(-(limits[g] or 0) for g in limited)]
    return _tree_holds([costs[g] for g, _ in listed], rows, least, high, proof.over, proof.tree)


def _patterns(
    problem: BoardProblem,
    kinds: Sequence[Sequence[WantedPart]],
    demand: Sequence[int],
    prices: Sequence[int],
    group: Sequence[Board],
    need: int,
) -> Iterator[tuple[int, ...]]:
    """How many of each kind: what a board of a group could hold, full, and worth at least a need."""
    lengths = [clear_lengths(problem, board) for board in group]
    if any(len(mine) > 1 for mine in lengths):
        yield (1,) * len(kinds)  # more than one stick: not listed here, so never proven
        return
    longest = max((mine[0] for mine in lengths if mine), default=-1)
    together = [(frozenset(part.name for part in members), extra) for members, extra in companies(problem)]
    for names, extra in together:
        if any(names < more and extra <= roomier for more, roomier in together):
            continue
        mine = [
            k
            for k, kind in enumerate(kinds)
            if any(part.name in names and takes(part, board) for part in kind for board in group)
        ]
        if longest + extra >= 0 and mine:
            sizes = [min(size_of(problem, part) for part in kinds[k]) for k in mine]
            found = _filled(
                sizes, [demand[k] for k in mine], [prices[k] for k in mine], longest + extra, need
            )
            for counts in found:
                spread = [0] * len(kinds)
                for k, count in zip(mine, counts, strict=True):
                    spread[k] = count
                yield tuple(spread)


def _filled(
    sizes: Sequence[int], most: Sequence[int], prices: Sequence[int], room: int, need: int
) -> Iterator[tuple[int, ...]]:
    """Counts that could take not one more, worth at least a need: part after part, under what the rest can add."""
    n = len(sizes)
    cell = room // CELLS + 1
    width = room // cell + 1
    add = np.zeros(
        (n + 1, width), dtype=np.int64
    )  # what parts from k on add at most, sizes rounded down to cells
    for k in reversed(range(n)):
        add[k] = add[k + 1]
        short = sizes[k] // cell
        for count in range(1, min(most[k], width // max(short, 1) + 1) + 1):
            if count * short >= width:
                break
            np.maximum(
                add[k, count * short :], add[k + 1, : width - count * short] + count * prices[k],
                out=add[k, count * short :],
            )  # fmt: skip
    shortest = [(sizes[k], k) for k in range(n)]
    # (part, counts so far, room, worth) still to be gone on with
    open_: list[tuple[int, tuple[int, ...], int, int]] = [(0, (), room, 0)]
    while open_:
        k, counts, left, worth = open_.pop()
        if worth + int(add[k, left // cell]) < need:
            continue
        if k == n:
            if any(counts) and not any(size <= left and counts[i] < most[i] for size, i in shortest):
                yield counts
            continue
        for count in range(min(most[k], left // sizes[k]) + 1):
            open_.append((k + 1, (*counts, count), left - count * sizes[k], worth + count * prices[k]))


def most_left(problem: BoardProblem, cost: Fraction) -> Fraction:
    """What offcuts of a plan of some cost are worth at most: what it could buy of the best timber, less all parts.

    Args:
        problem: The problem.
        cost: What the plan costs.

    Returns:
        The most, money.
    """
    useful = [one for one in problem.shop.offcuts if one.share > 0]
    if not useful:
        return Fraction(0)
    beyond = max([0, *(extra for _, extra in companies(problem))])
    wanted = sum(part.how_many for part in problem.parts)
    offers: list[tuple[Fraction, Fraction]] = []  # room, price of it
    room = Fraction(0)
    for board in problem.boards:
        mine = Fraction(sum(length + beyond for length in clear_lengths(problem, board)))
        many = wanted if board.how_many is None else min(wanted, board.how_many)
        if Fraction(board.cost) == 0:
            room += many * mine
        elif mine > 0:
            offers.append((many * mine, many * Fraction(board.cost)))
    left = cost
    for length, price in sorted(
        offers, key=lambda offer: offer[0] / offer[1] if offer[1] else 0, reverse=True
    ):
        spent = min(left, price)
        room += length * spent / price if price else 0
        left -= spent
    room -= sum(part.how_many * size_of(problem, part) for part in problem.parts)
    if room < min(one.at_least for one in useful):
        return Fraction(0)
    sold = [board for board in problem.boards if not board.at_hand] or list(problem.boards)
    lowest = min(Fraction(board.cost) / board.length for board in sold)
    return max(Fraction(0), max(one.share for one in useful) * lowest * room - problem.shop.keeping)


def fewest_pickups(problem: BoardProblem) -> int:
    """Pick-ups that no plan can do without: every length by itself on boards that hold nothing else.

    Args:
        problem: The problem.

    Returns:
        The number.
    """
    widest = max(extra for _, extra in companies(problem))
    lengths: dict[tuple[int, int], list[WantedPart]] = {}
    for part in problem.parts:
        lengths.setdefault((part.round, part.length + part.extra), []).append(part)
    total = 0
    for alike in lengths.values():
        fits = [
            sum(max(0, length + widest) // size_of(problem, part) for length in clear_lengths(problem, board))
            for part in alike
            for board in problem.boards
            if board.how_many != 0 and takes(part, board)
        ]
        total += -(-sum(part.how_many for part in alike) // max([1, *fits]))
    return total
