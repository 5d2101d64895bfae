"""The corner fold: cloth neither grows nor tears when it is folded, and the cut takes only what is hidden.

Layers: three to five thicknesses at a folded corner, from memory.
"""

from __future__ import annotations

from math import dist, hypot, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from longpoint.errors import OutOfRangeError
from longpoint.stretching.fold import CleanSides, FoldWay, corner_fold, corner_places

DEPTH, TURNOVER = 43.0, 67.0


def fold(**changes):
    return corner_fold(**{"depth": DEPTH, "turnover": TURNOVER, "cloth_thickness": 0.62, **changes})


def shape(lay, name):
    (found,) = [patch for patch in lay.patches if patch.name == name]
    return Polygon(found.outline)


def test_a_parcel_fold_lays_three_layers_on_the_side_and_four_on_the_back():
    found = fold()
    assert found.way is FoldWay.PARCEL
    assert found.side_before.layers == 3  # from memory: three to five thicknesses
    assert found.back_before.layers == 4  # from memory: three to five thicknesses
    assert found.thickness_before == pytest.approx(4 * 0.62)


def test_without_slant_the_tuck_is_half_the_square_of_the_bars_depth():
    found = fold(slant=0.0)
    # by hand: the doubled triangle between corner line and 45°, depth 43
    assert found.side_before.area_of(at_least=3) == pytest.approx(0.5 * DEPTH**2, rel=1e-6)
    # by hand: on the back all four lie together where a, b < 24
    assert found.back_before.area_of(at_least=4) == pytest.approx((TURNOVER - DEPTH) ** 2, rel=1e-6)


def test_the_relief_cut_takes_most_of_the_third_layer_and_no_seen_cloth():
    found = fold()
    assert found.side.area_of(at_least=3) < 0.25 * found.side_before.area_of(at_least=3)
    assert found.back.area_of(at_least=4) < 0.6 * found.back_before.area_of(at_least=4)
    # the first layer covers as much wood as before: nothing seen is gone
    assert found.side.area_of(at_least=1) == pytest.approx(found.side_before.area_of(at_least=1), rel=1e-9)
    assert found.back.area_of(at_least=1) == pytest.approx(found.back_before.area_of(at_least=1), rel=1e-9)
    cut = Polygon(found.cut.outline)
    for patch in found.flat:
        if patch.name != "turn-in":
            assert cut.intersection(Polygon(patch.outline)).area < 1e-3


def test_the_relief_cut_ends_at_the_corner_but_not_in_the_face():
    outline = fold(short_of_corner=3.7).cut.outline
    cut = Polygon(outline)
    assert sorted(hypot(u, v) for u, v in outline)[:2] == pytest.approx([3.7, 3.7], abs=1e-5)
    assert cut.bounds[0] > 0  # u > 0: outside the face and the folded flap
    assert cut.bounds[1] > 0


@pytest.mark.slow
@settings(max_examples=40)
@given(
    depth=st.floats(19, 80),
    on_back=st.floats(15, 45),
    slant=st.floats(0, 0.08),
)
def test_folding_keeps_the_area_of_every_piece(depth, on_back, slant):
    found = corner_fold(depth=depth, turnover=depth + on_back, cloth_thickness=0.5, slant=slant)
    for name in ("tuck", "turn-in"):
        flat = Polygon(next(patch.outline for patch in found.flat if patch.name == name)).area
        placed = sum(
            Polygon(patch.outline).area
            for lay in (found.side_before, found.back_before)
            for patch in lay.patches
            if patch.name == name
        )
        assert placed == pytest.approx(flat, rel=1e-6)


@pytest.mark.slow
@settings(max_examples=25)
@given(slant=st.floats(0, 0.08))
def test_layers_counted_by_cell_add_up_to_the_cloth_that_lies_there(slant):
    found = fold(slant=slant)
    for lay in (found.side_before, found.side, found.back_before, found.back):
        cloth = sum(Polygon(patch.outline).area for patch in lay.patches)
        counted = sum(layers * area for layers, area in enumerate(lay.areas, start=1))
        assert counted == pytest.approx(cloth, rel=1e-6)


