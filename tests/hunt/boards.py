"""Board lists as workshops have them: every plan against the referee, against brute force where small, against a
constraint solver where middle-sized, and against itself."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

import numpy as np

from hunt.kinds import Checked, Kind, register
from longpoint.cutting import (
    Board,
    BoardPlan,
    BoardProblem,
    End,
    Grade,
    Lie,
    OffcutWorth,
    Shop,
    Span,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
)
from longpoint.cutting import Kind as Becomes
from longpoint.cutting.boards.case import case_of, problem_of_case

nm = nanometres
Random = np.random.Generator


def cents(random: Random, amount: float, *, whole: bool = True) -> Fraction:
    """An amount of money in whole cents, or as a shop's till multiplies it out."""
    return Fraction(max(1, round(100 * amount)), 100) if whole else Fraction(repr(max(0.01, amount)))


def lengths_on_sale(random: Random, count: int) -> list[int]:
    """Lengths on sale, all different. [mm]."""
    ladder = [
        1800,
        2000,
        2100,
        2400,
        2500,
        2700,
        3000,
        3300,
        3600,
        3900,
        4000,
        4200,
        4500,
        4800,
        5100,
        5400,
        6000,
    ]
    chosen = set(random.choice(ladder, size=min(count, len(ladder)), replace=False).tolist())
    if max(chosen) < 3000:
        chosen.add(3000)
    return sorted(int(length) for length in chosen)


def priced(random: Random, lengths: Iterable[int]) -> list[Fraction]:
    """Prices of lengths on sale: by the metre, by the board, with a rebate on long ones, by whole money."""
    per_metre = float(random.uniform(1.2, 6.0))
    style = int(random.choice(6, p=[0.2, 0.2, 0.2, 0.2, 0.15, 0.05]))
    prices: list[Fraction] = []
    for length in lengths:
        amount = per_metre * length / 1000
        if style == 1:
            amount *= float(random.uniform(0.92, 1.12))
        elif style == 2:
            amount *= 1 - 0.03 * (length >= 3000) - 0.04 * (length >= 4800)
        elif style == 3:
            amount = max(1.0, round(amount))
        elif style == 4:
            prices.append(Fraction(length, 100))
            continue
        prices.append(cents(random, amount, whole=style != 5))
    return prices


def rack(random: Random, count: int, rate: float) -> list[Board]:
    """Boards at hand: any length, any grade, some with spoiled spans, worth a share of new timber."""
    boards: list[Board] = []
    for k in range(count):
        length = int(random.integers(300, 3600))
        spans: list[Span] = []
        for _ in range(int(random.choice([0, 0, 0, 1, 2]))):
            start = int(random.integers(0, max(1, length - 60)))
            spans.append(Span(nm(start), nm(start + int(random.integers(1, 55))), "knot"))
        worth = cents(random, rate * length / 1000 * float(random.choice([0, 0.2, 0.5, 0.9])) + 0.001)
        boards.append(
            Board(
                f"rack {k + 1}", nm(length), worth if random.random() < 0.9 else Fraction(0),
                int(random.choice([1, 1, 1, 2, 4])), True, Grade(int(random.integers(1, 4))),
                bow=nm(int(random.choice([0, 0, 3]))), spoiled=tuple(spans), sawn=bool(random.random() < 0.2),
            )
        )  # fmt: skip
    return boards


