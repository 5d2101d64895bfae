"""The frame of eleven timbers: two long bars, two short ones, two end rails, two cross rails, three middle pieces.

Its figures were reckoned by hand at the bench (common practice, no published source): timber 21 thick, mitred corners,
rails between the end rails at even bays, cloth 80 beyond the face, five screws along an end rail.
"""

from __future__ import annotations

import math
import re

import pytest

from longpoint.drawing.pages import A4, Page, Table
from longpoint.drawing.voice import voice_of
from longpoint.export.pack_of import pack_of
from longpoint.frame import Kind
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.joinery import JointKind
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow

BATCH = """
title = "Eleven timbers"
unit = "mm"
[bars]
thickness = 21
depth = 44
[inside]
cross_rails = 2
middle_pieces = true
end_rails = "short sides"
thickness = 21
[[work]]
name = "Eleven"
width = 1700
height = 1200
"""


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_batch(parse_batch(BATCH, file="t.toml"))


def test_lengths_and_places_are_those_reckoned_by_hand(plan: Plan) -> None:
    (work,) = plan.works
    frame = work.frame
    assert len(frame.members) == 11
    lengths = {
        kind: sorted(
            {(float(part.long_point), float(part.short_point)) for part in work.parts if part.kind is kind}
        )
        for kind in Kind
    }
    assert lengths[Kind.BAR] == [(1200, 1158), (1700, 1658)]
    assert lengths[Kind.END_RAIL] == lengths[Kind.CROSS_RAIL] == [(1158, 1158)]
    ((piece, _),) = lengths[Kind.MIDDLE_PIECE]
    assert piece == pytest.approx(524.67, abs=0.005)
    edges = [edge for rail in frame.of_kind(Kind.CROSS_RAIL) for edge in (rail.low, rail.high)]
    assert [round(float(edge), 1) for edge in sorted(edges)] == [566.7, 587.7, 1112.3, 1133.3]
    assert (work.canvas.piece.width, work.canvas.piece.height) == (1860, 1360)
    assert math.hypot(1700, 1200) == pytest.approx(2080.9, abs=0.05)
    assert "2081" in {row[1] for row in check_rows_of(plan)}


def check_rows_of(plan: Plan) -> list[tuple[str, ...]]:
    page = _sheet(plan)
    return [row for table in _tables(page.blocks) for row in table.rows]


def _sheet(plan: Plan) -> Page:
    pack = pack_of(plan, say=voice_of("en", plan.batch.style), paper=A4)
    return next(page for page in pack.pages if page.key == "work")


def _tables(blocks: object) -> list[Table]:
    if isinstance(blocks, Table):
        return [blocks]
    if isinstance(blocks, tuple):
        return [table for block in blocks for table in _tables(block)]
    return [table for name in ("blocks", "columns") for table in _tables(getattr(blocks, name, ()))]


def test_an_end_rail_takes_five_screws_and_the_sheet_says_why_one_stands_aside(plan: Plan) -> None:
    (work,) = plan.works
    along = {
        fixing.name
        for joint in work.build.joints
        if joint.kind is JointKind.ALONG
        for fixing in joint.fixings
    }
    for rail in work.frame.of_kind(Kind.END_RAIL):
        bored = [mark for mark in work.build.holes_in(rail.name) if mark.purpose == "clearance hole"]
        row = sorted(round(float(mark.at)) for mark in bored if mark.fixing in along)
        # even they would be 47, 313, 579, 845, 1111; a middle piece's screw passes at 579
        assert row == [47, 313, 599, 845, 1111]
        assert 579 in {round(float(mark.at)) for mark in bored if mark.fixing not in along}
    assert re.search(r"599, not 579: a screw of another rail passes there", repr(_sheet(plan).blocks))
