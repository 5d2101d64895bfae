"""The piece of cloth: cut size, zones, and turnovers too short for their fastening.

Common practice, no published source: about 80 mm beyond the frame all round, about 25 mm left on the back.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longpoint.errors import FaultsError, OutOfRangeError, Where
from longpoint.stretching.piece import Fastening, cloth_piece, least_turnover, usual_turnover


def piece(**changes):
    stated = {
        "face_width": 1907.0,
        "face_height": 1313.0,
        "depth": 43.0,
        "thickness": 31.0,
        "fastened": Fastening.BACK,
        "tail_trimmed": True,
    }
    return cloth_piece(**{**stated, **changes})


def test_the_cut_size_is_face_and_twice_depth_wrap_and_grip():
    found = piece(
        face_width=2000,
        face_height=1500,
        depth=28,
        thickness=60,
        turnover=28 + 40,
        tail=20,
        tail_trimmed=True,
    )
    assert (found.width, found.height) == (2176, 1676)  # face + 2 (28 + 40 + 20), exact, computed
    assert found.tail == 20


def test_the_tail_counts_only_where_it_is_trimmed_off():
    trimmed = piece(turnover=75, tail=23)
    stays = piece(turnover=75, tail=23, tail_trimmed=False)
    assert trimmed.width - stays.width == 2 * 23
    assert stays.tail == 0
    assert trimmed.turnover == stays.turnover == 75


def test_a_30_mm_bar_takes_the_80_mm_that_people_leave():
    found = piece(depth=30)
    assert found.beyond_face == 80  # common practice, no published source
    (back,) = [zone for zone in found.zones if zone.name == "back"]
    assert back.stop - back.start == 25  # common practice, no published source


@pytest.mark.parametrize("fastened", list(Fastening))
@pytest.mark.parametrize("tail_trimmed", [True, False])
def test_zones_run_from_the_face_edge_outwards_without_a_gap(fastened, tail_trimmed):
    found = piece(fastened=fastened, tail_trimmed=tail_trimmed, thread_allowance=7.0)
    assert found.zones[0].start == 0
    for inner, outer in zip(found.zones, found.zones[1:], strict=False):
        assert inner.stop == outer.start
    assert found.zones[-1].stop == found.beyond_face
    assert max(zone.stop for zone in found.zones if zone.stays) == found.turnover
    assert found.zones[-1].name == "thread allowance"


def test_a_hem_takes_its_own_cloth_beyond_the_back():
    plain, hemmed = piece(), piece(fastened=Fastening.HEM)
    assert hemmed.turnover - plain.turnover == 10
    assert [zone.name for zone in hemmed.zones] == ["side", "back", "hem", "tail"]


@pytest.mark.parametrize("fastened", list(Fastening))
def test_the_staple_row_lies_on_the_wood_it_is_meant_for(fastened):
    found = piece(fastened=fastened)
    if fastened is Fastening.SIDE:
        assert 6 <= found.staple_line <= 43 - 6
    else:
        assert 43 + 6 <= found.staple_line <= 43 + 25 - 8


@given(
    depth=st.floats(18, 90),
    fastened=st.sampled_from(list(Fastening)),
    tail_trimmed=st.booleans(),
    more=st.floats(0, 30),
)
def test_the_least_turnover_is_accepted_and_a_hair_less_is_not(depth, fastened, tail_trimmed, more):
    least = least_turnover(depth=depth, fastened=fastened, tail_trimmed=tail_trimmed)
    found = piece(depth=depth, fastened=fastened, tail_trimmed=tail_trimmed, turnover=least + more)
    assert found.turnover == pytest.approx(least + more)
    assert least <= usual_turnover(depth=depth, thickness=31, fastened=fastened) or fastened is Fastening.SIDE
    with pytest.raises(FaultsError):
        piece(depth=depth, fastened=fastened, tail_trimmed=tail_trimmed, turnover=least - 0.01)


def test_a_wrap_too_short_for_the_back_is_refused_with_what_to_do():
    with pytest.raises(FaultsError) as caught:
        piece(turnover=52, tail_trimmed=False, where=Where("work[2].cloth.turnover", "batch.toml", 17))
    (fault,) = caught.value.faults
    assert fault.code == "turnover-too-short"
    assert str(fault) == (
        "batch.toml, line 17, work[2].cloth.turnover: A turnover of 52 mm is too short to be stapled on the back of a "
        "bar 43 mm deep: it needs at least 64 mm. Give 68 mm or more, or leave a tail for the pliers and trim it."
    )


def test_all_faults_of_a_piece_come_together():
    with pytest.raises(FaultsError) as caught:
        piece(turnover=44, tail=9)
    assert [fault.code for fault in caught.value.faults] == ["turnover-too-short", "tail-too-short"]


def test_cloth_that_hangs_past_a_thin_bar_is_a_caution():
    found = piece(thickness=19, turnover=43 + 25)
    assert [caution.code for caution in found.cautions] == ["turnover-past-bar"]
    assert "6 mm" in dict(found.cautions[0].facts).values()
    assert piece().cautions == ()


def test_on_a_thin_bar_the_usual_turnover_ends_at_its_inner_edge():
    found = piece(thickness=21)
    assert found.turnover == 43 + 21
    assert found.cautions == ()
    # thinner still, the pliers come first: 6 mm to the row and 15 mm to hold, estimates
    assert piece(thickness=17).turnover == 43 + 21
    assert [caution.code for caution in piece(thickness=17).cautions] == ["turnover-past-bar"]


def test_a_face_without_size_is_refused():
    with pytest.raises(OutOfRangeError, match="Face height must be above 0 mm"):
        piece(face_height=0)
