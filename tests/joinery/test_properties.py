"""Over random frames: no screw clashes, leaves the wood, breaks its rule or is out of reach; every part gets in."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import Phase, assume, event, given, settings
from hypothesis import strategies as st

from joinery.frames import FEW_SCREWS, LONG_BIT, MANY_SCREWS, STYLE, design_of
from longpoint.frame import derive_frame, design_faults, parts_of
from longpoint.joinery import build_plan_of, needed_shift
from longpoint.joinery.referee import check_build_plan

F = Fraction
# Shrinking a frame takes minutes and explains little: the design is printed as it is.
QUICK = (Phase.explicit, Phase.reuse, Phase.generate)
CORNERS = ("mitre", "mitre with gusset", "mitre with glue block", "half-lap", "keyed mitre")


@st.composite
def designs(draw, *, ordinary):
    """Any design the frame room accepts; ``ordinary`` ones have bays that take a drill and rails that take a screw."""
    thickness = F(draw(st.integers(19, 45)))
    depth = F(draw(st.integers(38, 90) if ordinary else st.integers(18, 90)))
    drop = F(draw(st.integers(3, 11)))
    gap = F(draw(st.integers(6, 13)))
    rail_depth = depth - drop - gap
    assume(rail_depth >= (26 if ordinary else 6))
    rail_thickness = F(draw(st.integers(19, int(thickness))))
    rails = draw(st.integers(0, 4))
    width = F(draw(st.integers(240, 3300)), 1) + F(draw(st.integers(0, 15)), 16)
    height = F(draw(st.integers(240, 3300)))
    halved = draw(st.booleans()) and rails > 0
    ends = draw(st.sampled_from(["none", "short", "all"]))
    short = ("left", "right") if width >= height else ("bottom", "top")
    every = ("left", "right", "bottom", "top")
    design = design_of(
        width=width,
        height=height,
        bar_thickness=thickness,
        bar_depth=depth,
        bevel_fall=F(draw(st.integers(2, max(2, min(8, int(depth / 5)))))),
        corner=draw(st.sampled_from(CORNERS)),
        rail_thickness=rail_thickness,
        rail_depth=rail_depth,
        drop=drop,
        end_rails={"none": (), "short": short, "all": every}[ends],
        rails=rails,
        middle_pieces=draw(st.booleans()) or halved,
        halved=halved,
        shift=F(0) if halved or not rails else needed_shift(rail_thickness=rail_thickness, drill=LONG_BIT),
    )
    assume(not design_faults(design, style=STYLE, key="work[1]", work="River"))
    if ordinary:
        low, high = design.clear_along()
        bay = (high - low - rails * rail_thickness) / (rails + 1)
        across = design.clear_across()
        assume(bay >= 340 and across[1] - across[0] >= 340)
    return design


def plan(design, screws):
    frame = derive_frame(design)
    return frame, build_plan_of(
        frame,
        work="River",
        key="work[1]",
        screws=screws,
        drill=LONG_BIT,
        style=STYLE,
        parts=parts_of(frame, work="River", code="B", how_many=1),
    )


@pytest.mark.slow
@settings(max_examples=60, deadline=None, phases=QUICK)
@given(design=designs(ordinary=True))
def test_every_ordinary_frame_can_be_built_and_the_referee_finds_nothing(design):
    frame, found = plan(design, MANY_SCREWS)
    event(f"corner {design.corner}")
    event(f"{len(frame.members)} members")
    assert found.faults == ()
    assert check_build_plan(frame, found, drill=LONG_BIT) == ()


@pytest.mark.slow
@settings(max_examples=60, deadline=None, phases=QUICK)
@given(design=designs(ordinary=False))
def test_any_frame_is_either_refused_with_a_reason_or_stands_before_the_referee(design):
    frame, found = plan(design, FEW_SCREWS)
    event("refused" if found.faults else "planned")
    for fault in found.faults:
        assert fault.what.startswith("River")
        assert fault.remedy
    if not found.faults:
        assert check_build_plan(frame, found, drill=LONG_BIT) == ()
