"""Words below a board: whatever parts are narrow, no word lies on another and no lead runs through one."""

from __future__ import annotations

import numpy as np
import pytest

from longpoint.drawing.paper.extent import Box, overlaps
from longpoint.drawing.paper.marks import Text
from longpoint.drawing.views.board_labels import Below, labels_below

WIDTH = 181.3


@pytest.mark.parametrize("seed", range(12))
def test_words_of_narrow_parts_never_meet(seed: int) -> None:
    random = np.random.default_rng(4000 + seed)
    start, step = float(random.uniform(2.0, 120.0)), float(random.uniform(4.1, 9.3))
    count = min(int(random.integers(1, 8)), int((WIDTH - 2.0 - start) / step) + 1)
    wanted = [Below(start + k * step, f"C{k}  {300 + 7 * k} 15/16", strong=k % 3 > 0) for k in range(count)]
    marks = labels_below(wanted, width=WIDTH)
    assert sorted(mark.words for mark in marks if isinstance(mark, Text)) == sorted(
        one.words for one in wanted
    )
    assert overlaps(marks, within=Box(-2.6, -80.0, WIDTH + 2.4, 12.0)) == ()


@pytest.mark.parametrize("places", [(2.0, 7.0, 12.5), (170.0, 175.0, 180.0), (90.3,)])
def test_both_ends_of_a_board_have_room(places: tuple[float, ...]) -> None:
    marks = labels_below([Below(x, "C1  11 15/16") for x in places], width=WIDTH)
    assert overlaps(marks, within=Box(-2.6, -80.0, WIDTH + 2.4, 12.0)) == ()
    assert len([mark for mark in marks if isinstance(mark, Text)]) == len(places)
