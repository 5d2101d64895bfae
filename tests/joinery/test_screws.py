"""Screws: diameters, holes, the choice among those on sale, and what they hold by the rules.

Sources: ANSI/ASME B18.6.1 (diameters); Wood Handbook FPL-GTR-190 ch. 8 (withdrawal, lead holes); NDS 2018 12.2-2 and
12.1.5.6; EN 1995-1-1 Table 8.2 as laid out in a European LVL handbook, 2025, Table 5.1.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from joinery.frames import frame_of, plan_of
from longpoint.errors import OutOfRangeError
from longpoint.joinery import JointKind, ScrewSize
from longpoint.joinery.screws.on_sale import ScrewNeed, choose_screw, gauge_diameter, holes_of, sizes_on_sale
from longpoint.joinery.screws.strength import (
    SOFTWOOD,
    Wood,
    lateral_value,
    withdrawal_of,
)
from longpoint.model.hardware import Screw
from longpoint.tables.fasteners import screw_spacing

F = Fraction


def size(diameter, length):
    return ScrewSize(name=f"{diameter} × {length}", diameter=F(str(diameter)), length=F(length))


@pytest.mark.parametrize(
    ("gauge", "diameter"),
    [
        (8, 4.166),  # B18.6.1: 0.164 in, read
        (10, 4.826),  # B18.6.1: 0.190 in, read
        (14, 6.147),  # B18.6.1: 0.242 in
        (5, 3.175),  # 0.060 + 0.013 × 5 in, not in the table
    ],
)
def test_a_gauge_is_the_standards_diameter(gauge, diameter):
    assert float(gauge_diameter(gauge)) == pytest.approx(diameter, abs=1e-3)


def test_a_numbered_screw_on_sale_gets_its_name_and_diameter():
    (found,) = sizes_on_sale([Screw(gauge=8, length=F(127, 2))])
    assert found.name == "screw No. 8 × 2 1/2 in"
    assert float(found.diameter) == pytest.approx(4.1656)


def test_lead_holes_are_seven_tenths_of_the_root_in_softwood_and_nine_in_hardwood():
    # Wood Handbook ch. 8: root 2/3 of shank; 5 mm: 0.70 × 3.333 = 2.33, 0.90 × 3.333 = 3.0; bits in half mm
    assert holes_of(size(5, 60), wood="softwood").pilot == F(5, 2)
    assert holes_of(size(5, 60), wood="hardwood").pilot == 3
    assert holes_of(size("4.2", 60)).clearance == F(9, 2)


@pytest.mark.parametrize(
    ("diameter", "predrilled", "expected"),
    [
        (5.0, False, (60, 25, 75, 50, 25)),  # EN 1995-1-1 Table 8.2: a1 a2 a3,t a3,c a4,c, α = 0
        (5.0, True, (25, 15, 60, 35, 15)),
        (4.0, False, (40, 20, 60, 40, 20)),
    ],
)
def test_the_distances_used_are_those_of_table_8_2(diameter, predrilled, expected):
    rule = screw_spacing(diameter=diameter, angle=0.0, predrilled=predrilled)
    found = (rule.along_grain, rule.across_grain, rule.loaded_end, rule.free_end, rule.free_edge)
    assert found == pytest.approx(expected)


def side_grain_fixing():
    plan = plan_of(frame_of())
    return next(f for j in plan.joints if j.kind is JointKind.ALONG for f in j.fixings)


def test_withdrawal_is_the_handbooks_with_the_tip_left_out():
    number_8 = ScrewSize(name="No. 8", diameter=gauge_diameter(8), length=F(60))
    # 25 mm of thread beyond a tip of two diameters, which NDS 12.1.5.6 does not count
    thread = 25 + 2 * gauge_diameter(8)
    fixing = replace(side_grain_fixing(), screw=number_8, thread=thread)
    found = withdrawal_of(fixing, wood=Wood(specific_gravity=0.35))
    assert found.ultimate == pytest.approx(1381, abs=2)  # Wood Handbook ch. 8: 108.25 G² D L
    inch = replace(fixing, thread=F("25.4") + 2 * gauge_diameter(8))
    found = withdrawal_of(inch, wood=Wood(specific_gravity=0.35, assigned_gravity=0.36))
    assert found.allowed == pytest.approx(269, rel=5e-3)  # NDS 12.2-2: 60.6 lbf


def test_withdrawal_in_end_grain_is_shown_at_half_and_not_counted():
    fixing = side_grain_fixing()
    side = withdrawal_of(fixing, wood=SOFTWOOD)
    end = withdrawal_of(replace(fixing, grain="end grain"), wood=SOFTWOOD)
    assert end.ultimate == pytest.approx(side.ultimate / 2)  # estimate; NDS allows none
    assert side.counted
    assert not end.counted


def test_the_lateral_value_of_a_thick_joint_is_two_plastic_hinges():
    # By hand, EN 1995-1-1 (8.6 f), d 4: d_ef 2.9335, f_h 24.674, M_y 1969.7: 1.15 √(2 M f d) = 614.1 N
    found = lateral_value(diameter=4.0, held=63.0, received=71.0, density=310.0)
    assert found.characteristic == pytest.approx(614.1, rel=1e-3)
    assert found.mode == "f"
    assert found.design == pytest.approx(614.1 * 0.6 / 1.3, rel=1e-3)


def test_the_lateral_value_of_a_very_thin_part_is_its_embedding():
    # (8.6 a) f_h t d with d_ef 2.9335 and f_h 24.674, t 2.1
    found = lateral_value(diameter=4.0, held=2.1, received=90.0, density=310.0)
    assert found.mode == "a"
    assert found.characteristic == pytest.approx(24.674 * 2.1 * 2.9335, rel=1e-3)


@given(held=st.floats(5, 60), received=st.floats(5, 60), more=st.floats(0, 40))
def test_more_wood_never_carries_less(held, received, more):
    less = lateral_value(diameter=3.7, held=held, received=received, density=350.0)
    better = lateral_value(diameter=3.7, held=held, received=received + more, density=350.0)
    assert better.characteristic >= less.characteristic - 1e-9


def test_the_lateral_value_refuses_what_the_equations_do_not_cover():
    with pytest.raises(OutOfRangeError, match="2 to 8 mm"):
        lateral_value(diameter=9.0, held=20.0, received=20.0, density=350.0)
    assert lateral_value(diameter=4.0, held=20.0, received=0.0, density=350.0).characteristic == 0.0


NEED = ScrewNeed(passed=F(21), room=F(400), sunk=F(2), thickness=F(21))


def test_the_choice_takes_the_thin_gauge_long_enough_for_ten_diameters_of_thread():
    sizes = (size("3.5", 45), size("3.5", 55), size(4, 60), size(5, 70))
    assert choose_screw(sizes, NEED) == size("3.5", 55)  # 3.5 × 55 has 36 of thread, 10 d = 35
    assert choose_screw(sizes[:1] + sizes[2:], NEED) == size(4, 60)


def test_the_choice_falls_back_to_the_longest_with_six_diameters_and_then_to_none():
    assert choose_screw((size("3.5", 40), size("3.5", 45)), NEED) == size("3.5", 45)
    assert choose_screw((size("3.5", 35),), NEED) is None  # 16 mm of thread, 6 d = 21
    assert choose_screw((size(6, 90),), NEED) is None  # 21 mm timber takes 5.25 mm at most


@given(
    sizes=st.lists(
        st.tuples(st.sampled_from(["3", "3.5", "4", "4.5", "5"]), st.integers(15, 120)),
        min_size=1,
        max_size=12,
    ),
    passed=st.integers(8, 60),
    room=st.integers(8, 90),
    thickness=st.integers(10, 45),
)
def test_a_chosen_screw_never_comes_out_and_never_has_less_than_the_least_thread(
    sizes, passed, room, thickness
):
    need = ScrewNeed(passed=F(passed), room=F(room), sunk=F(1, 2), thickness=F(thickness))
    chosen = choose_screw(tuple(size(*each) for each in sizes), need)
    if chosen is None:
        return
    assert 6 * chosen.diameter <= need.thread(chosen) <= room
    assert chosen.diameter * 4 <= thickness
