"""Lengths as people write them. The inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longpoint.units import (
    LengthStyle,
    QuantityError,
    parse_angle,
    parse_area_mass,
    parse_length,
    parse_money,
)

QUARTER = Fraction(189, 4) * Fraction(254, 10)  # 47 1/4 in


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1.2 m", Fraction(1200)),
        ("1,2 m", Fraction(1200)),
        ("1200", Fraction(1200)),
        (1200, Fraction(1200)),
        (1200.5, Fraction(2401, 2)),
        ("120 cm", Fraction(1200)),
        ("120cm", Fraction(1200)),
        ("47 1/4 in", QUARTER),
        ('47-1/4"', QUARTER),
        ('47¼"', QUARTER),
        ("47 ¼ inches", QUARTER),
        ("3' 11 1/4\"", QUARTER),
        ("3′ 11¼″", QUARTER),
        ("3 ft 11 1/4 in", QUARTER),
        ("12'", Fraction(36576, 10)),
        ("1/64 in", Fraction(396875, 1000000)),  # 396.875 µm, exact
        ("2.125 in", Fraction(539750, 10000)),
    ],
)
def test_a_length_is_read_as_people_write_it(text: object, mm: Fraction) -> None:
    assert parse_length(text) == mm  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2x4", "name of a section"),
        ("21 × 44", "name of a section"),
        ("1/0 in", "divides by zero"),
        ("1.200,5", "two signs between digits"),
        ("1,200", "could mean 1200 or 1.2"),
        ("1.200", "could mean 1200 or 1.2"),
        ("1 200", "gap between digits"),
        ("67 5/4 in", "below one"),
        ("3' 14 in", "twelve inches or more"),
        ("-3", "negative"),
        (-3, "negative"),
        ("", "empty"),
        ("a lot", "has no number"),
        ("5 furlongs", "not a unit"),
        (float("nan"), "not a length"),
        (True, "not a length"),
        ("1 1/3 mm", "mixes fractions with a metric unit"),
        ("1 m 20 cm", "not a length"),
    ],
)
def test_what_could_be_misread_is_refused_with_the_reason(text: object, reason: str) -> None:
    with pytest.raises(QuantityError, match=reason):
        parse_length(text)  # type: ignore[arg-type]


def test_a_bare_number_counts_in_the_unit_of_the_file() -> None:
    assert parse_length("47 1/4", unit="in") == QUARTER
    assert parse_length(0.5, unit="m") == 500


def test_an_unknown_file_unit_is_named() -> None:
    with pytest.raises(QuantityError, match="'yd' is not a unit"):
        parse_length(1, unit="yd")


@given(st.integers(0, 10**6), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inches_shown_are_read_back_the_same(steps: int, fraction: int) -> None:
    style = LengthStyle("in", fraction)
    length = Fraction(steps, fraction) * Fraction(254, 10)
    assert parse_length(style.show(length)) == length


@given(st.fractions(0, 9000), st.sampled_from(["mm", "cm", "in"]))
def test_a_part_shown_never_comes_out_short_nor_a_grain_too_long(length: Fraction, system: str) -> None:
    style = LengthStyle(system)  # type: ignore[arg-type]
    shown = parse_length(style.show(length, rounding="up"))
    assert -style.grain / 1000 <= shown - length < style.grain
    board = parse_length(style.show(length, rounding="down"))
    assert -style.grain / 1000 <= length - board < style.grain


def test_lengths_are_shown_in_three_systems() -> None:
    assert LengthStyle("mm").show(Fraction(1574, 3), rounding="up") == "525 mm"
    assert LengthStyle("mm").show(Fraction(1574, 3)) == "524.5 mm"
    assert LengthStyle("cm").show(1234.5) == "123.45 cm"
    assert LengthStyle("in", 16).show(1700, rounding="up") == "66 15/16 in"
    assert LengthStyle("in", 8).show(-12.7) == "−1/2 in"
    assert LengthStyle("in").finer().show(Fraction(254, 320)) == "1/32 in"


def test_an_angle_is_read_in_degrees() -> None:
    assert math.isclose(parse_angle("6.5°"), math.radians(6.5))
    for wrong in ("90°", "steep", -1, True):
        with pytest.raises(QuantityError, match="is not an angle"):
            parse_angle(wrong)


def test_ounces_of_cloth_say_per_what() -> None:
    assert parse_area_mass("10 oz/yd2") == pytest.approx(339.06, abs=0.01)  # definitions of ounce and yard
    assert parse_area_mass("12 oz/yd²") == pytest.approx(406.9, abs=0.05)
    assert parse_area_mass(320) == 320
    with pytest.raises(QuantityError, match="per square or per running yard"):
        parse_area_mass("10 oz")


def test_money_is_zero_or_more() -> None:
    assert str(parse_money("4.80")) == "4.80"
    for wrong, reason in ((-1, "negative"), ("much", "not an amount"), (True, "not an amount")):
        with pytest.raises(QuantityError, match=reason):
            parse_money(wrong)
