"""Lifting by hand against the published equation, its worked examples and plain statics.

Sources: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110.
Its example 4 (package inspection, figure 14) was read in a published reprint; its example 1 (loading punch press
stock) is from memory. Worksheets of the manual multiply multipliers that are rounded to two places and inches that are
not exact centimetres, hence the tolerances. HSE's filter is from memory.
"""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from longpoint.choosing.by_rule import design_of
from longpoint.handling.lifting import Lift, filter_mass, lower_share, multipliers, team_mass
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed
from longpoint.works.lifting import LiftedWork, lifted_work, lifting_cautions

INCH, POUND = 25.4, 0.45359237


def test_a_lift_of_which_all_but_reach_and_way_is_favourable_by_hand() -> None:
    # H 40, V 75, D 50 cm: 23 · 0.625 · 1 · 0.91
    assert multipliers(Lift(out=400, height=750, travel=500)).limit == approx(13.08, abs=0.005)


@pytest.mark.parametrize(
    ("out", "height", "coupling", "pounds"),
    [
        (10, 22, "fair", 34.9),  # 51 · 1.0 · .94 · .87 · 1.0 · .88 · .95, printed; 34.8 unrounded
        (20, 59, "fair", 15.2),  # the destination, printed; 15.3 unrounded
    ],
)
def test_example_4_of_the_manual(out: float, height: float, coupling: str, pounds: float) -> None:
    found = multipliers(
        Lift(
            out=out * INCH,
            height=height * INCH,
            travel=37 * INCH,
            per_minute=3,
            coupling=coupling,  # type: ignore[arg-type]
        )
    )
    assert found.distance == approx(0.87, abs=0.005)
    assert found.frequency == 0.88
    # the manual's metric form takes 25 cm for 10 in, 23 kg for 51 lb, 75 cm for 30 in: three per cent together
    assert found.limit == approx(pounds * POUND, rel=0.035)


@pytest.mark.parametrize(("height", "pounds"), [(15, 16.3), (63, 14.5)])
def test_example_1_of_the_manual(height: float, pounds: float) -> None:
    found = multipliers(Lift(out=23 * INCH, height=height * INCH, travel=48 * INCH, coupling="fair"))
    assert found.limit == approx(pounds * POUND, rel=0.05)  # with 10 / 23 printed as 0.44


def test_the_table_of_frequencies_is_read_towards_more_lifts() -> None:
    def frequency(rate: float, duration: str = "short", height: float = 800) -> float:
        return multipliers(
            Lift(out=250, height=height, travel=250, per_minute=rate, duration=duration)  # type: ignore[arg-type]
        ).frequency

    assert [frequency(rate) for rate in (0.1, 0.2, 1, 1.5, 2, 15, 16)] == [
        1.0,
        1.0,
        0.94,
        0.91,
        0.91,
        0.28,
        0,
    ]
    assert frequency(13, height=700) == 0  # from below 75 cm nothing above twelve a minute
    assert frequency(12, height=700) == 0.37
    assert frequency(9, "long", 700) == 0


def test_beyond_what_the_equation_allows_nothing_may_be_lifted() -> None:
    good = {"out": 250.0, "height": 750.0, "travel": 250.0}
    assert multipliers(Lift(**good)).limit == approx(23.0)
    for key, value in (("out", 640), ("height", 1800), ("travel", 1760)):
        assert multipliers(Lift(**{**good, key: float(value)})).limit == 0
    assert multipliers(Lift(**good, twist=radians(136))).limit == 0
    assert multipliers(Lift(**good, twist=pi / 2)).asymmetric == approx(0.712)


