"""The referee: checks a cutting plan from the problem alone, sharing no code with the solver.

It works in exact fractions of a millimetre, tells where every saw cut runs on both edges of the board, and
knows nothing of items, bins, columns or offsets. A plan without faults can be cut as it stands.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from longpoint.cutting.boards.proof.referee_beyond import fewest_pickups, most_left, proven_beyond
from longpoint.cutting.boards.proof.referee_proof import certificate_bound as certificate_bound
from longpoint.cutting.boards.proof.referee_proof import next_total as next_total
from longpoint.cutting.boards.proof.referee_proof import verify_certificate as verify_certificate
from longpoint.cutting.boards.values import (
    Board,
    BoardPlan,
    BoardProblem,
    Cut,
    CutBoard,
    End,
    Kind,
    Lie,
    Stands,
    Swing,
    WantedPart,
)
from longpoint.errors import Fault, Where


def check_board_plan(problem: BoardProblem, plan: BoardPlan) -> tuple[Fault, ...]:
    """Everything wrong with a plan.

    Args:
        problem: What was asked.
        plan: What came back.

    Returns:
        The faults; empty where the plan can be cut as it stands and claims no more than it may.
    """
    parts = {part.name: part for part in problem.parts}
    boards = {board.name: board for board in problem.boards}
    faults: list[Fault] = []
    faults.extend(_check_counts(problem, plan, parts, boards))
    if faults:
        return tuple(faults)
    for cut_board in plan.boards:
        faults.extend(_check_board(problem, boards[cut_board.board], cut_board, parts))
    faults.extend(_check_money(problem, plan, boards))
    faults.extend(_check_left(problem, plan, boards))
    faults.extend(_check_rounds(plan, parts))
    faults.extend(_check_sorting(problem, plan))
    return tuple(faults)


def _fault(code: str, what: str, key: str) -> Fault:
    return Fault(code, what, "Please report this: the plan is wrong.", Where(key=key))


def _check_counts(
    problem: BoardProblem, plan: BoardPlan, parts: dict[str, WantedPart], boards: dict[str, Board]
) -> Iterator[Fault]:
    cut = Counter(one.part for board in plan.boards for one in board.cuts)
    for name, part in parts.items():
        if cut[name] != part.how_many:
            yield _fault("wrong-count", f"{name} is cut {cut[name]} times, wanted {part.how_many}.", name)
    for name in cut:
        if name not in parts:
            yield _fault("unknown-part", f"{name} is cut but not wanted.", name)
    taken = Counter(board.board for board in plan.boards)
    for name, count in taken.items():
        if name not in boards:
            yield _fault("unknown-board", f"{name} is cut up but was never there.", name)
            continue
        limit = boards[name].how_many
        if limit is not None and count > limit:
            yield _fault("board-not-there", f"{name} is taken {count} times; there are {limit}.", name)
    for (name, copy), count in Counter((board.board, board.copy) for board in plan.boards).items():
        if count > 1:
            yield _fault("board-twice", f"{name} {copy} is cut up {count} times.", name)


def _edges(cut: Cut, part: WantedPart) -> tuple[tuple[int, int], tuple[int, int]]:
    """Where a part begins and ends on the far edge (at the fence) and on the near edge. [nm]."""
    if not part.is_mitred:
        return (cut.start, cut.end), (cut.start, cut.end)
    short = (cut.start + part.mitre_width, cut.end - part.mitre_width)
    long = (cut.start, cut.end)
    return (short, long) if cut.turned else (long, short)


def _slope(cut: Cut, part: WantedPart, *, left: bool) -> int:
    """Which way an end slopes: +1 where the near edge lies further right than the far edge, 0 for square."""
    if not part.is_mitred:
        return 0
    return (1 if left else -1) * (-1 if cut.turned else 1)


def _along(kerf: int, slope: int) -> Fraction:
    """What a cut takes along the board, a hair too little: exact for square cuts. [nm]."""
    # isqrt is exact to one nanometre; one nanometre of grace keeps the referee from asking for more than is true.
    return Fraction(kerf) if slope == 0 else Fraction(math.isqrt(2 * kerf * kerf))


def _check_board(
    problem: BoardProblem, board: Board, cut_board: CutBoard, parts: dict[str, WantedPart]
) -> Iterator[Fault]:
    shop = problem.shop
    key = f"{cut_board.board} {cut_board.copy}"
    if cut_board.length != board.length or cut_board.cost != Fraction(board.cost):
        yield _fault("board-changed", f"{key} is not the board that was stated.", key)
    before: tuple[Cut, WantedPart] | None = None
    sticks: list[list[tuple[Cut, WantedPart]]] = []
    last_gap = 0
    for cut in cut_board.cuts:
        part = parts[cut.part]
        here = f"{key}, {cut.part}"
        yield from _check_part(problem, board, cut, part, here)
        far, near = _edges(cut, part)
        begins_new_stick = before is None
        if before is not None:
            old_far, old_near = _edges(*before)
            old_slope = _slope(*before, left=False)
            slope = _slope(cut, part, left=True)
            needed = max(_along(shop.kerf, old_slope), _along(shop.kerf, slope))
            # Either one cut serves both ends, or each end has its own: at both edges there must be room for one.
            if min(far[0] - old_far[1], near[0] - old_near[1]) < needed:
                yield _fault("no-room-for-the-saw", f"{here} begins before the saw has passed.", key)
            spoiled_between = any(
                max(old_far[1], old_near[1]) <= span.start and span.end <= min(far[0], near[0])
                for span in board.spoiled
            )
            begins_new_stick = spoiled_between
        if begins_new_stick:
            sticks.append([])
        sticks[-1].append((cut, part))
        before = (cut, part)
        last_gap = math.ceil(_along(shop.kerf, _slope(cut, part, left=False)))
    for stick in sticks:
        yield from _check_company(problem, stick, key)
    yield from _check_remains(problem, board, cut_board, sticks, parts, last_gap, key)


def _check_part(
    problem: BoardProblem, board: Board, cut: Cut, part: WantedPart, here: str
) -> Iterator[Fault]:
    shop = problem.shop
    if cut.end - cut.start != part.length + part.extra:
        yield _fault("wrong-length", f"{here} lies {(cut.end - cut.start) / 1e6} mm long.", here)
    if cut.stop != part.length:
        yield _fault("wrong-stop", f"{here}: the stop is set to {cut.stop / 1e6} mm.", here)
    if cut.start < (0 if board.sawn else shop.trim) or cut.end > board.length - shop.trim:
        yield _fault("outside-the-board", f"{here} reaches into the trim or past the end.", here)
    if cut.turned and not (part.is_mitred and part.lie is Lie.MAY_TURN):
        yield _fault("turned-but-fixed", f"{here} is turned, but its lip must stay at the fence.", here)
    if part.ends is End.MITRE:
        swings = (Swing.LEFT, Swing.RIGHT) if cut.turned else (Swing.RIGHT, Swing.LEFT)
    else:
        swings = (Swing.SQUARE, Swing.SQUARE)
    if (cut.swing_start, cut.swing_end) != swings:
        yield _fault("wrong-swing", f"{here}: the saw stands {cut.swing_start} and {cut.swing_end}.", here)
    for span in board.spoiled:
        if cut.start < span.end and span.start < cut.end:
            yield _fault("on-a-spoiled-span", f"{here} lies on {span.why or 'a spoiled span'}.", here)
    if {Kind.BAR: 3, Kind.RAIL: 2}.get(part.kind, 1) > board.grade and part.needs is None:
        yield _fault("board-too-poor", f"{here}: the board is {board.grade.words}.", here)
    if part.needs is not None and part.needs > board.grade:
        yield _fault("board-too-poor", f"{here}: the board is {board.grade.words}.", here)
    share = Fraction(part.length + part.extra, board.length)
    in_plane, out_of_plane = board.bow, board.crook
    if part.stands is Stands.FLAT:
        in_plane, out_of_plane = out_of_plane, in_plane
    for value, limit in (
        (in_plane * share**2, part.bend.in_plane),
        (out_of_plane * share**2, part.bend.out_of_plane),
        (board.twist * share, part.bend.twist),
    ):
        if limit is not None and value > limit:
            yield _fault("too-bent", f"{here}: {float(value) / 1e6:.2f} mm of bend would be left.", here)


def _check_company(problem: BoardProblem, stick: list[tuple[Cut, WantedPart]], key: str) -> Iterator[Fault]:
    """What may not lie on one stick together."""
    ways = {(part.lie, part.mitre_width) for _, part in stick if part.is_mitred}
    fixed = any(lie is Lie.LIP_FIXED for lie, _ in ways)
    turning = {width for lie, width in ways if lie is Lie.MAY_TURN}
    if len(turning) > 1 or (fixed and turning):
        yield _fault("mixed-mitres", f"{key} holds mitred parts that cannot lie on one board together.", key)
    if problem.bevelled_apart and fixed and any(not part.is_mitred for _, part in stick):
        yield _fault("square-on-bevelled", f"{key} is bevelled and holds square parts.", key)


def _check_remains(
    problem: BoardProblem,
    board: Board,
    cut_board: CutBoard,
    sticks: list[list[tuple[Cut, WantedPart]]],
    parts: dict[str, WantedPart],
    last_gap: int,
    key: str,
) -> Iterator[Fault]:
    shop = problem.shop
    high = board.length - shop.trim
    for stick in sticks:
        last_cut, _ = stick[-1]
        ends = [span.start for span in board.spoiled if last_cut.end <= span.start < high]
        end = min(ends, default=board.length)
        held = end - last_cut.start
        if shop.safe and held < shop.safe:
            yield _fault(
                "unsafe-stub", f"{key}: {last_cut.part} is cut from a stick of only {held / 1e6} mm.", key
            )
        rounds = [parts[cut.part].round for cut, _ in stick]
        if rounds != sorted(rounds):
            yield _fault("rounds-mixed", f"{key}: a later round lies before an earlier one.", key)
    last = cut_board.cuts[-1] if cut_board.cuts else None
    free_from = max((span.end for span in board.spoiled if span.start < high), default=shop.trim)
    if last is None or free_from > last.end:
        # The last clear stick is untouched; the saw passes inside the spoiled span or beside it.
        most, least = max(0, high - free_from), max(0, high - free_from - 2 * last_gap)
    else:
        most = max(0, high - last.end - last_gap + 1)
        least = max(0, high - last.end - last_gap - 1)
    if not least <= cut_board.remains <= most:
        yield _fault(
            "wrong-remains",
            f"{key}: {cut_board.remains / 1e6} mm is said to remain, {most / 1e6} mm does.",
            key,
        )


def _check_money(problem: BoardProblem, plan: BoardPlan, boards: dict[str, Board]) -> Iterator[Fault]:
    total = sum((Fraction(boards[board.board].cost) for board in plan.boards), Fraction(0))
    if total != plan.cost:
        yield _fault("wrong-cost", f"The boards cost {float(total)}, not {float(plan.cost)}.", "cost")
    if plan.at_least > plan.cost:
        yield _fault("bound-above-cost", f"The bound {float(plan.at_least)} is above the cost.", "at_least")
    if plan.proven != (plan.at_least == plan.cost):
        yield _fault("false-proof", "The plan says proven, but cost and bound differ.", "proven")
    if not verify_certificate(problem, plan.certificate):
        yield _fault("bad-certificate", "The prices of the certificate prove nothing.", "certificate")
        return
    shown = next_total(problem, certificate_bound(problem, plan.certificate))
    if plan.proof == "bound" and shown < plan.cost:
        yield _fault("false-proof", f"The certificate proves {float(shown)}, not the cost.", "proven")
    if plan.at_least <= 0 or plan.at_least <= shown:
        return
    if plan.beyond is None:
        yield _fault(
            "bound-not-proven", f"Only {float(shown)} is proven, not {float(plan.at_least)}.", "at_least"
        )
        return
    shown = proven_beyond(problem, plan.beyond)
    if plan.at_least > shown:
        yield _fault("false-proof", f"Only {float(shown)} is proven, not {float(plan.at_least)}.", "at_least")


def _check_left(problem: BoardProblem, plan: BoardPlan, boards: dict[str, Board]) -> Iterator[Fault]:
    """What is left that serves again, valued board by board from what is said to remain."""
    on_sale = [board for board in problem.boards if not board.at_hand] or list(problem.boards)
    lowest = min((Fraction(board.cost) / board.length for board in on_sale), default=Fraction(0))
    needs = {Kind.BAR: "bar", Kind.RAIL: "rail", Kind.MIDDLE: "short", Kind.BLOCK: "short"}
    good = {"bar": {3}, "rail": {2, 3}, "short": {1, 2, 3}}
    worth = Fraction(0)
    for cut_board in plan.boards:
        board = boards[cut_board.board]
        serves = [
            (str(offcut.kind), offcut.share)
            for offcut in problem.shop.offcuts
            if cut_board.remains >= offcut.at_least and int(board.grade) in good[needs[offcut.kind]]
        ]
        key = f"{cut_board.board} {cut_board.copy}"
        if not serves:
            if cut_board.good_for:
                yield _fault("wrong-use", f"{key}: what remains serves as nothing again.", key)
            continue
        share = max(share for _, share in serves)
        if (cut_board.good_for, share) not in serves:
            yield _fault("wrong-use", f"{key}: what remains is said to serve as {cut_board.good_for!r}.", key)
        if board.at_hand and lowest:
            # Cutting a board makes none of it worth more than it was, to the next whole percent.
            own = Fraction(board.cost) / (board.length * lowest)
            share = min(share, Fraction(math.ceil(own * 100), 100))
        worth += max(Fraction(0), share * lowest * cut_board.remains - problem.shop.keeping)
    if worth != plan.left_worth:
        yield _fault(
            "wrong-left", f"What is left is worth {float(worth)}, not {float(plan.left_worth)}.", "left_worth"
        )
    if plan.left_worth_at_most is None:
        return
    if plan.left_worth_at_most < most_left(problem, plan.cost):
        yield _fault("left-not-proven", "More may be left than is said to be possible.", "left_worth_at_most")
    if plan.left_worth_at_most < plan.left_worth:
        yield _fault("left-above-bound", "More is left than is said to be possible.", "left_worth_at_most")
    if plan.left_proof and plan.left_worth_at_most != plan.left_worth:
        yield _fault(
            "false-proof", "What is left is said to be the most, but a bound is above it.", "left_proof"
        )


def _check_rounds(plan: BoardPlan, parts: dict[str, WantedPart]) -> Iterator[Fault]:
    stops = {(parts[cut.part].round, cut.stop) for board in plan.boards for cut in board.cuts}
    if len(stops) != plan.settings:
        yield _fault("wrong-settings", f"{len(stops)} stop settings, not {plan.settings}.", "settings")
    held = {
        (board.board, board.copy, parts[cut.part].round, cut.stop)
        for board in plan.boards
        for cut in board.cuts
    }
    if len(held) != plan.pickups:
        yield _fault(
            "wrong-pickups", f"Boards are picked up {len(held)} times, not {plan.pickups}.", "pickups"
        )


def _check_sorting(problem: BoardProblem, plan: BoardPlan) -> Iterator[Fault]:
    """What is said about least sorting: within its share of money, never more pick-ups, no bound above them."""
    sorting = plan.sorting
    if sorting is None:
        return
    if sorting.within != problem.settings_within:
        yield _fault("wrong-sorting", "Another share was asked for less sorting.", "sorting")
    if plan.cost > sorting.cost_before * (1 + sorting.within):
        yield _fault("sorting-too-dear", f"Less sorting costs {float(plan.cost)}.", "sorting")
    if plan.at_least > sorting.cost_before:
        yield _fault("bound-above-cost", "The plan before sorting costs less than any can.", "sorting")
    if plan.pickups > sorting.before:
        yield _fault(
            "more-sorting", f"{plan.pickups} pick-ups, {sorting.before} without the wish.", "sorting"
        )
    if sorting.at_least > fewest_pickups(problem):
        yield _fault(
            "sorting-not-proven", f"{sorting.at_least} pick-ups are not proven to be needed.", "sorting"
        )
    if plan.pickups < sorting.at_least:
        yield _fault(
            "sorting-bound", f"At least {sorting.at_least} pick-ups are said to be needed.", "sorting"
        )
    if sorting.proof and plan.pickups != sorting.at_least:
        yield _fault(
            "false-proof", "The pick-ups are said to be the fewest, but a bound is below.", "sorting"
        )
