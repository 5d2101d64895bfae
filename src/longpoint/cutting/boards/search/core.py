"""The problem as the solver sees it: whole numbers only, equal things merged.

An *item* is a set of parts that no rule can tell apart. A *bin* is a set of boards that no rule can tell
apart. A bin holds one or more *sticks*; what lies on a stick is bound by

    sum of item sizes ≤ stick length + offset of the family set,

where an item's size is its planned length and the gap to its neighbour (a kerf where both ends are square,
a mitre's kerf where one is mitred; pieces that may turn share a mitre and so take W less), and the offset
gives back the one gap too many, and takes W once where pieces share mitres.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import floor, lcm

from longpoint.cutting.boards.accept import accepts, clear_sticks, tail_is_lost
from longpoint.cutting.boards.placing import share_kept
from longpoint.cutting.boards.search.totals import Totals
from longpoint.cutting.boards.values import Board, BoardProblem, End, Kind, Lie, WantedPart, mitre_kerf

MOST_UNITS = 1_000_000  # that the dearest board may cost


@dataclass(frozen=True, slots=True)
class Item:
    """Parts that no rule can tell apart.

    Attributes:
        parts: Index of each part in the problem.
        demand: How many of all of them.
        length: Planned length. [nm]
        size: Length and gap to the next. [nm]
        family: Index of its family.
        round: Saw round.
    """

    parts: tuple[int, ...]
    demand: int
    length: int
    size: int
    family: int
    round: int


@dataclass(frozen=True, slots=True)
class Worth:
    """What an offcut is worth: the best of some lines through the origin, each from a length on, less keeping.

    Attributes:
        at_least: Shortest useful lengths. [nm]
        rates: Worth per nanometre, in cost units.
        keeping: Taken off for each kept piece, in cost units.
    """

    at_least: tuple[int, ...]
    rates: tuple[float, ...]
    keeping: float


@dataclass(frozen=True, slots=True)
class Bin:
    """Boards that no rule can tell apart.

    Attributes:
        boards: Index of each board in the problem.
        cost: Cost of one, whole units, rounded down where the unit is coarser than its price.
        limit: How many there are; None without limit.
        sticks: (length, beyond) of each clear stick. [nm]
        allowed: Indices of the items it may give, rising.
        worth: What its offcuts are worth.
        bare: Lengths of its clear sticks with no room left for the saw inside a spoiled span: what a bound
            may count on. [nm]
    """

    boards: tuple[int, ...]
    cost: int
    limit: int | None
    sticks: tuple[tuple[int, int], ...]
    allowed: tuple[int, ...]
    worth: Worth
    bare: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class FamilySet:
    """Families that may lie on one stick together.

    Attributes:
        families: Their indices.
        offset: Added to the stick's length. [nm]
        last_gap: The kerf of the last cut, which what remains does not get. [nm]
        bare: The offset if mitred and square parts never had to alternate: what a bound may count on. [nm]
    """

    families: frozenset[int]
    offset: int
    last_gap: int
    bare: int


@dataclass(frozen=True, slots=True)
class Core:
    """The whole problem in whole numbers.

    Attributes:
        items: The items.
        bins: The bins.
        family_sets: What may lie together.
        cost_unit: One cost unit in money; see `cost_unit_of`.
        totals: What some of the boards can cost at all.
        safe: Shortest stick to be held at a stick's last cut; 0 for none. [nm]
    """

    items: tuple[Item, ...]
    bins: tuple[Bin, ...]
    family_sets: tuple[FamilySet, ...]
    cost_unit: Fraction
    safe: int
    totals: Totals = field(compare=False)


def extra_blocks(problem: BoardProblem) -> int:
    """How many times more than once square parts may have to lie apart on a board because of their rounds.

    Each time costs the difference between a mitred and a square gap. Where the order of rounds lets mitred
    parts come first, square ones after, it is 0.

    Args:
        problem: The problem.

    Returns:
        The number of extra blocks to allow for.
    """
    mitre_rounds = {part.round for part in problem.parts if part.is_mitred}
    square_rounds = {part.round for part in problem.parts if not part.is_mitred}
    if not mitre_rounds or not square_rounds:
        return 0
    last, first = max(mitre_rounds), min(square_rounds)
    if last > first or (last == first and min(mitre_rounds) < last):
        return len(square_rounds)
    return 0


def family_key(part: WantedPart) -> tuple[str, int]:
    """What a part may lie beside: square, lip fixed, or turning with its mitre width."""
    if part.ends is not End.MITRE:
        return ("square", 0)
    if part.lie is Lie.LIP_FIXED:
        return ("fixed", 0)
    return ("turning", part.mitre_width)


def family_sets(keys: list[tuple[str, int]], problem: BoardProblem) -> tuple[FamilySet, ...]:
    """What may lie on one stick together.

    Args:
        keys: The family keys of all parts, each once.
        problem: The problem.

    Returns:
        The sets, none of which another one makes needless.
    """
    kerf, mitred = problem.shop.kerf, mitre_kerf(problem.shop.kerf)
    mixed = kerf - extra_blocks(problem) * (mitred - kerf)
    square = frozenset(index for index, key in enumerate(keys) if key[0] == "square")
    found: list[FamilySet] = []
    for index, (word, width) in enumerate(keys):
        if word == "square":
            continue
        found.append(FamilySet(frozenset({index}), mitred - width, mitred, mitred - width))
        if square and not (problem.bevelled_apart and word == "fixed"):
            found.append(FamilySet(square | {index}, mixed - width, kerf, kerf - width))
    if square:
        found.append(FamilySet(square, kerf, kerf, kerf))
    return tuple(
        one
        for one in found
        if not any(
            one.families < other.families and one.offset <= other.offset and one.last_gap == other.last_gap
            for other in found
        )
    )


def _worth_of(board: Board, problem: BoardProblem, lowest_rate: Fraction, unit: Fraction) -> Worth:
    grades = {Kind.BAR: 3, Kind.RAIL: 2, Kind.MIDDLE: 1, Kind.BLOCK: 1}
    lines = [
        (worth.at_least, float(share_kept(board, worth, lowest_rate) * lowest_rate / unit))
        for worth in problem.shop.offcuts
        if grades[worth.kind] <= board.grade
        and share_kept(board, worth, lowest_rate) > 0
        and not tail_is_lost(board, problem.shop)
    ]
    return Worth(
        tuple(at_least for at_least, _ in lines),
        tuple(rate for _, rate in lines),
        float(problem.shop.keeping / unit),
    )


def lowest_price_per_length(boards: tuple[Board, ...]) -> Fraction:
    """Lowest price per nanometre on sale, or of any board where nothing is on sale."""
    on_sale = [board for board in boards if not board.at_hand] or list(boards)
    return min((Fraction(board.cost) / board.length for board in on_sale), default=Fraction(0))


def cost_unit_of(boards: tuple[Board, ...]) -> Fraction:
    """The money that one cost unit stands for: every price a whole number of it, as long as these stay small.

    Tables of proofs go through all whole costs, so a price of very many digits, or a very high one beside a low one,
    is counted in a coarser unit, rounded down. What is proven then is that little less.

    Args:
        boards: Boards with their prices.

    Returns:
        The unit.
    """
    costs = [Fraction(board.cost) for board in boards]
    unit = Fraction(1, lcm(*(cost.denominator for cost in costs)))
    most = floor(max(costs, default=unit) / unit)
    while most > MOST_UNITS:
        unit, most = unit * 10, most // 10
    return unit


def build_core(problem: BoardProblem) -> Core:
    """Merge equal parts and equal boards and turn money into whole numbers.

    Args:
        problem: A problem without faults.

    Returns:
        The core.
    """
    kerf, mitred = problem.shop.kerf, mitre_kerf(problem.shop.kerf)
    keys = sorted({family_key(part) for part in problem.parts})
    unit = cost_unit_of(problem.boards)
    takes = [tuple(accepts(part, board, problem.shop) for board in problem.boards) for part in problem.parts]

    merged: dict[tuple[object, ...], list[int]] = {}
    for index, part in enumerate(problem.parts):
        key = (-part.planned, family_key(part), part.round, takes[index])
        merged.setdefault(key, []).append(index)
    items: list[Item] = []
    item_takes: list[tuple[bool, ...]] = []
    for indices in sorted(merged.values(), key=lambda group: (-problem.parts[group[0]].planned, group[0])):
        part = problem.parts[indices[0]]
        family = family_key(part)
        size = part.planned + (mitred if part.is_mitred else kerf) - family[1]
        demand = sum(problem.parts[index].how_many for index in indices)
        items.append(Item(tuple(indices), demand, part.planned, max(size, 1), keys.index(family), part.round))
        item_takes.append(takes[indices[0]])

    rate = lowest_price_per_length(problem.boards)
    alike: dict[Bin, list[int]] = {}
    for index, board in enumerate(problem.boards):
        if board.how_many == 0:
            continue
        bin_ = Bin(
            (),
            floor(Fraction(board.cost) / unit),
            None if board.how_many is None else 0,
            tuple((stick.length, stick.beyond) for stick in clear_sticks(board, problem.shop)),
            tuple(number for number, takes_it in enumerate(item_takes) if takes_it[index]),
            _worth_of(board, problem, rate, unit),
            tuple(stick.length for stick in clear_sticks(board, replace(problem.shop, kerf=0))),
        )
        if bin_.allowed:
            alike.setdefault(bin_, []).append(index)
    bins = [
        replace(
            bin_,
            boards=tuple(indices),
            limit=None
            if bin_.limit is None
            else sum(problem.boards[index].how_many or 0 for index in indices),
        )
        for bin_, indices in alike.items()
    ]
    totals = Totals((bin_.cost, bin_.limit) for bin_ in bins)
    return Core(tuple(items), tuple(bins), family_sets(keys, problem), unit, problem.shop.safe, totals)
