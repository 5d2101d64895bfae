"""Section properties against closed forms and printed tables.

Torsion of a rectangle: Saint-Venant's series, and the table of k1 in Timoshenko & Goodier, Theory of
Elasticity (values from memory, recomputed from the series here). Trapezoid: shoelace sums written out by
hand.
"""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.section import (
    bevelled_section,
    polygon_section,
    rectangle_section,
)


def saint_venant_k1(ratio: float) -> float:
    n = np.arange(1, 60, 2)
    return (1 - 192 / np.pi**5 / ratio * np.sum(np.tanh(n * np.pi * ratio / 2) / n**5)) / 3


@pytest.mark.parametrize(("ratio", "table"), [(1, 0.1406), (2, 0.2287), (5, 0.2913)])
def test_torsion_constant_of_rectangles_is_that_of_the_table(ratio: float, table: float) -> None:
    section = rectangle_section(thickness=17.0 * ratio, depth=17.0)
    k1 = section.torsion_constant / (17.0**4 * ratio)
    assert k1 == approx(table, abs=6e-5)  # four printed digits
    assert k1 == approx(saint_venant_k1(ratio), rel=3e-4)


def test_torsion_constant_of_45_by_20_is_86444() -> None:
    assert rectangle_section(thickness=45, depth=20).torsion_constant == approx(86_444, rel=1e-3)


def test_torsion_constant_lies_between_its_own_bounds_and_they_are_close() -> None:
    section = bevelled_section(thickness=21.0, depth=44.0, bevel=5.0)
    lower, upper = section.torsion_bounds
    assert lower < section.torsion_constant < upper
    assert upper - lower < 1e-3 * upper


def test_bevelled_trapezoid_60_30_22_has_the_hand_values() -> None:
    section = polygon_section(((0, 0), (60, 0), (60, 22), (0, 30)))
    assert section.area == approx(1560)
    assert section.centroid == approx((28.46, 13.10), abs=5e-3)
    assert section.moment_across == approx(464_308, rel=1e-5)
    assert section.moment_front == approx(92_024, rel=1e-5)
    assert section.product == approx(-30_954, rel=1e-4)
    assert -section.product / section.moment_front == approx(0.336, abs=5e-4)


def test_shear_centre_of_the_trapezoid_lies_towards_the_thick_side() -> None:
    section = polygon_section(((0, 0), (60, 0), (60, 22), (0, 30)))
    assert section.shear_centre[0] < section.centroid[0] - 1.0


def test_thin_angle_has_its_shear_centre_where_its_legs_meet() -> None:
    thin = polygon_section(((0, 0), (41, 0), (41, 2), (2, 2), (2, 63), (0, 63)))
    assert thin.shear_centre == approx(
        (1.0, 1.0), abs=0.35
    )  # thin-wall theory: the legs' middle lines meet at (1, 1)


def test_shear_area_of_a_rectangle_is_five_sixths() -> None:
    section = rectangle_section(thickness=21.0, depth=67.0)
    assert section.shear_areas == approx((21 * 67 * 5 / 6,) * 2, rel=1e-4)


def test_turning_the_outline_turns_the_axes_and_nothing_else() -> None:
    outline = np.array([(0.0, 0.0), (60.0, 0.0), (60.0, 22.0), (0.0, 30.0)])
    turn = 0.3
    c, s = np.cos(turn), np.sin(turn)
    turned = polygon_section(tuple(map(tuple, outline @ np.array([[c, s], [-s, c]]))))
    plain = polygon_section(tuple(map(tuple, outline)))
    assert turned.principal_angle == approx(plain.principal_angle + turn)
    assert turned.principal_moments == approx(plain.principal_moments)
    assert turned.torsion_constant == approx(plain.torsion_constant, rel=1e-4)
    assert turned.shear_centre == approx(np.array([[c, -s], [s, c]]) @ plain.shear_centre, rel=1e-4)


def test_outline_given_clockwise_is_the_same_section() -> None:
    outline = ((0.0, 0.0), (21.0, 0.0), (21.0, 39.0), (0.0, 44.0))
    assert polygon_section(outline[::-1]).product == approx(polygon_section(outline).product)


@pytest.mark.parametrize(
    "outline",
    [
        ((0, 0), (10, 10), (10, 0), (0, 10)),
        ((0, 0), (10, 0)),
        ((0, 0), (10, 0), (20, 0)),
        ((0, 0), (1, 0), (1, np.nan)),
    ],
)
def test_outline_that_is_no_polygon_is_refused(outline: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(OutOfRangeError, match=r"outline|area"):
        polygon_section(outline)


def test_bevel_deeper_than_the_bar_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="bevel of 44 mm"):
        bevelled_section(thickness=21, depth=44, bevel=44)


def test_a_flat_beside_the_lip_is_a_rectangle_less_a_shorter_wedge() -> None:
    section = bevelled_section(thickness=23.0, depth=47.0, bevel=7.0, flat=2.0)
    assert section.area == approx(23 * 47 - 7 * 21 / 2)
    across = (
        23 * 47 * 11.5 - 7 * 21 / 2 * (2 + 14)
    ) / section.area  # wedge's centroid two thirds along its 21
    assert section.centroid[0] == approx(across)
    assert len(bevelled_section(thickness=23.0, depth=47.0, bevel=0.0, flat=2.0).outline) == 4
    with pytest.raises(OutOfRangeError, match="flat"):
        bevelled_section(thickness=23.0, depth=47.0, bevel=7.0, flat=23.0)
