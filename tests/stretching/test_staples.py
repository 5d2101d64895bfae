"""Staple map: runs from the middles, holding staples that come out, spacing for scallops and for load.

Common practice, no published source: middles first, then a holding staple at each corner, then outwards three at a time
working alternately, the last about 20 mm from the corner, lighter near corners.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longpoint.errors import FaultsError, OutOfRangeError, Where
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.staple_hold import check_leg, leg_fit, staple_hold
from longpoint.stretching.staple_map import StapleUse, staple_map
from longpoint.stretching.staple_places import side_places
from longpoint.tables import staple_kind

NARROW = staple_kind("flat crown, narrow")


def mapped(**changes):
    return staple_map(
        **{"face_width": 907.0, "face_height": 613.0, "depth": 43.0, "staple_line": 55.5, **changes}
    )


def test_places_are_even_and_end_20_mm_from_the_corners():
    found = side_places(length=907, widest=50, closest=40, last=20)
    assert found[0] == 20  # common practice: the last about 20 mm from the corner
    assert found[-1] == pytest.approx(887)
    steps = [outer - inner for inner, outer in pairwise(found)]
    assert steps == pytest.approx([867 / 18] * 18)  # by hand: 867/50 = 17.34, made even: 18


def test_a_side_that_is_a_whole_number_of_spacings_gets_no_staple_more():
    assert len(side_places(length=440, widest=50, closest=40, last=20)) == 9  # by hand: 400/50 = 8 spaces


@given(length=st.floats(95, 4000), widest=st.floats(22, 60), last=st.floats(12, 35))
def test_places_are_never_wider_apart_than_allowed_and_the_same_from_either_end(length, widest, last):
    found = side_places(length=length, widest=widest, closest=0.8 * widest, last=last)
    assert max(b - a for a, b in pairwise(found)) <= widest * (1 + 1e-9)
    mirrored = tuple(length - place for place in found[::-1])
    assert found == pytest.approx(mirrored)


def test_a_side_too_short_for_two_staples_is_refused():
    with pytest.raises(OutOfRangeError, match="side of 38 mm leaves no room"):
        side_places(length=38, widest=50, closest=40, last=20)


def test_the_first_runs_are_the_middles_of_one_side_its_opposite_then_the_other_pair():
    assert [run.side for run in mapped().runs[:4]] == ["bottom", "top", "left", "right"]
    upright = mapped(face_width=613.0, face_height=907.0)
    assert [run.side for run in upright.runs[:2]] == ["left", "right"]
    chosen = mapped(first_side="top")
    assert [run.side for run in chosen.runs[:2]] == ["top", "bottom"]


def test_holding_staples_go_in_after_the_middles_one_at_each_corner_and_all_come_out():
    found = mapped()
    assert [run.puts_in for run in found.runs[4:8]] == [("H1",), ("H2",), ("H3",), ("H4",)]
    corners = {
        (staple.along < 453.5, staple.side) for staple in found.staples if staple.use is StapleUse.HOLDING
    }
    assert len(corners) == 4
    out = [label for run in found.runs for label in run.takes_out]
    assert sorted(out) == ["H1", "H2", "H3", "H4"]


def test_a_holding_staple_stays_until_the_run_that_reaches_it():
    found = mapped()
    where = {staple.label: staple for staple in found.staples}
    for label in ("H1", "H2", "H3", "H4"):
        held = where[label]
        (run,) = [each for each in found.runs if label in each.takes_out]
        along = sorted(where[driven].along for driven in run.puts_in)
        assert run.side == held.side
        assert along[0] < held.along < along[-1]


def test_edge_staples_are_numbered_in_the_order_they_are_driven():
    found = mapped()
    driven = [label for run in found.runs for label in run.puts_in if label.isdigit()]
    assert driven == [str(number) for number in range(1, found.count(StapleUse.EDGE) + 1)]


@pytest.mark.slow
@given(
    face_width=st.floats(120, 2600),
    face_height=st.floats(120, 2600),
    run=st.integers(2, 4),
    clean=st.sampled_from(list(CleanSides)),
)
def test_every_staple_is_driven_once_and_every_holding_one_comes_out_once(
    face_width, face_height, run, clean
):
    found = mapped(face_width=face_width, face_height=face_height, run=run, clean=clean)
    driven = Counter(label for each in found.runs for label in each.puts_in)
    assert set(driven.values()) == {1}
    assert set(driven) == {staple.label for staple in found.staples}
    out = [label for each in found.runs for label in each.takes_out]
    holding = [staple.label for staple in found.staples if staple.use is StapleUse.HOLDING]
    assert sorted(out) == sorted(holding)
    assert max(len(each.puts_in) for each in found.runs if each.puts_in[0].isdigit()) <= run + 1
    for staple in found.staples:
        x, y = found.place(staple)
        assert 0 <= x <= face_width
        assert 0 <= y <= face_height


@pytest.mark.slow
@given(face_width=st.floats(300, 2600), face_height=st.floats(300, 2600))
def test_each_side_mirrors_its_opposite(face_width, face_height):
    found = mapped(face_width=face_width, face_height=face_height)
    places = {
        side: sorted(s.along for s in found.staples if s.side == side and s.use is StapleUse.EDGE)
        for side in ("bottom", "top", "left", "right")
    }
    assert places["bottom"] == places["top"]
    assert places["left"] == places["right"]


def test_runs_go_outwards_from_the_middle():
    found = mapped()
    last = {}
    where = {staple.label: staple for staple in found.staples}
    for run in found.runs:
        if not run.puts_in[0].isdigit():
            continue
        length = 907.0 if run.side in ("bottom", "top") else 613.0
        off = [abs(where[label].along - length / 2) for label in run.puts_in]
        half = (run.side, where[run.puts_in[0]].along > length / 2)
        assert off == pytest.approx(sorted(off))
        assert off[0] >= last.get(half, 0)
        last[half] = off[-1]


def test_the_clean_sides_are_stapled_to_their_corners_before_the_folded_sides_are():
    for sizes in ((907.0, 613.0), (613.0, 907.0)):
        found = mapped(face_width=sizes[0], face_height=sizes[1])
        numbers = {
            side: [run.number for run in found.runs if run.side == side and run.puts_in[0].isdigit()]
            for side in ("left", "right", "bottom", "top")
        }
        assert max(numbers["left"] + numbers["right"]) < min(max(numbers["bottom"]), max(numbers["top"]))


def test_the_pull_is_lighter_near_corners_and_said_in_words():
    found = mapped()
    for staple in found.staples:
        if staple.use is StapleUse.EDGE:
            length = 907.0 if staple.side in ("bottom", "top") else 613.0
            near = (
                min(staple.along, length - staple.along) < 150
            )  # university handout: stop 15 cm from the corners
            # two thirds: estimate; the first run has nothing to pull against
            assert staple.pull == (0.0 if staple.run == 1 else 0.667 if near else 1.0)
    words = {run.firmness for run in found.runs}
    assert words == {
        "only laid in smooth, nothing pulls against it yet",
        "firm",
        "about two thirds of the firm pull",
        "only snug, it comes out again",
        "no pull, the fold pressed flat",
    }


def test_a_few_staples_close_each_fold_on_the_folded_sides_only():
    found = mapped()
    folds = [staple for staple in found.staples if staple.use is StapleUse.FOLD]
    assert Counter(staple.side for staple in folds) == {"bottom": 4, "top": 4}
    assert {staple.across for staple in folds} == {
        55.5
    }  # in the row on the back, not down the side that is seen
    assert {
        staple.side for staple in mapped(clean=CleanSides.LEVEL).staples if staple.use is StapleUse.FOLD
    } == {
        "left",
        "right",
    }


def test_the_map_counts_what_to_buy():
    found = mapped()
    assert found.count(StapleUse.EDGE) == 2 * 19 + 2 * 13  # by hand: 18 and 12 spaces
    assert found.driven == 64 + 4 + 8


def test_wrong_wishes_are_refused_together():
    with pytest.raises(FaultsError) as caught:
        mapped(run=6, first_side="north", where=Where("staples.run"))
    assert [fault.code for fault in caught.value.faults] == ["run-length", "unknown-side"]
    assert str(caught.value.faults[0]).startswith("staples.run: A run of 6 staples")


def test_spacing_is_for_scallops_while_the_load_is_small():
    found = staple_hold(tension=0.36, specific_gravity=0.37, kind=NARROW, leg=10, cloth_under_crown=0.6)
    assert found.load == pytest.approx(18.0)  # by hand: 0.36 x 50
    assert found.spacing == 50  # practitioner page: 38-50 mm
    assert found.allowed == pytest.approx(min(found.dragged, found.pulled_out) / 3)
    assert found.cautions == ()


def test_spacing_is_for_load_when_the_cloth_pulls_hard():
    found = staple_hold(tension=1.1, specific_gravity=0.37, kind=NARROW, leg=10, cloth_under_crown=0.6)
    # by hand: 2 x 54.12 x .37^2.5 x .95 x 9.4 = 80.5 N, a third of it over 1.1 N/mm
    assert found.pulled_out == pytest.approx(80.5, abs=0.1)
    assert found.spacing == pytest.approx(24.4, abs=0.1)
    assert [caution.code for caution in found.cautions] == ["staples-close"]
    closer = mapped(widest=found.spacing)
    assert closer.spacing_level <= found.spacing


def test_a_staple_without_load_cannot_be_judged():
    with pytest.raises(OutOfRangeError, match="above 0 N/mm"):
        staple_hold(tension=0, specific_gravity=0.37, kind=NARROW, leg=10, cloth_under_crown=0.6)


def test_legs_fit_the_bar_and_reach_through_the_folds():
    found = leg_fit(wood=43, layers=4, cloth_thickness=0.62, legs=NARROW.legs)
    assert found.fitting == (10, 12, 14)
    assert found.chosen == 10
    thin = leg_fit(wood=12, layers=4, cloth_thickness=0.62, legs=NARROW.legs)
    assert thin.chosen is None
    assert thin.shortest == pytest.approx(8.48)
    assert leg_fit(wood=13, layers=2, cloth_thickness=0.5, legs=(6, 8, 10)).chosen == 10


def test_staples_longer_than_the_bar_are_refused():
    thin = leg_fit(wood=11, layers=2, cloth_thickness=0.5, legs=NARROW.legs)
    with pytest.raises(FaultsError) as caught:
        check_leg(leg=14, fit=thin, where=Where("staples.leg", "batch.toml", 9))
    assert str(caught.value) == (
        "batch.toml, line 9, staples.leg: Staple legs of 14 mm come 3 mm through a bar with 11 mm of wood behind the "
        "cloth. Take legs of 8.5 mm or less, such as 8 mm."
    )
    assert [caution.code for caution in check_leg(leg=6, fit=thin)] == ["staple-short"]
    assert check_leg(leg=8, fit=thin) == ()
