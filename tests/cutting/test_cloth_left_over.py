"""What a lay leaves over: with the pieces it makes up what is taken off the roll, to the square millimetre."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest

from longpoint.cutting.cloth.left_over import SERVES, left_over
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth


@pytest.mark.parametrize("seed", range(6))
def test_pieces_and_what_is_left_over_make_up_what_is_taken_and_nothing_lies_on_anything(seed: int) -> None:
    chance = random.Random(seed)
    pieces = tuple(
        ClothPiece(f"p{n}", chance.randint(300, 1700), chance.randint(300, 2300), count=chance.randint(1, 3))
        for n in range(chance.randint(1, 5))
    )
    flaws = (Flaw(700, 740, 400, 900),) if seed % 2 else ()
    roll = ClothRoll("half roll", 2107.0, 60_000.0 if seed % 3 else None, price=Decimal(10), flaws=flaws)
    problem = ClothProblem(pieces, (roll,))
    plan = plan_cloth(problem, effort=100)
    left = left_over(plan, problem)
    laid = sum(piece.across * piece.along for piece in plan.laid)
    assert laid + sum(rest.across * rest.along for rest in left) == pytest.approx(2107.0 * plan.uses[0].used)
    boxes = [(p.x, p.y, p.x + p.across, p.y + p.along) for p in plan.laid]
    boxes += [(r.x, r.y, r.x + r.across, r.y + r.along) for r in left]
    for n, one in enumerate(boxes):
        for other in boxes[n + 1 :]:
            apart = (
                one[2] <= other[0] + 1e-6
                or other[2] <= one[0] + 1e-6
                or one[3] <= other[1] + 1e-6
                or other[3] <= one[1] + 1e-6
            )
            assert apart, (one, other)


def test_only_what_serves_again_has_a_number() -> None:
    roll = ClothRoll("r", 2100.0, price=Decimal(10))
    problem = ClothProblem((ClothPiece("a", 1700, 1000), ClothPiece("b", 1960, 900)), (roll,))
    left = left_over(plan_cloth(problem, effort=50), problem)
    # by hand: 2100 − 1700 = 400 wide serves, 2100 − 1960 = 140 wide does not
    assert sorted((round(rest.across), round(rest.along), rest.number) for rest in left) == [
        (140, 900, 0),
        (400, 1000, 1),
    ]
    assert 140 < SERVES <= 400