def workshop(seed: int) -> BoardProblem:
    """A list as a workshop has it: 6 to 100 works, 2 to 12 lengths on sale, a rack."""
    random = np.random.default_rng([seed, 1])
    works = int(6 * (100 / 6) ** (random.random() ** 12))
    mitred, turns = random.random() < 0.6, random.random() < 0.3
    depth, thickness = int(random.choice([42, 44, 60, 70])), int(random.choice([18, 20, 21]))
    width = thickness if random.random() < 0.8 else depth
    step = int(random.choice([1, 1, 5, 10]))
    kerf = nm(Fraction(int(random.integers(0, 41)), 10))
    near = random.random() < 0.15  # works nearly alike: what fills a board is then hard to say
    base = int(random.integers(600, 2300))
    parts: list[WantedPart] = []

    def size() -> int:
        if near:
            return base + int(random.integers(0, 100))
        return step * round(int(np.exp(random.uniform(np.log(250), np.log(2400)))) / step)

    for k in range(works):
        copies = int(random.choice([1, 1, 1, 2, 3, 6]))
        for side in "wh":
            ends = End.MITRE if mitred else End.SQUARE
            lie = Lie.MAY_TURN if turns else Lie.LIP_FIXED
            parts.append(
                WantedPart(
                    f"{k}{side}",
                    nm(max(size(), 2 * width + 1)),
                    2 * copies,
                    ends=ends,
                    lie=lie,
                    mitre_width=nm(width),
                )
            )
        if random.random() < 0.35:
            parts.append(
                WantedPart(f"{k}r", nm(size() - 41), copies, kind=Becomes.RAIL, ends=End.SQUARE, round=2)
            )
    lengths = lengths_on_sale(random, int(random.integers(2, 13)))
    prices = priced(random, lengths)
    boards = [Board(f"{length}", nm(length), price) for length, price in zip(lengths, prices, strict=True)]
    for at in range(len(boards) - 1):  # the longest is always to be had
        if random.random() < 0.12:
            boards[at] = replace(boards[at], how_many=int(random.integers(0, 9)))
    if random.random() < 0.4:
        rate = float(prices[-1]) / lengths[-1] * 1000
        boards = rack(random, int(random.integers(1, 11)), rate) + boards
    offcuts = (
        OffcutWorth(Becomes.BAR, nm(900), Fraction(6, 10)),
        OffcutWorth(Becomes.RAIL, nm(500), Fraction(4, 10)),
        OffcutWorth(Becomes.BLOCK, nm(120), Fraction(1, 10)),
    )
    shop = Shop(
        kerf, trim=nm(int(random.choice([0, 0, 5, 10, 20]))), safe=nm(int(random.choice([0, 0, 150, 250]))),
        offcuts=offcuts if random.random() < 0.5 else (), keeping=Fraction(int(random.integers(0, 60)), 100),
    )  # fmt: skip
    within = Fraction(int(random.integers(0, 3)), 100) if works < 10 and random.random() < 0.12 else None
    apart = bool(mitred and random.random() < 0.2)
    return BoardProblem(
        f"{thickness} × {depth}", nm(thickness), nm(depth), tuple(parts), tuple(boards), shop,
        settings_within=within, bevelled_apart=apart,
    )  # fmt: skip


def small(seed: int) -> BoardProblem:
    """Up to seven square parts, for brute force over all ways."""
    random = np.random.default_rng([seed, 2])
    count = int(random.integers(2, 8))
    parts = tuple(
        WantedPart(f"p{k}", nm(int(random.integers(150, 1300))), 1, kind=Becomes.BLOCK, ends=End.SQUARE)
        for k in range(count)
    )
    lengths = sorted({int(one) for one in random.integers(1350, 3200, int(random.integers(1, 5)))})
    boards = [
        Board(f"{length}", nm(length), price, None if random.random() < 0.7 else int(random.integers(1, 3)))
        for length, price in zip(lengths, priced(random, lengths), strict=True)
    ]
    boards[-1] = replace(boards[-1], how_many=None)
    shop = Shop(nm(Fraction(int(random.integers(0, 41)), 10)), trim=nm(int(random.choice([0, 0, 8]))))
    return BoardProblem("s", nm(20), nm(44), parts, tuple(boards), shop)


