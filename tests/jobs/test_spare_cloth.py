"""Cloth for tearing and spare cloth on one side: in the piece that is cut, in the lay, and out of the middles."""

from __future__ import annotations

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch

BATCH = """
[[work]]
name = "Reeds"
width = 907
height = 613
cloth = {{ turnover = 83, {keys} }}
"""


@pytest.mark.parametrize(
    ("keys", "size", "middles"),
    [
        ("spare = 0", (1073, 779), (536.5, 389.5)),
        ('spare = 117, spare_side = "top"', (1073, 896), (536.5, 389.5)),
        ('spare = 117, spare_side = "left"', (1190, 779), (536.5, 389.5)),
        ("edge_allowance = 11", (1095, 801), (547.5, 400.5)),
        ("edge_allowance = 11, spare = 117", (1095, 918), (547.5, 400.5)),
    ],
)
def test_sheet_and_lay_cut_one_piece(
    keys: str, size: tuple[float, float], middles: tuple[float, float]
) -> None:
    plan = plan_batch(parse_batch(BATCH.format(keys=keys)), choose=design_of)
    (work,) = plan.works
    assert (work.canvas.piece.width, work.canvas.piece.height) == size
    assert work.canvas.piece.middles == middles
    (laid,) = (piece for cloth in plan.cloths for piece in cloth.plan.laid)
    assert {laid.across, laid.along} == set(size)
