"""What boards that can be had only so often give to bars is gone for rails, and the other way round."""

from __future__ import annotations

from collections import Counter
from types import SimpleNamespace
from typing import Any

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.cutting.boards.values import BoardProblem
from longpoint.errors import FaultsError, refuse
from longpoint.frame.members import derive_frame
from longpoint.frame.parts import parts_of
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch
from longpoint.needs.boards import board_plans
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed

# One timber for both: on edge for bars, turned flat for rails. It comes bevelled, so that no board gives both.
ONE_TIMBER = """
[inside]
cross_rails = 1
middle_pieces = false
end_rails = "none"
thickness = 44
depth = 21
[bars]
corner = "half-lap"
bevel_by = "yard"
[[work]]
name = "Reeds"
width = 1000
height = 700
[[yard]]
name = "redwood"
thickness = 21
depth = 44
lengths = [{lengths}]
"""


def boards_of(lengths: str, *, text: str = ONE_TIMBER) -> Counter[int]:
    plan = plan_batch(parse_batch(text.replace("{lengths}", lengths)))
    return Counter(round(board.length / 1e6) for section in plan.boards for board in section.plan.boards)


@pytest.mark.slow
def test_a_length_of_which_there_are_two_is_not_bought_three_times() -> None:
    # Bars: 1000 + 1000 and 700 + 700 on two boards of 2400 between trims of 15; the rail needs a third.
    assert boards_of("{ length = 2400 }") == {2400: 3}
    assert boards_of("{ length = 2400, how_many = 3 }") == {2400: 3}
    mixed = boards_of("{ length = 2400, how_many = 2 }, { length = 4800 }")
    assert mixed[2400] <= 2 and mixed[4800] >= 1
    with pytest.raises(FaultsError, match="none left"):
        boards_of("{ length = 2400, how_many = 2 }", text=f"as_stated = true\n{ONE_TIMBER}")
    assert boards_of("{ length = 2400, how_many = 2 }").total() == 3  # the third comes from an ordinary shop


def test_rails_choose_first_where_bars_would_leave_them_nothing() -> None:
    batch = parse_batch(ONE_TIMBER.replace("{lengths}", "{ length = 2400, how_many = 2 }, { length = 4800 }"))
    designed = design_of(briefs_of(batch)[0])
    assert isinstance(designed, Designed)
    parts = parts_of(derive_frame(designed.design), work="Reeds", code="A", how_many=1)
    asked: list[str] = []

    def greedy(problem: BoardProblem) -> Any:
        """Bars take all there is of 2400 and can do without; rails need one of them."""
        left = next((board.how_many or 0 for board in problem.boards if board.name == "2400"), 0)
        use = problem.section.split()[0]
        asked.append(f"{use} {left}")
        if use == "rails" and not left:
            raise refuse("no-board-gives", "nothing is left.", "Add boards.")
        one = SimpleNamespace(board="2400", at_hand=False)
        return SimpleNamespace(boards=(one,) * (1 if use == "rails" else left))

    plans = board_plans(batch, [(designed, parts)], solve=greedy)
    assert asked == ["bars 2", "rails 0", "rails 2", "bars 1"]
    assert [plan.use for plan in plans] == ["bars", "rails"]