def least_cost(problem: BoardProblem) -> Fraction | None:
    """Least cost of square parts over all ways to share them among boards."""
    parts = [part.length for part in problem.parts for _ in range(part.how_many)]
    kerf, trim = problem.shop.kerf, problem.shop.trim
    everything = (1 << len(parts)) - 1
    loads = [
        sum(length + kerf for k, length in enumerate(parts) if mask >> k & 1) - kerf
        for mask in range(everything + 1)
    ]
    best: dict[int, Fraction] = {0: Fraction(0)}
    for board in problem.boards:
        gives = [mask for mask in range(1, everything + 1) if loads[mask] <= board.length - 2 * trim]
        for _ in range(len(parts) if board.how_many is None else board.how_many):
            after = dict(best)
            for done, cost in best.items():
                for mask in gives:
                    total = cost + board.cost
                    if not mask & done and total < after.get(mask | done, total + 1):
                        after[mask | done] = total
            if after == best:
                break
            best = after
    return best.get(everything)


def middle(seed: int) -> BoardProblem:
    """Ten to twenty square parts and two to four lengths, for a constraint solver."""
    random = np.random.default_rng([seed, 3])
    parts = tuple(
        WantedPart(f"p{k}", nm(int(random.integers(280, 1600))), 1, kind=Becomes.BLOCK, ends=End.SQUARE)
        for k in range(int(random.integers(10, 19)))
    )
    lengths = lengths_on_sale(random, int(random.integers(2, 5)))
    boards = tuple(
        Board(f"{length}", nm(length), price)
        for length, price in zip(lengths, priced(random, lengths), strict=True)
    )
    return BoardProblem("s", nm(20), nm(44), parts, boards, Shop(nm(int(random.integers(0, 5)))))