def test_no_cloth_stands_over_the_edge():
    found = fold()
    for patch in (*found.side.patches, *found.back.patches):
        assert min(x for x, _ in patch.outline) >= 0


def test_the_outer_fold_slants_inward_towards_the_back():
    (lip, back) = fold(slant=radians(2)).outer_fold
    assert lip == (0, 0)
    assert back[0] == pytest.approx(1.5016, abs=1e-3)  # by hand: 43 tan 2°
    flap = shape(fold(slant=radians(2)).side, "folded flap")
    assert not flap.covers(Point(0.5, 40))  # the tuck shows here, the flap stands back
    assert flap.covers(Point(2.0, 40))


def test_the_edges_of_the_tuck_meet_where_they_are_joined():
    # the crease between tuck and turn-in is one line: its ends must land on the same points from either piece
    found = fold(slant=0.03)
    (_, end) = found.folds[1]
    length = hypot(*end)
    tuck, turned = shape(found.side_before, "tuck"), shape(found.side_before, "turn-in")
    shared = [p for p in tuck.exterior.coords if min(dist(p, q) for q in turned.exterior.coords) < 1e-4]
    assert any(dist(p, (0, 0)) < 1e-4 for p in shared)
    assert max(dist(p, (0, 0)) for p in shared) == pytest.approx(length * DEPTH / end[0], rel=0.1)


def test_thick_cloth_is_lapped_and_lies_thinner():
    thick = fold(cloth_thickness=1.3)
    assert thick.way is FoldWay.LAPPED
    assert thick.side.layers == 2
    assert thick.back.layers == 3
    assert thick.thickness < thick.thickness_before
    assert [caution.code for caution in thick.cautions] == ["raw-edge-at-corner"]


def test_the_lap_leaves_no_bare_wood_under_the_slanting_edge():
    thick = fold(cloth_thickness=1.3)
    bare = box(0, 0, 10, DEPTH)
    for patch in thick.side.patches:
        bare = bare.difference(Polygon(patch.outline).buffer(1e-6))
    assert bare.area < 1.0


def test_folds_lie_on_bottom_and_top_so_both_uprights_stay_clean():
    corners = corner_places()
    assert {corner.clean_side for corner in corners} == {"left", "right"}
    assert {corner.name: corner.folded_side for corner in corners} == {
        "lower left": "bottom",
        "lower right": "bottom",
        "upper right": "top",
        "upper left": "top",
    }


def test_the_user_may_have_bottom_and_top_clean_instead():
    corners = corner_places(CleanSides.LEVEL)
    assert {corner.folded_side for corner in corners} == {"left", "right"}
    upper_right = corners[2]
    assert (upper_right.along_u, upper_right.along_v) == ((0.0, 1.0), (1.0, 0.0))


@pytest.mark.parametrize("clean", list(CleanSides))
def test_u_and_v_point_out_of_the_face_at_every_corner(clean):
    for corner in corner_places(clean):
        out = (corner.along_u[0] + corner.along_v[0], corner.along_u[1] + corner.along_v[1])
        assert out == (-1 if "left" in corner.name else 1, -1 if "lower" in corner.name else 1)


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"depth": 0.0}, "Depth must be above 0 mm"),
        ({"slant": 0.4}, r"0 to 0\.15 rad, not 0\.4"),
        ({"turn_in": 66.0}, "turn-in of 66 mm does not fit"),
    ],
)
def test_folds_that_cannot_be_are_refused(changes, what):
    with pytest.raises(OutOfRangeError, match=what):
        fold(**changes)


def test_stapled_on_the_side_nothing_lies_on_the_back():
    found = fold(turnover=DEPTH)
    assert found.back.layers == 0
    assert found.side_before.layers == 3
