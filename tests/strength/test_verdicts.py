"""Verdicts: painters' practice told apart, near rivals ranked, limits that can be missed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from pytest import approx

from longpoint.frame.design import FrameDesign, even_rails
from longpoint.frame.members import derive_frame
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.answer import member_forces
from longpoint.strength.beams.net_section import Weakening, net_section
from longpoint.strength.beams.timber import timber
from longpoint.strength.choice import all_hold
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.quick_bounds import rigid_ended_pull_in
from longpoint.strength.verdicts.cases import Look, all_cases, first_look
from longpoint.strength.verdicts.drawn import all_verdicts, first_verdicts
from longpoint.strength.verdicts.timber import buckling_verdict, timber_verdict
from longpoint.strength.verdicts.touch import touching_load
from longpoint.strength.verdicts.verdict import OwnLimits
from longpoint.strength.work_case import WorkCase
from longpoint.works.brief import briefs_of
from longpoint.works.frame_pieces import pieces_of
from longpoint.works.mass import Mass
from longpoint.works.strength import makes_of, strength_case
from oracles.support_case import BarSize, RailSize, Support, support_pieces

PLAIN = OwnLimits()


def frame_design(
    *, cross: int = 0, middle: bool = False, ends: bool = False, thick: int = 21, width: int = 1700
) -> FrameDesign:
    """A bevelled frame in light pine on edge, 1.2 m high."""
    design = FrameDesign(
        width=Fraction(width),
        height=Fraction(1200),
        bar_thickness=Fraction(thick),
        bar_depth=Fraction(44),
        bevel_fall=Fraction(6),
        bevel_first=True,
        lip_radius=Fraction(2),
        corner="mitre",
        rail_thickness=Fraction(21),
        rail_depth=Fraction(28),
        drop=Fraction(7),
        end_rails=("left", "right") if ends else (),
        cross_rails=(),
        middle_pieces=middle,
        halved=False,
        shift=Fraction(40) if middle and cross else Fraction(0),
        strings=("left", "right"),
    )
    return replace(design, cross_rails=even_rails(cross, design=design))


MASS = Mass(timber=4.5, cloth=0.0, coats=0.0, low=0.9 * 4.5, high=1.1 * 4.5)


def case_of(design: FrameDesign, *, tension_left: float = 200.0) -> WorkCase:
    work = Work(name="Test", width=float(design.width), height=float(design.height))
    batch = Batch(work=(work,), cloth={"tension_left": tension_left})
    makes = makes_of(briefs_of(batch)[0].work_cloth, bars="C16", rails="C16")
    case = strength_case(briefs_of(batch)[0], derive_frame(design), makes, mass=MASS)
    # pulled to the wish, whatever water would do
    left = tension_left / 1000
    return replace(
        case,
        tightens=None,
        tension_left=left,
        left=None,
        most=None,
        peak=1.8,
        hard_tension=max(0.34, 1.25 * left),
    )


@pytest.fixture(scope="module")
def bare() -> Look:
    return first_look(case_of(frame_design()))


@pytest.fixture(scope="module")
def full() -> Look:
    return first_look(case_of(frame_design(cross=2, middle=True, ends=True)))


@pytest.mark.slow
def test_what_painters_trust_at_1700_by_1200_passes_everything(full: Look) -> None:
    # common practice, no published source: end rails at the short sides, two cross rails, three middle pieces
    verdicts = all_verdicts(all_cases(full), PLAIN)
    assert [v.key for v in verdicts if v.judge == "design" and not v.passes] == []
    assert all_hold(verdicts)


@pytest.mark.slow
def test_the_same_frame_with_nothing_inside_is_drawn_in_visibly_and_may_rock(bare: Look) -> None:
    # common practice, no published source: known to be drawn in visibly and to rock
    verdicts = {v.key: v for v in all_verdicts(all_cases(bare), PLAIN)}
    assert verdicts["pulled-in-now"].value > 4.0
    for key in ("pulled-in-now", "pulled-in-later", "pulled-in-hard", "tension-lowest", "winding", "wind"):
        assert verdicts[key].passes is False, key


def test_two_cross_rails_draw_in_less_than_one_at_equal_tension_left() -> None:
    looks = [first_look(case_of(frame_design(cross=n, middle=True, ends=True))) for n in (1, 2)]
    assert [round(look.answer.mean[0], 4) for look in looks] == [0.2, 0.2]
    one, two = (look.answer.pulled_in for look in looks)
    assert 0 < two < 0.6 * one


def test_bars_45_thick_turn_in_less_and_draw_in_less_than_30_at_equal_tension_left() -> None:
    thin, thick = (first_look(case_of(frame_design(cross=1, thick=t))) for t in (30, 45))
    assert thin.answer.mean[0] == pytest.approx(thick.answer.mean[0], rel=1e-3)
    assert abs(thick.answer.pulled_in) < 0.7 * abs(thin.answer.pulled_in)
    assert abs(thick.answer.turning_in) < 0.7 * abs(thin.answer.turning_in)


def test_a_taut_frame_pulled_hard_answers_in_proportion(full: Look) -> None:
    hard = first_look(replace(full.case, tension_left=0.31))
    assert np.all(full.state.state == 2)
    np.testing.assert_allclose(hard.answer.bays, full.answer.bays * 1.55, rtol=2e-3)
    np.testing.assert_allclose(full.answer.scaled(1.55, "hard").bays, hard.answer.bays, rtol=2e-3)
    assert full.answer.scaled(1.55, "hard").turning_in == pytest.approx(hard.answer.turning_in, rel=2e-3)


def test_in_the_long_run_a_frame_comes_in_further_but_less_than_its_creep_under_dead_load(full: Look) -> None:
    cases = all_cases(full)
    now, later = cases.at("likely", "now"), cases.at("likely", "later")
    # joints alone creeping would add less than a fifth; k_def 0.6, from memory
    assert 1.2 * abs(now.pulled_in) < abs(later.pulled_in) < 1.6 * abs(now.pulled_in)
    assert later.mean[0] < now.mean[0]


def test_the_adapter_makes_the_same_frame_as_the_support_stated_in_plain_numbers() -> None:
    design = frame_design(cross=2, middle=True, ends=True)
    wood = timber()
    ours = pieces_of(derive_frame(design), bars=wood, rails=wood)
    stated = support_pieces(
        Support(
            width=1700.0,
            height=1200.0,
            bar=BarSize(thickness=21.0, depth=44.0, bevel=6.0, flat=2.0),
            rail=RailSize(thickness=21.0, depth=28.0, drop=7.0),
            cross_rails=tuple(float(at) for at in design.cross_rails),
            middle_pieces=True,
            middle_shifts=(0.0, 40.0, 0.0),
            end_rails=True,
            timber=wood,
        )
    )
    assert len(ours.members) == len(stated.members)
    assert len(ours.joints) == len(stated.joints)
    assert len(ours.seams) == len(stated.seams) == 2
    spots = {frozenset((m.start, m.end)) for m in stated.members}
    assert {frozenset((m.start, m.end)) for m in ours.members} == spots
    ends = sorted((round(j.first_at, 6), round(j.second_at, 6)) for j in stated.joints)
    found = sorted((round(j.first_at, 6), round(j.second_at, 6)) for j in ours.joints)
    np.testing.assert_allclose(found, ends, atol=1e-6)


def test_a_limit_of_ones_own_is_held_against_and_named(full: Look) -> None:
    verdicts = {v.key: v for v in first_verdicts(full, OwnLimits(pulled_in=0.1, mass=3.0))}
    assert (verdicts["pulled-in-now"].limit, verdicts["pulled-in-now"].tag) == (0.1, "yours")
    assert verdicts["pulled-in-now"].passes is False
    assert verdicts["mass"].passes is False
    assert verdicts["hollow"].tag == "estimate"


def test_the_quick_bound_never_exceeds_what_the_solve_finds(bare: Look) -> None:
    bar = bare.case.pieces.members[0]
    least = rigid_ended_pull_in(
        case=bare.case,
        inertia=bar.section.moment_across,
        modulus=bar.timber.modulus,
        span=1658.0,
        across=1200.0,
    )
    bottom = max(
        abs(value)
        for value, bay in zip(bare.answer.bays, bare.case.bays, strict=True)
        if bay.bar == "bottom bar"
    )
    assert 0 < least < bottom


def test_canvas_is_harder_to_push_on_to_a_bar_than_on_to_a_rail_in_the_middle() -> None:
    cloth = Cloth(
        warp_stiffness=78.0, weft_stiffness=110.0, poisson_warp=0.2, shear_stiffness=25.0, areal_mass=0.5e-6
    )
    bar = touching_load(width=1700.0, height=1200.0, inset=21.0, clearance=6.0, tension=0.2, cloth=cloth)
    rail = touching_load(width=1700.0, height=1200.0, inset=600.0, clearance=9.0, tension=0.2, cloth=cloth)
    nearer = touching_load(width=1700.0, height=1200.0, inset=600.0, clearance=5.0, tension=0.2, cloth=cloth)
    assert bar > 2 * rail > 2 * nearer > 0


@pytest.mark.slow
def test_timber_is_bent_most_where_its_section_is_weakened_most(full: Look) -> None:
    """Half of the bar gone where it is bent most: by hand that stress is at least four times as high there."""
    plain = timber_verdict(full)
    forces = member_forces(full.system, full.state)[plain.place]
    bar = next(m for m in full.system.model.members if m.name == plain.place)
    left = net_section(bar.section, [(0.0, 10.5, 0.0, 44.0)])
    assert left is not None
    at = float(forces.places.flat[np.argmax(np.abs(forces.moment_in_plane))])
    weak = replace(full, case=replace(full.case, weakenings=(Weakening(bar.name, at, left),)))
    judged = timber_verdict(weak)
    assert judged.place == plain.place
    assert judged.value > 3.5 * plain.value
    assert judged.number("left") == approx(left.share)
    assert buckling_verdict(weak).value <= buckling_verdict(full).value
