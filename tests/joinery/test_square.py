"""Square and wind turned round, and mitre gaps.

Computed cases: 2.0 × 1.5 m with diagonals 2.502 and 2.498 m (law of cosines), and 0.1° per cut on 60 mm bars; both
computed, needing no authority.
"""

from __future__ import annotations

import json
import math

import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from longpoint.cli.square import square
from longpoint.cli.wind import wind
from longpoint.errors import FaultsError, OutOfRangeError
from longpoint.joinery.square import (
    MeasuredFrame,
    check_square,
    equal_diagonal,
    mitre_gap,
    skew_of,
)
from longpoint.joinery.wind import check_wind, lift_of

DEGREE = math.pi / 180


def measured(*, width, height, skew=0.0, **changes):
    """A parallelogram of these sides, leaning to the right by an angle."""
    sine = math.sin(skew)
    values = {
        "bottom": width,
        "top": width,
        "left": height,
        "right": height,
        "rising": math.sqrt(width**2 + height**2 + 2 * width * height * sine),
        "falling": math.sqrt(width**2 + height**2 - 2 * width * height * sine),
    }
    return MeasuredFrame(**{**values, **changes})


def test_the_computed_case_is_a_tenth_of_a_degree_and_2_5_mm_over_the_height():
    skew = skew_of(width=2000, height=1500, rising=2502, falling=2498)
    assert math.sin(skew) == pytest.approx(0.0016667, rel=5e-3)  # computed, case: 2.0 × 1.5 m
    assert skew / DEGREE == pytest.approx(0.0955, rel=5e-3)
    assert 1500 * math.sin(skew) == pytest.approx(2.5, rel=5e-3)


def test_the_frame_is_pushed_along_its_longer_diagonal_by_half_the_difference():
    answer = check_square(measured(width=2000, height=1500, rising=2502.0, falling=2498.0))
    assert answer.verdict == "push"
    assert (answer.push, answer.towards) == ("top right", "bottom left")
    assert answer.by == pytest.approx(2.0, abs=0.01)
    assert answer.until == pytest.approx(2500.0, abs=0.01)
    assert answer.lean == pytest.approx(2.5, abs=0.01)


def test_the_other_diagonal_longer_pushes_the_other_corner():
    answer = check_square(measured(width=907, height=1313, skew=-0.4 * DEGREE))
    assert (answer.push, answer.towards) == ("top left", "bottom right")
    assert answer.skew < 0
    assert "too far left" in answer.said[0]


def test_a_difference_within_the_limit_is_accepted_and_the_limit_is_named():
    answer = check_square(measured(width=2000, height=1500, rising=2500.8, falling=2499.2))
    assert answer.verdict == "accept"
    assert answer.push is None
    assert "2 mm" in answer.said[0]
    assert "estimate" in answer.limit_source
    strict = check_square(measured(width=2000, height=1500, rising=2500.8, falling=2499.2), accepted=1.0)
    assert strict.verdict == "push"
    assert strict.limit_source == "as you stated"


@given(
    width=st.floats(203, 3507),
    height=st.floats(203, 3507),
    degrees=st.floats(-2, 2).filter(lambda value: abs(value) > 0.2),
)
def test_after_the_push_the_frame_is_square(width, height, degrees):
    frame = measured(width=width, height=height, skew=degrees * DEGREE)
    answer = check_square(frame, accepted=0.0)
    assert answer.until == pytest.approx(math.hypot(width, height), rel=1e-9)
    assert max(frame.rising, frame.falling) - answer.by == pytest.approx(answer.until, rel=1e-9)
    assert answer.skew / DEGREE == pytest.approx(degrees, rel=1e-6)


def test_sides_that_differ_are_told_and_pushing_does_not_hide_it():
    # An isosceles trapezoid: the diagonals are equal and yet it is no rectangle.
    top, bottom, side = 1691.0, 1700.0, 1200.0
    rise = math.sqrt(side**2 - ((bottom - top) / 2) ** 2)
    diagonal = math.hypot((bottom + top) / 2, rise)
    answer = check_square(
        MeasuredFrame(bottom=bottom, top=top, left=side, right=side, rising=diagonal, falling=diagonal)
    )
    assert answer.verdict == "a side is wrong"
    assert answer.push is None
    (wrong,) = answer.wrong
    assert (wrong.side, wrong.against) == ("bottom", "the top")
    assert wrong.by == pytest.approx(9.0)
    assert equal_diagonal(
        MeasuredFrame(bottom=bottom, top=top, left=side, right=side, rising=diagonal, falling=diagonal)
    ) == pytest.approx(diagonal, abs=1e-6)


def test_the_plan_says_which_of_two_opposite_sides_is_wrong():
    frame = measured(width=1700, height=1200, top=1694.0, rising=2078.0, falling=2078.0)
    answer = check_square(frame, planned_width=1700, planned_height=1200)
    assert [(wrong.side, wrong.by, wrong.against) for wrong in answer.wrong] == [("top", -6.0, "the plan")]


def test_diagonals_that_no_frame_of_those_sides_has_are_refused_with_what_they_would_be():
    with pytest.raises(FaultsError) as caught:
        check_square(measured(width=2000, height=1500, rising=2530.0, falling=2498.0))
    (fault,) = caught.value.faults
    assert fault.code == "diagonals-impossible"
    assert fault.where.key == "falling"
    # √(2 (2000² + 1500²) − 2530²) = 2469.6
    assert "2469.6 mm" in fault.what
    with pytest.raises(FaultsError) as caught:
        check_square(measured(width=700, height=500, rising=1203.0, falling=199.0))
    assert {fault.code for fault in caught.value.faults} == {"diagonal-impossible"}
    assert len(caught.value.faults) == 4


