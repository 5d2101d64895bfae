"""The cutting plan: faults first, then the solver, then every part in its place, with the proof."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.cutting.boards.accept import ClearStick, clear_sticks, tail_is_lost
from longpoint.cutting.boards.faults import find_faults
from longpoint.cutting.boards.kept.gaining import Gained
from longpoint.cutting.boards.kept.leftovers import leave_most
from longpoint.cutting.boards.kept.offcuts import without_surplus
from longpoint.cutting.boards.kept.pickups import sort_least
from longpoint.cutting.boards.placing import PlacedStick, in_order, place_on_stick, serves_as, share_kept
from longpoint.cutting.boards.proof.certificate import as_certificate, certify
from longpoint.cutting.boards.search.core import (
    Core,
    build_core,
    family_key,
    family_sets,
    lowest_price_per_length,
)
from longpoint.cutting.boards.search.pricing import Column
from longpoint.cutting.boards.search.solve import Solved, solve_core
from longpoint.cutting.boards.values import (
    Board,
    BoardPlan,
    BoardProblem,
    CountsProof,
    CutBoard,
    ListedProof,
    Sorting,
    Spent,
    WantedPart,
    mitre_kerf,
)
from longpoint.errors import Caution, Fault, FaultsError, Where


def search_boards(problem: BoardProblem) -> BoardPlan:
    """Seek the least cost of cutting all parts of one section out of boards; nothing has checked it yet.

    Args:
        problem: What is wanted, what there is, and the shop.

    Returns:
        The plan.

    Raises:
        FaultsError: If something cannot be had; every fault found is in it.
    """
    faults = find_faults(problem)
    if faults:
        raise FaultsError(faults)
    core = build_core(problem)
    solved = solve_core(core, effort=problem.effort)
    if solved.columns is None:
        raise FaultsError([_too_few(problem, core, solved)])
    if problem.settings_within is not None:
        plan = _with_least_sorting(problem, core, solved, problem.settings_within)
    else:
        leaving = leave_most(core, solved.columns, solved.pool, effort=problem.effort)
        plan = assemble(problem, core, solved, leaving)
    return replace(plan, cautions=(*plan.cautions, *_what_safety_costs(problem, solved, plan)))


def _what_safety_costs(problem: BoardProblem, solved: Solved, plan: BoardPlan) -> tuple[Caution, ...]:
    """What boards cost more because no part is cut from too short a stub; said where it costs."""
    safe = problem.shop.safe
    # A part no shorter than the stub is safe wherever it lies; the certificate knows nothing of stubs.
    if all(part.planned >= safe for part in problem.parts) or plan.proof == "bound":
        return ()
    core = build_core(replace(problem, shop=replace(problem.shop, safe=0)))
    without = solve_core(core, effort=problem.effort)
    before, now = without.cost * core.cost_unit, solved.cost * core.cost_unit
    if without.columns is None or before >= now:
        return ()
    return (
        Caution(
            "safe-stub-costs",
            about=problem.section,
            facts=(
                ("stub", f"{safe / 1e6:.10g} mm"),
                ("now", f"{float(now):.2f}"),
                ("before", f"{float(before):.2f}"),
            ),
        ),
    )


def _with_least_sorting(problem: BoardProblem, core: Core, solved: Solved, within: Fraction) -> BoardPlan:
    """The plan that picks boards up least often, at no more than a share above the least cost found."""
    columns = without_surplus(core, list(solved.columns or ()))
    plain = assemble(problem, core, replace(solved, columns=tuple(columns)))
    spent, pool = solved.spent, solved.pool
    free = found = sort_least(core, columns, pool, most_cost=solved.cost, effort=problem.effort)
    spare = math.floor(solved.cost * within)
    if spare:
        pool = (*free.kept.columns, *pool)
        found = sort_least(core, columns, pool, most_cost=solved.cost + spare, effort=problem.effort)
        spent = _with_sorting(spent, free.kept)
    if found.pickups > free.pickups:  # more money never sorts worse
        kept = replace(found.kept, columns=free.kept.columns)
        found = replace(found, kept=kept, pickups=free.pickups)
    spent = _with_sorting(spent, found.kept)
    plan = assemble(problem, core, replace(solved, columns=found.kept.columns, spent=spent))
    # Parts that differ in what is kept for measuring are alike to the search, and so are prices that differ by less
    # than a cost unit.
    if plan.pickups > plain.pickups or plan.cost > plain.cost * (1 + within):
        plan = replace(plain, spent=spent)
    proof = "bound" if plan.pickups == found.at_least else ""
    sorting = Sorting(
        within, plain.pickups, plain.cost, min(free.pickups, plain.pickups), found.at_least, proof
    )
    return replace(plan, sorting=sorting)


def _with_sorting(spent: Spent, kept: Gained) -> Spent:
    return replace(
        spent,
        sorting=spent.sorting + kept.rounds,
        shared=spent.shared + kept.tried,
        sorted_listed=spent.sorted_listed + kept.listed,
    )


def _too_few(problem: BoardProblem, core: Core, solved: Solved) -> Fault:
    wanted = sum(item.length * item.demand for item in core.items) / 1e6
    there = sum(
        bin_.limit * sum(length for length, _ in bin_.sticks) for bin_ in core.bins if bin_.limit is not None
    )
    known = (
        "The boards are too few" if solved.impossible else "No way was found to get all parts from the boards"
    )
    return Fault(
        "boards-too-few",
        f"{known}: the parts of {problem.section} are {wanted:.10g} mm in all, the boards {there / 1e6:.10g} mm "
        "between their trims, and cuts and lengths that do not fit together take more.",
        "Add boards, or allow a length on sale.",
        Where(key="boards"),
    )


def assemble(problem: BoardProblem, core: Core, solved: Solved, leaving: Gained | None = None) -> BoardPlan:
    """The plan of a solved problem.

    Args:
        problem: The problem.
        core: Its core.
        solved: The patterns found.
        leaving: What the second step made of them; left out, what is left is valued but not sought.

    Returns:
        The plan with positions, certificate and cautions.
    """
    columns = without_surplus(core, list(solved.columns or ()))
    boards = lay_boards(problem, core, columns)
    left = left_worth_of(problem, boards)
    cost = sum((board.cost for board in boards), Fraction(0))
    spent = solved.spent
    if leaving is not None:
        spent = replace(spent, leaving=leaving.rounds, shared=spent.shared + leaving.tried)
        others = lay_boards(problem, core, leaving.columns)
        no_dearer = sum((board.cost for board in others), Fraction(0)) <= cost
        if no_dearer and left_worth_of(problem, others) > left:
            boards, left = others, left_worth_of(problem, others)
            cost = sum((board.cost for board in boards), Fraction(0))
    # More than the relaxation is worth no prices prove; where something else proves more, coarse ones will do.
    more = solved.counted is not None or (solved.listed is not None and bool(solved.listed.tree))
    aim = 0 if more else core.totals.at_least(solved.bound)
    whole, due, scale, bound = certify(core, solved.prices, solved.charges, aim=aim)
    certificate = as_certificate(
        core,
        [[problem.parts[index].name for index in item.parts] for item in core.items],
        [[problem.boards[index].name for index in bin_.boards] for bin_ in core.bins],
        whole,
        due,
        scale,
    )
    certified = core.totals.at_least(float(bound))
    beyond = None if certified * core.cost_unit >= cost else _beyond(problem, core, solved, certified)
    least = certified if beyond is None else core.totals.at_least(beyond.over + 1)
    at_least = min(least * core.cost_unit, cost)
    proven = at_least == cost
    proof = "bound" if beyond is None else "branching" if isinstance(beyond, CountsProof) else "enumeration"
    proof = proof if proven else ""
    gap = (cost - at_least) / at_least if at_least else Fraction(0)
    most_left = None if leaving is None else most_left_of(problem, cost)
    settings, pickups = count_settings(problem, boards)
    return BoardPlan(
        problem.section, boards, cost, at_least, proven, proof, gap, certificate, beyond,
        left_worth=left, left_worth_at_most=most_left, left_proof="bound" if most_left == left else "",
        settings=settings, pickups=pickups,
        spent=spent,
        cautions=_cautions(problem, boards),
    )  # fmt: skip


def _beyond(
    problem: BoardProblem, core: Core, solved: Solved, certified: int
) -> CountsProof | ListedProof | None:
    """What proves more than the certificate, in the names of the problem; None where nothing does."""
    groups = tuple(tuple(problem.boards[index].name for index in bin_.boards) for bin_ in core.bins)
    parts = tuple(tuple(problem.parts[index].name for index in item.parts) for item in core.items)
    counted, listed = solved.counted, solved.listed
    if listed is not None and listed.tree and core.totals.at_least(listed.over + 1) > certified:
        return ListedProof(
            core.cost_unit, listed.over, groups, parts, listed.whole, listed.due, listed.scale, listed.tree
        )
    if counted is not None and core.totals.at_least(counted.over + 1) > certified:
        rows = tuple(
            tuple((name, price) for names, price in zip(parts, row, strict=True) if price for name in names)
            for row in counted.prices
        )
        return CountsProof(core.cost_unit, counted.over, groups, rows, counted.tree)
    return None


def left_worth_of(problem: BoardProblem, boards: Sequence[CutBoard]) -> Fraction:
    """What cut boards leave that serves again is worth.

    Args:
        problem: The problem.
        boards: The boards with their cuts.

    Returns:
        A share of the lowest price for each kept piece, less what each must be worth to be kept.
    """
    lowest = lowest_price_per_length(problem.boards)
    named = {board.name: board for board in problem.boards}
    left = Fraction(0)
    for board in boards:
        use = serves_as(board.remains, named[board.board], problem.shop.offcuts)
        if use is not None:
            share = share_kept(named[board.board], use, lowest)
            left += max(Fraction(0), share * lowest * board.remains - problem.shop.keeping)
    return left


def most_left_of(problem: BoardProblem, cost: Fraction) -> Fraction:
    """What no plan of a cost can leave more than, from lengths alone: the most timber that the money buys, less parts.

    Args:
        problem: The problem.
        cost: What the plan costs.

    Returns:
        At most so much worth, money; exact.
    """
    offcuts = [one for one in problem.shop.offcuts if one.share > 0]
    if not offcuts:
        return Fraction(0)
    keys = sorted({family_key(part) for part in problem.parts})
    beyond = max(0, *(fs.bare for fs in family_sets(keys, problem)))
    kerf, mitred = problem.shop.kerf, mitre_kerf(problem.shop.kerf)
    taken = sum(
        part.how_many * max(1, part.planned + (mitred if part.is_mitred else kerf) - family_key(part)[1])
        for part in problem.parts
    )
    bare = replace(problem.shop, kerf=0)
    rooms = [sum(stick.length + beyond for stick in clear_sticks(board, bare)) for board in problem.boards]
    count = sum(part.how_many for part in problem.parts)
    money, room = cost, Fraction(0)
    buys = [
        (Fraction(board.cost) / n, n, board) for board, n in zip(problem.boards, rooms, strict=True) if n > 0
    ]
    for _, length, board in sorted(buys, key=lambda one: (one[0], one[2].name)):
        most = Fraction(count if board.how_many is None else min(count, board.how_many))
        copies = min(most, money / board.cost) if board.cost else most
        room += copies * length
        money -= copies * board.cost
    if room - taken < min(one.at_least for one in offcuts):
        return Fraction(0)
    rate = max(one.share for one in offcuts) * lowest_price_per_length(problem.boards)
    return max(Fraction(0), rate * (room - taken) - problem.shop.keeping)


def lay_boards(problem: BoardProblem, core: Core, columns: Sequence[Column]) -> tuple[CutBoard, ...]:
    """Give every column a board and every cut a part, and put them in place.

    Args:
        problem: The problem.
        core: Its core.
        columns: A pattern per board, all parts among them, none twice.

    Returns:
        The boards with their cuts.
    """
    supply = [
        [index for index in item.parts for _ in range(problem.parts[index].how_many)] for item in core.items
    ]
    ready = [
        [name for index in bin_.boards for name in _copies(problem.boards[index], index)]
        for bin_ in core.bins
    ]
    at_item = [0] * len(core.items)
    at_bin = [0] * len(core.bins)
    chosen: list[tuple[Board, int, list[list[WantedPart]]]] = []
    ordered = sorted(
        columns,
        key=lambda column: (core.bins[column.bin].boards[0], [(i, -count) for i, count in column.takes]),
    )
    for column in ordered:
        if core.bins[column.bin].limit is None:
            index, copy = core.bins[column.bin].boards[0], at_bin[column.bin] + 1
        else:
            index, copy = ready[column.bin][at_bin[column.bin]]
        at_bin[column.bin] += 1
        sticks: list[list[WantedPart]] = []
        for takes in column.sticks:
            parts: list[WantedPart] = []
            for i, count in takes:
                for _ in range(count):
                    parts.append(problem.parts[supply[i][at_item[i]]])
                    at_item[i] += 1
            sticks.append(parts)
        chosen.append((problem.boards[index], copy, sticks))
    rising = _rising_rounds(problem, chosen)
    return tuple(_lay_board(problem, board, copy, sticks, rising) for board, copy, sticks in chosen)


def _copies(board: Board, index: int) -> list[tuple[int, int]]:
    return [(index, copy + 1) for copy in range(board.how_many or 0)]


def _rising_rounds(
    problem: BoardProblem, chosen: Sequence[tuple[Board, int, list[list[WantedPart]]]]
) -> frozenset[int]:
    """Rounds that must be worked from the shortest length up, or a last cut would come from too short a stick."""
    rising: set[int] = set()
    if problem.shop.safe == 0:
        return frozenset()
    for board, _, sticks in chosen:
        for stick, parts in zip(clear_sticks(board, problem.shop), sticks, strict=True):
            if not parts:
                continue
            placed = place_on_stick(in_order(parts, frozenset()), stick, problem.shop)
            if placed.last_stick < problem.shop.safe:
                rising.add(max(part.round for part in parts))
    return frozenset(rising)


def _lay_board(
    problem: BoardProblem, board: Board, copy: int, sticks: list[list[WantedPart]], rising: frozenset[int]
) -> CutBoard:
    clear: tuple[ClearStick, ...] = clear_sticks(board, problem.shop)
    placed: list[PlacedStick] = [
        place_on_stick(in_order(parts, rising), stick, problem.shop)
        for stick, parts in zip(clear, sticks, strict=True)
    ]
    last = placed[-1]
    lost = tail_is_lost(board, problem.shop)
    remains = 0 if lost else last.remains
    use = serves_as(remains, board, problem.shop.offcuts)
    return CutBoard(
        board.name,
        copy,
        board.length,
        Fraction(board.cost),
        board.at_hand,
        tuple(cut for stick in placed for cut in stick.cuts),
        remains,
        last.mitred_end and not lost,
        str(use.kind) if use is not None else "",
        min((stick.last_stick for stick in placed if stick.cuts), default=0),
    )


def count_settings(problem: BoardProblem, boards: Sequence[CutBoard]) -> tuple[int, int]:
    """Stop settings and pick-ups when each round is worked length by length over all boards.

    Both of a pair are then cut before the stop moves.

    Args:
        problem: The problem.
        boards: The boards with their cuts.

    Returns:
        How often the stop is set, how often a board is picked up.
    """
    rounds = {part.name: part.round for part in problem.parts}
    stops = {(rounds[cut.part], cut.stop) for board in boards for cut in board.cuts}
    pickups = sum(len({(rounds[cut.part], cut.stop) for cut in board.cuts}) for board in boards)
    return len(stops), pickups


def _cautions(problem: BoardProblem, boards: Sequence[CutBoard]) -> tuple[Caution, ...]:
    cautions: list[Caution] = []
    floor = problem.shop.shortest_planed
    if floor is not None:
        for part in problem.parts:
            if part.is_mitred and part.length < floor and part.lie.value == "square-edged":
                cautions.append(
                    Caution(
                        "short-to-plane",
                        about=part.name,
                        facts=(
                            ("length", f"{part.length / 1e6:.10g} mm"),
                            ("floor", f"{floor / 1e6:.10g} mm"),
                        ),
                    )
                )
    assumed = sorted({board.board for board in boards if not board.at_hand})
    if assumed and any(part.kind.value == "bar" for part in problem.parts):
        cautions.append(Caution("pick-at-the-yard", about=problem.section))
    return tuple(cautions)
