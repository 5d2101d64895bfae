"""Moisture, movement, density, stiffness and withdrawal against published figures.

Sources: Wood Handbook, FPL-GTR-190 (2010) eq. 4-5 and 13-1, Tables 4-2 and 13-5; Simpson 1998, FPL-RN-0268; a wood
scientist's column in a trade magazine; NDS 12.2-2. Chapter 8 of the Handbook:
FPL-GTR-282, as transcribed in an open-source reference library.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longpoint import tables
from longpoint.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("temperature", "humidity", "moisture", "within"),
    [
        (21.1, 0.30, 6.17, 0.02),  # Wood Handbook eq. 4-5
        (21.1, 0.50, 9.24, 0.02),  # Wood Handbook eq. 4-5
        (21.1, 0.65, 11.96, 0.02),  # Wood Handbook eq. 4-5
        (21.1, 0.80, 15.99, 0.03),  # Wood Handbook eq. 4-5
        (4.4, 0.70, 13.52, 0.03),  # Wood Handbook eq. 4-5
        (32.2, 0.40, 7.41, 0.02),  # Wood Handbook eq. 4-5
        (21.1, 0.25, 5.3, 0.1),  # page quoting Simpson 1998: 5.3 %
        (21.1, 0.84, 17.6, 0.1),  # page quoting Simpson 1998: 17.6 %
        (21.1, 0.30, 6.0, 0.5),  # trade magazine column: 30 % gives 6 %, whole numbers
        (21.1, 0.80, 16.0, 0.5),  # trade magazine column: 80 % gives 16 %, whole numbers
    ],
)
def test_wood_settles_at_the_published_moisture(temperature, humidity, moisture, within):
    found = tables.equilibrium_moisture(temperature=temperature, humidity=humidity)
    assert found == pytest.approx(moisture, abs=within)


# Wood Handbook FPL-GTR-190 Table 4-2, rows of 40, 70, 90 and 140 °F, as reproduced page by page (read)
PERCENT = (5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95)
TABLE_4_2 = {
    40: (
        1.4,
        2.6,
        3.7,
        4.6,
        5.5,
        6.3,
        7.1,
        7.9,
        8.7,
        9.5,
        10.4,
        11.3,
        12.3,
        13.5,
        14.9,
        16.5,
        18.5,
        21.0,
        24.3,
    ),
    70: (
        1.3,
        2.5,
        3.5,
        4.5,
        5.4,
        6.2,
        6.9,
        7.7,
        8.5,
        9.2,
        10.1,
        11.0,
        12.0,
        13.1,
        14.4,
        16.0,
        17.9,
        20.5,
        23.9,
    ),
    90: (
        1.2,
        2.3,
        3.4,
        4.3,
        5.1,
        5.9,
        6.7,
        7.4,
        8.1,
        8.9,
        9.7,
        10.5,
        11.5,
        12.6,
        13.9,
        15.4,
        17.3,
        19.8,
        23.3,
    ),
    140: (
        0.9,
        1.9,
        2.8,
        3.6,
        4.3,
        5.0,
        5.7,
        6.3,
        7.0,
        7.7,
        8.4,
        9.1,
        10.0,
        11.0,
        12.1,
        13.6,
        15.3,
        17.7,
        21.0,
    ),
}


@pytest.mark.parametrize("fahrenheit", TABLE_4_2)
def test_the_formula_stays_within_a_tenth_of_the_printed_table(fahrenheit):
    celsius = (fahrenheit - 32) / 1.8
    for percent, moisture in zip(PERCENT, TABLE_4_2[fahrenheit], strict=True):
        found = tables.equilibrium_moisture(temperature=celsius, humidity=percent / 100)
        assert found == pytest.approx(moisture, abs=0.1), (fahrenheit, percent)  # Wood Handbook T4-2 (read)


@given(st.floats(-20, 60), st.floats(0.01, 0.97))
def test_damper_air_makes_damper_wood(temperature, humidity):
    drier = tables.equilibrium_moisture(temperature=temperature, humidity=humidity)
    damper = tables.equilibrium_moisture(temperature=temperature, humidity=humidity + 0.02)
    assert 0 <= drier < damper


@pytest.mark.parametrize(("temperature", "humidity", "what"), [(21, 50, "50 % is 0.5"), (400, 0.5, "400")])
def test_air_that_cannot_be_is_refused(temperature, humidity, what):
    with pytest.raises(OutOfRangeError, match=what):
        tables.equilibrium_moisture(temperature=temperature, humidity=humidity)


def test_a_flat_sawn_basswood_bar_grows_by_what_its_coefficient_says():
    row = tables.movement_across("basswood")
    change = tables.size_change(
        size=60,
        coefficient=row.tangential,
        moisture_from=tables.equilibrium_moisture(temperature=21.1, humidity=0.30),
        moisture_to=tables.equilibrium_moisture(temperature=21.1, humidity=0.70),
    )
    assert change == pytest.approx(
        1.37, abs=0.02
    )  # Wood Handbook eq. 13-1, T13-5: 60 x .00330 x (13.09 - 6.17)


def test_density_of_moist_wood():
    assert tables.density_at(specific_gravity=0.40, moisture=12) == pytest.approx(
        448
    )  # Wood Handbook eq. 4-14


def test_drier_wood_is_stiffer():
    assert tables.modulus_at(modulus=8900, moisture=9) == pytest.approx(
        9430, abs=50
    )  # FPL note: 2 % for each 1 %
    assert tables.modulus_at(modulus=8900, moisture=12) == 8900
    with pytest.raises(OutOfRangeError, match="not 31 %"):
        tables.modulus_at(modulus=8900, moisture=31)


def test_screws_pull_out_where_the_handbook_says():
    found = tables.screw_withdrawal(
        specific_gravity=0.35, diameter=tables.screw_gauge(8).diameter, thread_in_wood=25
    )
    assert found == pytest.approx(1381, abs=2)  # Wood Handbook eq. 8-10: 108.25 G² D L


def test_screws_may_carry_what_nds_allows():
    found = tables.screw_withdrawal_allowed(
        assigned_gravity=0.36, diameter=tables.screw_gauge(8).diameter, thread_in_wood=25.4
    )
    assert found == pytest.approx(269, rel=5e-3)  # NDS 12.2-2: 2850 G² D = 60.6 lbf for an inch of thread
    assert found / 4.4482216 == pytest.approx(60.6, rel=5e-3)


def test_the_metric_and_inch_constants_of_the_handbook_agree():
    pound_per_square_inch = 4.4482216152605 / 25.4**2
    found = (15700 * pound_per_square_inch, 7850 * pound_per_square_inch, 1440 * 4.4482216152605 / 25.4**1.5)
    assert found[0] == pytest.approx(108.25, rel=1e-4)  # Wood Handbook eq. 8-10
    assert found[1] == pytest.approx(54.12, rel=1e-4)  # Wood Handbook eq. 8-1
    assert found[2] == pytest.approx(50.04, rel=1e-3)  # Wood Handbook T8-4


def test_a_staple_is_two_nail_legs():
    found = tables.staple_withdrawal(specific_gravity=0.37, leg_diameter=0.95, leg_in_wood=9)
    assert found == pytest.approx(2 * 54.12 * 0.37**2.5 * 0.95 * 9)  # Wood Handbook eq. 8-1
    dragged = tables.staple_lateral(specific_gravity=0.37, leg_diameter=0.95)
    assert dragged == pytest.approx(2 * 50.04 * 0.95**1.5)  # Wood Handbook eq. 8-2, T8-4


def test_a_leg_that_does_not_reach_the_wood_holds_nothing():
    assert tables.staple_withdrawal(specific_gravity=0.37, leg_diameter=0.95, leg_in_wood=-2) == 0


def test_fasteners_of_no_size_in_wood_of_no_weight_are_refused():
    with pytest.raises(OutOfRangeError, match="Specific gravity must be above 0"):
        tables.screw_withdrawal(specific_gravity=0, diameter=4, thread_in_wood=25)
    with pytest.raises(OutOfRangeError, match="Diameter must be above 0"):
        tables.screw_withdrawal(specific_gravity=0.4, diameter=0, thread_in_wood=25)
    with pytest.raises(OutOfRangeError, match=r"up to 1, not 1\.4"):
        tables.staple_lateral(specific_gravity=1.4, leg_diameter=0.9)
