"""A solver that ends without an answer reaches nobody: what a hand does is taken, and nothing is claimed."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from longpoint.cutting import (
    Board,
    BoardProblem,
    End,
    Kind,
    OffcutWorth,
    Shop,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
)
from longpoint.cutting.boards.search import gains, relaxation
from longpoint.cutting.quiet import SolverStopped, quiet_highs, run_linear

nm = nanometres


def problem() -> BoardProblem:
    parts = tuple(
        WantedPart(f"p{k}", nm(400 + 37 * k), 2, kind=Kind.BLOCK, ends=End.SQUARE) for k in range(6)
    )
    boards = (Board("a", nm(2400), Fraction(7)), Board("b", nm(1800), Fraction(5)))
    shop = Shop(nm(3), offcuts=(OffcutWorth(Kind.BLOCK, nm(200), Fraction(1, 2)),))
    return BoardProblem("s", nm(20), nm(44), parts, boards, shop, settings_within=Fraction(1, 10))


def stop(_model: Any) -> None:
    raise SolverStopped("Solve error")


@pytest.mark.parametrize("room", [relaxation, gains])
def test_a_solver_that_stops_leaves_a_plan(monkeypatch: pytest.MonkeyPatch, room: Any) -> None:
    monkeypatch.setattr(room, "run_linear", stop)
    asked = problem()
    plan = plan_boards(asked)
    assert check_board_plan(asked, plan) == ()
    if room is relaxation:
        assert (plan.at_least, plan.proven, plan.proof) == (0, False, "")


def test_a_program_that_ends_without_an_answer_is_run_again_from_afresh() -> None:
    class Once:
        """Ends with an error the first time."""

        def __init__(self) -> None:
            self.model, self.runs = quiet_highs(), 0

        def run(self) -> None:
            self.runs += 1
            self.model.run()

        def modelStatusToString(self, status: Any) -> str:
            return "Solve error" if self.runs == 1 else self.model.modelStatusToString(status)

        def __getattr__(self, name: str) -> Any:
            return getattr(self.model, name)

    once = Once()
    once.model.addVar(1.0, 2.0)
    run_linear(once)
    assert once.runs == 2
