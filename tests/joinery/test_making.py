"""Bevels: common practice and estimates, no published source."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from joinery.frames import STYLE, design_of
from longpoint.joinery.bevel import bevel_work

F = Fraction


def bevel(by="hand plane", how_many=1, **changes):
    return bevel_work(
        design_of(**changes), by=by, how_many=how_many, style=STYLE, work="River", key="work[1]"
    )


def test_the_bevel_is_gauged_from_the_back_edge_and_from_the_outer_side():
    work = bevel(bar_thickness=F(23), bar_depth=F(47), bevel_fall=F(6))
    assert work.gauge_inner == 41  # 47 − 6
    assert work.gauge_front == work.arris == 2
    assert work.angle == pytest.approx(math.atan(6 / 21))
    assert work.slope == pytest.approx(math.sqrt(21**2 + 6**2))
    assert work.deepest == pytest.approx(6 * 21 / math.sqrt(21**2 + 6**2))


def test_what_comes_off_is_a_wedge_beside_the_arris_along_all_bars():
    work = bevel(bar_thickness=F(23), bevel_fall=F(6), how_many=3)
    assert work.area == 63  # ½ · 21 · 6
    assert work.length == 3 * 2 * (1700 + 1200)
    assert work.volume == 63 * 17400


def test_passes_are_the_depth_over_the_shaving():
    # 4.835 mm deep: 0.15 mm a pass by hand, 0.8 by machine (estimates)
    assert bevel().passes == math.ceil(4.835 / 0.15)
    assert bevel(by="power plane").passes == math.ceil(4.835 / 0.8)


def test_the_card_shows_the_lip_the_arris_and_the_low_edge():
    card = bevel(bar_thickness=F(23), bevel_fall=F(6)).card
    assert card[:3] == ((0, 0), (2, 0), (23, 6))


def test_a_glued_lip_keeps_the_whole_as_deep():
    lip = bevel(bevel_fall=F(6)).lip
    assert lip.bar_depth + lip.height == 44
    assert lip.length == F(11, 10) * 2 * (1700 + 1200)


def test_short_pieces_are_not_planed_after_cutting():
    short = bevel(by="power plane", width=F(280), height=F(211), bevel_first=False)
    codes = {caution.code for caution in short.cautions}
    assert {"bevel-short-pieces", "safety-planer", "bevel-after-cutting"} <= codes
    assert "bevel-short-pieces" not in {c.code for c in bevel(by="power plane").cautions}


def test_an_arris_as_wide_as_half_the_bar_is_refused():
    work = bevel_work(
        design_of(), by="hand plane", how_many=1, style=STYLE, work="River", key="work[1]", arris=F(12)
    )
    assert [fault.code for fault in work.faults] == ["arris-too-wide"]