@given(st.floats(250, 620), st.floats(0, 1740), st.floats(250, 1740), st.floats(0, pi / 2), st.floats(0, 12))
def test_nothing_that_is_worse_raises_the_limit(
    out: float, height: float, travel: float, twist: float, rate: float
) -> None:
    here = multipliers(Lift(out=out, height=height, travel=travel, twist=twist, per_minute=rate)).limit
    assert 0 <= here <= 23.0 + 1e-9
    for worse in (
        Lift(out=out + 9, height=height, travel=travel, twist=twist, per_minute=rate),
        Lift(out=out, height=height, travel=travel + 9, twist=twist, per_minute=rate),
        Lift(out=out, height=height, travel=travel, twist=twist + 0.1, per_minute=rate),
        Lift(out=out, height=height, travel=travel, twist=twist, per_minute=rate + 1),
        Lift(out=out, height=height, travel=travel, twist=twist, per_minute=rate, coupling="poor"),
    ):
        assert multipliers(worse).limit <= here + 1e-9


def test_the_filter_takes_the_least_of_the_zones_that_hands_pass() -> None:
    assert filter_mass(out=250, lowest=750, highest=1000) == 16
    assert filter_mass(out=250, lowest=750, highest=1000, who="men") == 25
    assert filter_mass(out=630, lowest=750, highest=1000) == 10
    assert filter_mass(out=440, lowest=750, highest=1000) == 13  # half way
    assert filter_mass(out=250, lowest=200, highest=1000) == 7
    assert filter_mass(out=250, lowest=750, highest=1900) == 0
    assert team_mass(16, 2) == approx(2 / 3 * 32)
    assert team_mass(16, 3) == approx(24)


def test_the_lower_one_on_a_stair_carries_more_by_moments() -> None:
    # grips 2 m apart, mass centre 0.4 m above their line, stair of 35°: 0.5 + 0.4 tan 35° / 2
    share = lower_share(grips_apart=2000, centre_above=400, pitch=radians(35))
    assert share == approx(0.5 + 0.4 * tan(radians(35)) / 2)
    # moments about the lower hands: the upper one's load times the level distance is the mass times its own
    a = radians(35)
    level = 2000 * cos(a)
    centre = 1000 * cos(a) - 400 * sin(a)
    assert 1 - share == approx(centre / level)
    assert lower_share(grips_apart=2000, centre_above=0, pitch=a) == 0.5


STAIRS = """
[[way]]
name = "Out"
[[way.obstacle]]
kind = "stairs"
width = 900
headroom = 2100
rise = 180
going = 257
"""


def batch_of(width: int, height: int, *, head: str = "", tail: str = "") -> Batch:
    return parse_batch(f'{head}[[work]]\nname = "Reeds"\nwidth = {width}\nheight = {height}\n{tail}')


def lifted(batch: Batch, mass: float) -> LiftedWork:
    designed = design_of(briefs_of(batch)[0])
    assert isinstance(designed, Designed)
    return lifted_work(batch.way, work="Reeds", design=designed.design, mass=mass, pieces=1)


def test_people_follow_from_reach_and_from_mass() -> None:
    small, wide = batch_of(700, 900), batch_of(1500, 900)
    assert (lifted(small, 3).people, lifted(small, 3).why) == (1, "reach")
    assert (lifted(wide, 3).people, lifted(wide, 3).why) == (2, "reach")
    heavy = lifted(small, 12)
    assert heavy.why == "mass"
    assert heavy.people == 2
    assert heavy.index <= 1
    assert heavy.each * heavy.people == approx(12 * 1.1)
    assert lifted(small, 400).people == 4  # more than three
    assert lifted(wide, 3).stairs is None
    on_stairs = lifted(batch_of(1500, 2400, tail=STAIRS), 10).stairs
    assert on_stairs is not None
    assert on_stairs == approx(11 * (0.5 + 450 * 180 / 257 / 1500))


def test_too_few_people_are_said_only_where_it_is_stated_how_many_there_are() -> None:
    for head, said in (("", 0), ("[shop]\npeople = 1\n", 1), ("[shop]\npeople = 2\n", 0)):
        batch = batch_of(1500, 900, head=head)
        assert len(lifting_cautions(batch.shop, [lifted(batch, 3)])) == said