def by_constraints(problem: BoardProblem, slots: int) -> tuple[Fraction, Fraction] | None:
    """Cost and bound of a constraint solver that counts in whole numbers; None where it is not there."""
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        return None
    unit = math.lcm(*(Fraction(board.cost).denominator for board in problem.boards))
    if unit > 10**6:
        return None  # its answer comes back as a floating number
    stock = [(board.length, int(board.cost * unit)) for board in problem.boards]
    kerf = problem.shop.kerf
    model = cp_model.CpModel()
    kind = [[model.new_bool_var("") for _ in stock] for _ in range(slots)]
    lies = [[model.new_bool_var("") for _ in range(slots)] for _ in problem.parts]
    for row in lies:
        model.add_exactly_one(row)
    for slot in range(slots):
        model.add_at_most_one(kind[slot])
        load = sum((part.length + kerf) * lies[p][slot] for p, part in enumerate(problem.parts))
        model.add(load <= sum((length + kerf) * kind[slot][k] for k, (length, _) in enumerate(stock)))
    model.minimize(sum(cost * kind[slot][k] for slot in range(slots) for k, (_, cost) in enumerate(stock)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 3
    solver.parameters.max_deterministic_time = 1.0
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return Fraction(round(solver.objective_value), unit), Fraction(
        math.ceil(solver.best_objective_bound - 1e-6), unit
    )


def refereed(problem: BoardProblem) -> tuple[BoardPlan, list[str]]:
    """The plan and what the referee says of it."""
    plan = plan_boards(problem)
    return plan, [f"referee: {fault}" for fault in check_board_plan(problem, plan)]


def counts_of(plan: BoardPlan) -> tuple[str, ...]:
    """What is counted of every plan."""
    told = [f"proof {plan.proof or 'none'}"]
    if plan.left_worth_at_most is not None:
        told.append(f"left {plan.left_proof or 'none'}")
    if plan.sorting is not None:
        told.append(f"sorting {plan.sorting.proof or 'none'}")
    return tuple(told)


def check_small(seed: int) -> Checked:
    """Against every way there is."""
    problem = small(seed)
    plan, wrong = refereed(problem)
    least = least_cost(problem)
    if least is None or plan.at_least > least or plan.cost < least or (plan.proven and plan.cost != least):
        wrong.append(f"cost {plan.cost}, at least {plan.at_least}, proven {plan.proven}; truly {least}")
    return Checked(tuple(wrong), counts_of(plan))


def check_middle(seed: int) -> Checked:
    """Against a constraint solver."""
    problem = middle(seed)
    plan, wrong = refereed(problem)
    found = by_constraints(problem, len(plan.boards) + 1)
    if found is not None:
        cost, bound = found
        if plan.at_least > cost or (plan.proven and plan.cost > cost) or bound > plan.cost:
            wrong.append(
                f"cost {plan.cost}, at least {plan.at_least}; a constraint solver: {bound} to {cost}"
            )
    return Checked(tuple(wrong), (*counts_of(plan), *(("by constraints",) if found else ())))


def doubled(problem: BoardProblem) -> BoardProblem:
    """Every length twice as long."""
    shop = problem.shop
    return replace(
        problem,
        parts=tuple(
            replace(part, length=2 * part.length, extra=2 * part.extra, mitre_width=2 * part.mitre_width)
            for part in problem.parts
        ),
        boards=tuple(
            replace(
                board, length=2 * board.length, bow=2 * board.bow, crook=2 * board.crook, twist=2 * board.twist,
                spoiled=tuple(Span(2 * span.start, 2 * span.end, span.why) for span in board.spoiled),
            )
            for board in problem.boards
        ),
        shop=replace(
            shop, kerf=2 * shop.kerf, trim=2 * shop.trim, safe=2 * shop.safe,
            offcuts=tuple(replace(one, at_least=2 * one.at_least) for one in shop.offcuts),
        ),
    )  # fmt: skip


def dearer(problem: BoardProblem, factor: int) -> BoardProblem:
    """Every price so many times as high."""
    return replace(
        problem,
        boards=tuple(replace(board, cost=board.cost * factor) for board in problem.boards),
        shop=replace(problem.shop, keeping=problem.shop.keeping * factor),
    )


def too_dear(problem: BoardProblem) -> BoardProblem:
    """One more kind of board: no longer than the longest, and far dearer."""
    most = max((board for board in problem.boards if board.how_many is None), key=lambda board: board.length)
    extra = Board("too dear", most.length, 10 * max(board.cost for board in problem.boards) + 1)
    return replace(problem, boards=(*problem.boards, extra))


def against_itself(problem: BoardProblem, plan: BoardPlan, which: int) -> list[str]:
    """One other way to ask the same, or a little less."""
    ways = [
        ("parts in another order", replace(problem, parts=problem.parts[::-1]), 1),
        ("boards in another order", replace(problem, boards=problem.boards[::-1]), 1),
        ("lengths doubled", doubled(problem), 1),
        ("prices times ten", dearer(problem, 10), 10),
        ("a board too dear", too_dear(problem), 1),
        ("a part less", replace(problem, parts=problem.parts[:-1]), 1),
    ]
    name, other, factor = ways[which % len(ways)]
    again, wrong = refereed(other)
    wrong = [f"{name}: {one}" for one in wrong]
    cost, at_least = again.cost / factor, again.at_least / factor
    if at_least > plan.cost or (name != "a part less" and plan.at_least > cost):
        wrong.append(f"{name}: {at_least} to {cost}, before {plan.at_least} to {plan.cost}")
    return wrong


def check_workshop(seed: int) -> Checked:
    """Against the referee, and for all but the largest against itself."""
    problem = workshop(seed)
    wrong = [] if problem_of_case(case_of(problem)) == problem else ["the case file holds another problem"]
    plan, found = refereed(problem)
    wrong += found
    if len(problem.parts) * len(problem.boards) < 600 and seed % 2 == 0:
        wrong += against_itself(problem, plan, seed // 2)
    return Checked(tuple(wrong), counts_of(plan))


register(Kind("boards-small", lambda seed: case_of(small(seed)), check_small, 200))
register(Kind("boards-middle", lambda seed: case_of(middle(seed)), check_middle, 25))
register(Kind("boards", lambda seed: case_of(workshop(seed)), check_workshop, 5))
