"""The referee's own proof: whether a certificate's prices hold, by a knapsack that shares nothing with the solver."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.values import (
    Board,
    BoardProblem,
    Certificate,
    Lie,
    Stands,
    WantedPart,
)

Integers = npt.NDArray[np.int64]


def certificate_bound(problem: BoardProblem, certificate: Certificate) -> Fraction:
    """The bound that a certificate claims.

    Args:
        problem: The problem.
        certificate: Whole prices and charges.

    Returns:
        The claimed bound, money.
    """
    prices, charges = dict(certificate.parts), dict(certificate.boards)
    earned = sum(prices.get(part.name, 0) * part.how_many for part in problem.parts)
    paid = sum(charges.get(board.name, 0) * (board.how_many or 0) for board in problem.boards)
    return Fraction(earned - paid) / certificate.scale


def next_total(problem: BoardProblem, amount: Fraction) -> Fraction:
    """The least sum of board costs that is not below an amount.

    Args:
        problem: The problem.
        amount: The amount, money.

    Returns:
        That sum; the amount itself where finding it would take too long.
    """
    costs = [
        (Fraction(board.cost), board.how_many)
        for board in problem.boards
        if board.how_many != 0 and gives_something(problem, board)
    ]
    unit = Fraction(1, math.lcm(*(cost.denominator for cost, _ in costs)))
    whole = [(int(cost / unit), limit) for cost, limit in costs]
    step = math.gcd(*(cost for cost, _ in whole)) or 1
    if not whole:
        return amount
    aim = math.ceil(amount / unit / step)
    ceiling = aim + max(cost for cost, _ in whole) // step + 1
    if ceiling > 4_000_000:
        return max(amount, aim * step * unit)
    mask = (1 << (ceiling + 1)) - 1
    reached = 1
    for cost, limit in whole:
        shift = cost // step
        left = ceiling // shift + 1 if shift else 0
        left = left if limit is None else min(left, limit)
        bundle = 1
        while left > 0:
            take = min(bundle, left)
            reached |= (reached << (take * shift)) & mask
            left -= take
            bundle *= 2
    above = reached >> max(aim, 0)
    if above == 0:
        return max(amount, aim * step * unit)
    return (max(aim, 0) + (above & -above).bit_length() - 1) * step * unit


def gives_something(problem: BoardProblem, board: Board) -> bool:
    """Whether a board can give any part at all; one that cannot is in no plan worth making."""
    longest = max(clear_lengths(problem, board), default=0)
    return any(
        part.length + part.extra <= longest and not any(_check_bend_and_grade(part, board))
        for part in problem.parts
    )


def verify_certificate(problem: BoardProblem, certificate: Certificate) -> bool:
    """Whether no board can hold parts worth more, at the certificate's prices, than it costs and is charged.

    By values, not by lengths: for every whole value the least length that parts of that value take. Lengths
    stay exact. What makes a plan harder (safe stubs, mixing of ends) is left out, which can only weaken a
    proof, never make a false one.

    Args:
        problem: The problem.
        certificate: Whole prices and charges.

    Returns:
        True where the certificate holds.
    """
    prices, charges = dict(certificate.parts), dict(certificate.boards)
    if any(price < 0 for price in prices.values()) or any(charge < 0 for charge in charges.values()):
        return False
    groups = companies(problem)
    # Boards that take the same parts share one table, reaching up to the neediest of them.
    checks: dict[tuple[tuple[int, int, int], ...], list[tuple[int, list[int], int]]] = {}
    for board in problem.boards:
        if board.how_many == 0:
            continue
        need = math.floor(Fraction(board.cost) * certificate.scale) + charges.get(board.name, 0)
        clear = clear_lengths(problem, board)
        for members, extra in groups:
            entries = tuple(
                sorted(
                    (prices.get(part.name, 0), size_of(problem, part), part.how_many)
                    for part in members
                    if prices.get(part.name, 0) > 0 and takes(part, board)
                )
            )
            checks.setdefault(entries, []).append((need, clear, extra))
    for entries, boards in checks.items():
        top = max((price for price, _, _ in entries), default=0)
        longest = max((length + extra for _, clear, extra in boards for length in clear), default=0)
        least = least_lengths(list(entries), max(0, *(need for need, _, _ in boards)) + top, longest)
        for need, clear, extra in boards:
            worth = sum(
                int(np.flatnonzero(least <= length + extra)[-1]) for length in clear if length + extra >= 0
            )
            if worth > need:
                return False
    return True


def takes(part: WantedPart, board: Board) -> bool:
    """Whether a board is good and straight enough for a part."""
    return not any(_check_bend_and_grade(part, board))


def size_of(problem: BoardProblem, part: WantedPart) -> int:
    """Room that a part takes with its gap to the next; shared mitres are taken off. [nm]."""
    gap = _mitred_kerf(problem.shop.kerf) if part.is_mitred else problem.shop.kerf
    share = part.mitre_width if part.is_mitred and part.lie is Lie.MAY_TURN else 0
    return max(1, part.length + part.extra + gap - share)


def companies(problem: BoardProblem) -> list[tuple[list[WantedPart], int]]:
    """Which parts may lie on one stick together, and what the stick has beyond its length for them. [nm]."""
    kerf, mitred = problem.shop.kerf, _mitred_kerf(problem.shop.kerf)
    ways = {
        (part.lie, part.mitre_width if part.lie is Lie.MAY_TURN else 0)
        for part in problem.parts
        if part.is_mitred
    }
    groups: list[tuple[list[WantedPart], int]] = []
    squares = [part for part in problem.parts if not part.is_mitred]
    for lie, width in sorted(ways):
        mine = [
            part
            for part in problem.parts
            if part.is_mitred and part.lie is lie and (lie is Lie.LIP_FIXED or part.mitre_width == width)
        ]
        share = width if lie is Lie.MAY_TURN else 0
        groups.append((mine, mitred - share))
        if squares and not (problem.bevelled_apart and lie is Lie.LIP_FIXED):
            groups.append((mine + squares, kerf - share))
    if squares:
        groups.append((squares, kerf))
    return groups


def _mitred_kerf(kerf: int) -> int:
    root = math.isqrt(2 * kerf * kerf)
    return root + (root * root < 2 * kerf * kerf)


def clear_lengths(problem: BoardProblem, board: Board) -> list[int]:
    """Lengths between trims and spoiled spans; a span is never counted wider than it is. [nm]."""
    low, high = 0 if board.sawn else problem.shop.trim, board.length - problem.shop.trim
    lengths: list[int] = []
    for span in sorted(board.spoiled, key=lambda span: span.start):
        if min(span.start, high) > low:
            lengths.append(min(span.start, high) - low)
        low = max(low, span.end)
    if high > low:
        lengths.append(high - low)
    return lengths


def _check_bend_and_grade(part: WantedPart, board: Board) -> Iterator[bool]:
    yield part.least_grade > board.grade
    share = Fraction(min(part.length + part.extra, board.length), board.length)
    flat = part.stands is Stands.FLAT
    in_plane, out_of_plane = (board.crook, board.bow) if flat else (board.bow, board.crook)
    yield part.bend.in_plane is not None and in_plane * share**2 > part.bend.in_plane
    yield part.bend.out_of_plane is not None and out_of_plane * share**2 > part.bend.out_of_plane
    yield part.bend.twist is not None and board.twist * share > part.bend.twist


def least_lengths(entries: list[tuple[int, int, int]], highest: int, longest: int) -> Integers:
    """Least length for each whole value, one piece at a time.

    Args:
        entries: (price, size, how many) of each kind of part.
        highest: Highest value of interest.
        longest: Greater lengths are of no interest. [nm]

    Returns:
        Lengths, shape (highest + 1,). [nm]
    """
    never = np.int64(2**62)
    least = np.full(highest + 1, never, dtype=np.int64)
    least[0] = 0
    reach = 0
    for price, size, how_many in entries:
        for _ in range(min(how_many, highest // price, longest // size)):
            top = min(highest, reach + price)
            np.minimum(least[price : top + 1], least[: top + 1 - price] + size, out=least[price : top + 1])
            reach = top
    return least