def test_readings_a_millimetre_out_are_not_refused():
    answer = check_square(
        measured(width=2000, height=1500, bottom=2001.0, left=1499.0, rising=2501.0, falling=2499.0)
    )
    assert answer.verdict in ("accept", "push")


def test_a_measure_that_is_no_measure_is_refused():
    with pytest.raises(FaultsError, match="Measure it again"):
        check_square(measured(width=2000, height=1500, rising=float("nan")))
    with pytest.raises(OutOfRangeError):
        skew_of(width=0, height=1500, rising=1, falling=2)


def test_a_mitre_cut_a_tenth_of_a_degree_out_gapes_by_three_tenths():
    assert mitre_gap(error=0.1 * DEGREE, bar_thickness=60) == pytest.approx(0.296, rel=1e-2)  # computed case


def test_a_skew_that_opens_the_mitres_wider_than_glue_bridges_says_so():
    # 21 mm · √2 · 0.5° = 0.26 mm; PVA keeps its strength up to 0.15 mm (architectural materials text)
    wide = check_square(measured(width=2000, height=1500, skew=0.5 * DEGREE), bar_thickness=21)
    assert "0.3 mm: more than the glue bridges" in wide.said[-1]
    narrow = check_square(measured(width=2000, height=1500, skew=0.1 * DEGREE), bar_thickness=21)
    assert "glue" not in " ".join(narrow.said)


def test_wind_is_one_number_whatever_corners_lie_down():
    assert lift_of(corners=(0, 0, 7, 0)) == 7
    assert lift_of(corners=(1.75, -1.75, 1.75, -1.75)) == 7
    # A frame that is only tilted is in no wind: any plane gives nothing.
    assert lift_of(corners=(3, 3 + 11, 3 + 11 - 5, 3 - 5)) == 0


@pytest.mark.parametrize("corner", ["bottom left", "bottom right", "top right", "top left"])
def test_packing_the_neighbours_twists_it_past_flat_by_what_springs_back(corner):
    answer = check_wind(width=1900, height=1300, lift=8, corner=corner)
    assert answer.verdict == "clamp"
    # Lifted and opposite corner at 0, both neighbours on packing: z₁ − z₂ + z₃ − z₄ = −2 · pack = −8/2
    assert lift_of(corners=(0, answer.pack, 0, answer.pack)) == pytest.approx(-4)  # half: estimate
    assert answer.off_plane == 2
    assert answer.between_bars == pytest.approx(8 / 1300, rel=1e-4)
    for name in {"bottom left", "bottom right", "top right", "top left"} - {corner}:
        assert name in answer.said[2]


def test_open_glue_needs_no_packing_and_set_glue_only_a_pad():
    assert check_wind(width=1900, height=1300, lift=8, glue="open").pack == 0
    late = check_wind(width=1900, height=1300, lift=8, glue="set")
    assert (late.verdict, late.pad) == ("live with it", 8)
    assert check_wind(width=1900, height=1300, lift=2.5).verdict == "accept"


def test_a_lift_that_cannot_be_is_refused():
    with pytest.raises(FaultsError) as caught:
        check_wind(width=1900, height=1300, lift=800)
    assert [fault.code for fault in caught.value.faults] == ["lift-impossible"]
    with pytest.raises(FaultsError) as caught:
        check_wind(width=0, height=-3, lift=-1)
    assert len(caught.value.faults) == 3


def command(function):
    app = typer.Typer()
    app.command()(function)
    return app


def test_the_square_command_reads_lengths_as_people_write_them():
    result = CliRunner().invoke(
        command(square),
        ["--bottom", "2 m", "--left", "150 cm", "--rising", "2502", "--falling", "249,8 cm", "--json"],
    )
    assert result.exit_code == 0, result.output
    answer = json.loads(result.stdout)
    assert (answer["push"], answer["towards"], answer["by"]) == ("top right", "bottom left", 2.0)
    plain = CliRunner().invoke(
        command(square), ["--bottom", "2000", "--left", "1500", "--rising", "2502", "--falling", "2498"]
    )
    assert "push the top right corner 2 mm" in plain.stdout


def test_the_commands_collect_every_fault():
    result = CliRunner().invoke(
        command(square),
        ["--bottom", "2x4", "--left", "0", "--rising", "x", "--falling", "9", "--unit", "ell"],
    )
    assert isinstance(result.exception, FaultsError)
    assert [fault.where.key for fault in result.exception.faults] == [
        "--unit",
        "--bottom",
        "--left",
        "--rising",
    ]
    result = CliRunner().invoke(
        command(wind), ["--width", "1", "--height", "1", "--lift", "?", "--corner", "upper", "--glue", "wet"]
    )
    assert isinstance(result.exception, FaultsError)
    assert [fault.where.key for fault in result.exception.faults] == ["--lift", "--corner", "--glue"]


def test_the_wind_command_answers():
    result = CliRunner().invoke(
        command(wind), ["--width", "1900", "--height", "1300", "--lift", "8", "--json"]
    )
    answer = json.loads(result.stdout)
    assert (answer["verdict"], answer["pack"], answer["off_wall"]) == ("clamp", 2.0, 8.0)
    plain = CliRunner().invoke(command(wind), ["--width", "75 in", "--height", "4'", "--lift", "3/8 in"])
    assert "9.5 mm at one corner" in plain.stdout  # 9.525 mm
    inches = CliRunner().invoke(
        command(wind), ["--width", "75", "--height", "48", "--lift", "1/4", "--unit", "in"]
    )
    assert "1/4 in at one corner" in inches.stdout
