"""Frames with joined bars or in two halves: what the seam carries against plain statics, verdicts that can be missed.

No published case has a stretched frame in two halves: each half is checked as a free body, by hand.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from pytest import approx

from longpoint.frame.design import BarJoin, FrameDesign, even_rails
from longpoint.frame.members import derive_frame
from longpoint.joinery.joints.seam import bolts_of as bored
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.answer import JointForces, break_forces, joint_forces, member_forces
from longpoint.strength.beams.bolted_seam import bolt_springs, butt_holds, washer_area
from longpoint.strength.equilibrium import check_equilibrium
from longpoint.strength.study import VARIED, ClothBand, Study, varied_case
from longpoint.strength.verdicts.cases import Look, all_cases, first_look, years_on
from longpoint.strength.verdicts.drawn import all_verdicts, first_verdicts
from longpoint.strength.verdicts.join import carried_within, join_verdicts
from longpoint.strength.verdicts.seam import bolt_forces, seam_verdicts
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict
from longpoint.strength.work_case import WorkCase
from longpoint.works.brief import briefs_of
from longpoint.works.mass import Mass
from longpoint.works.strength import makes_of, strength_case
from longpoint.works.strength_joins import seam_rails

pytestmark = pytest.mark.slow


def whole(*, width: int = 1730, height: int = 1190, depth: int = 47) -> FrameDesign:
    """Bars on edge with two cross rails, middle pieces and end rails at the short sides."""
    design = FrameDesign(
        width=Fraction(width),
        height=Fraction(height),
        bar_thickness=Fraction(22),
        bar_depth=Fraction(depth),
        bevel_fall=Fraction(6),
        bevel_first=True,
        lip_radius=Fraction(2),
        corner="mitre",
        rail_thickness=Fraction(21),
        rail_depth=Fraction(depth - 16),
        drop=Fraction(7),
        end_rails=("left", "right"),
        cross_rails=(),
        middle_pieces=True,
        halved=False,
        shift=Fraction(40),
        strings=("left", "right"),
    )
    return replace(design, cross_rails=even_rails(2, design=design))


def in_halves(design: FrameDesign, *, seam: int | None = None) -> FrameDesign:
    cut = replace(design, seam=design.length / 2 if seam is None else Fraction(seam))
    return replace(cut, cross_rails=even_rails(4, design=cut))


def scarfed(
    design: FrameDesign, *, side: str = "bottom", centre: int = 700, length: int = 176
) -> FrameDesign:
    join = BarJoin(side=side, kind="scarf", centre=Fraction(centre), length=Fraction(length))  # type: ignore[arg-type]
    return replace(design, joins=(join,))


def lapped(design: FrameDesign, *, centre: int = 700) -> FrameDesign:
    join = BarJoin(
        side="bottom",
        kind="half-lap with plate",
        centre=Fraction(centre),
        length=Fraction(141),
        plate=(Fraction(261), Fraction(31)),
    )
    return replace(design, joins=(join,))


def turned(design: FrameDesign) -> FrameDesign:
    """The same frame standing on its short side."""
    return replace(
        design,
        width=design.height,
        height=design.width,
        end_rails=("bottom", "top"),
        strings=("bottom", "top"),
    )


MASS = Mass(timber=6.0, cloth=0.0, coats=0.0, low=0.9 * 6.0, high=1.1 * 6.0)


MASS = Mass(timber=6.0, cloth=0.0, coats=0.0, low=5.2, high=6.8)


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


def named(verdicts: list[Verdict], key: str) -> Verdict:
    return next(verdict for verdict in verdicts if verdict.key == key)


@pytest.fixture(scope="module")
def one_piece() -> Look:
    return first_look(case_of(whole()))


@pytest.fixture(scope="module")
def halved() -> Look:
    return first_look(case_of(in_halves(whole(), seam=811)))


def test_a_scarf_leaves_the_frame_as_stiff_as_with_whole_bars(one_piece: Look) -> None:
    scarf = first_look(case_of(scarfed(whole())))
    # further nodes on the bar alone: what the canvas gives inside an element moves by a thousandth
    assert scarf.answer.bays == approx(one_piece.answer.bays, rel=5e-3)
    assert scarf.answer.hollow == approx(one_piece.answer.hollow, rel=5e-3)


def test_a_lap_without_give_is_the_whole_bar_and_a_real_one_a_little_softer(one_piece: Look) -> None:
    case = case_of(lapped(whole()))
    real = first_look(case)
    (cut,) = case.pieces.breaks
    (hold,) = cut.holds
    stiff = replace(hold.stiffness, in_plane=1e12, out_of_plane=1e12, torsion=1e12)
    endless = replace(cut, holds=(replace(hold, stiffness=stiff),))
    rigid = first_look(replace(case, pieces=replace(case.pieces, breaks=(endless,))))
    same = first_look(replace(case, pieces=replace(case.pieces, breaks=())))
    assert rigid.answer.bays == approx(same.answer.bays, rel=1e-4, abs=1e-6)
    assert 1.0 < real.answer.hollow / same.answer.hollow < 1.05
    assert same.answer.hollow == approx(one_piece.answer.hollow, rel=5e-3)


def test_at_a_fifth_of_the_bay_a_bar_hardly_bends_in_the_canvas_plane() -> None:
    """So a short join belongs there. Off the wall it bends alike all along: a long one gains little."""
    design = whole()
    start, stop = design.cross_rails
    fifth, middle, rail = int(start + (stop - start) / 5), int((start + stop) / 2), int(start + 25)
    moments = {}
    for at in (fifth, middle, rail):
        look = first_look(case_of(scarfed(design, centre=at, length=20)))
        (face,) = look.case.joins
        forces = member_forces(look.system, look.state)["bottom bar"]
        moments[at] = carried_within(forces, face.start, face.stop).moment_in_plane
    assert moments[fifth] < 0.5 * moments[middle] < 0.5 * moments[rail]


def test_a_join_is_found_wherever_round_the_frame_its_bar_lies() -> None:
    """Bars run round the frame in the engine, joins are counted from the left and from below."""
    uses = {}
    for side, centre in (("bottom", 700), ("top", 700), ("top", 1030)):
        uses[side, centre] = named(
            join_verdicts(first_look(case_of(scarfed(whole(), side=side, centre=centre)))), "join-use"
        ).value
    assert uses["bottom", 700] == approx(uses["top", 700], rel=0.05)  # but for the shifted middle piece alike
    upright = named(
        join_verdicts(first_look(case_of(scarfed(turned(whole()), side="right", centre=700)))), "join-use"
    )
    assert upright.value == approx(uses["bottom", 700], rel=0.05)


def test_a_steep_scarf_is_a_missed_limit() -> None:
    design = whole()
    steep = replace(scarfed(design, centre=865).joins[0], length=Fraction(5))
    verdict = named(
        join_verdicts(first_look(case_of(replace(design, joins=(steep,)), tension_left=330.0))), "join-use"
    )
    assert verdict.passes is False
    assert verdict.number("efficiency") < 0.3


def test_a_frame_in_halves_is_in_balance_and_its_halves_are_free_bodies(halved: Look) -> None:
    """Across the seam there are canvas, two butts and the bolts: their forces and moments add up to nought."""
    case, system, state = halved.case, halved.system, halved.state
    assert case.seam is not None
    assert check_equilibrium(system, state).worst < 1e-8
    butts = [break_forces(system, state)[index] for index in case.seam.butts]
    bolts = [j for j in joint_forces(system, state) if {j.first, j.second} == set(case.seam.rails)]
    seam = float(811)
    grid = system.canvas.grid
    # canvas tension across the seam, the column's mean over the rows
    middles = grid.nodes[np.asarray(grid.elements)].mean(axis=1)
    column = np.abs(middles[:, 0] - seam) == np.abs(middles[:, 0] - seam).min()
    across = state.tension[:, 0].reshape(-1, 4).mean(axis=1)[column]
    rows = np.ptp(grid.nodes[np.asarray(grid.elements)][column][:, :, 1], axis=1)
    canvas = float(across @ rows)
    # the first half on the second: butts push along +x (the top bar runs towards −x), bolts pull towards −x
    thrust = sum(abs(sum(hold.force[0] for hold in b)) for b in butts)
    pull = sum(case.seam.parts * bolt.force[1] for bolt in bolts)
    assert thrust - pull == approx(canvas, rel=2e-2)  # canvas: mean of one column, not the cut itself
    # about the canvas plane the canvas has no lever: what presses near the lip is held by the bolts at the back
    pressed = 2.0 + 1.5  # eased lip, then the middle of the pressure
    rail = 47 - 7 - 31 / 2  # bolts behind the canvas
    rolled = sum(bolt.torsion for bolt in bolts)
    contact = sum(abs(b[1].force[0]) for b in butts)
    assert abs(contact * pressed - pull * rail) == approx(
        abs(rolled), rel=5e-3
    )  # what "does not hold" still holds


def test_both_butts_press_and_hold_no_bending(halved: Look) -> None:
    case = halved.case
    assert case.seam is not None
    for index in case.seam.butts:
        dowel, contact = break_forces(halved.system, halved.state)[index]
        assert contact.slide[0] < 0  # the ends go into one another by what a stiff spring gives
        assert contact.in_plane == 0.0
        assert abs(contact.out_of_plane) < 1.0
        assert abs(dowel.force[0]) < 2e-3 * abs(contact.force[0])


def test_a_seam_makes_a_frame_softer_in_everything_it_should(one_piece: Look, halved: Look) -> None:
    assert halved.answer.hollow > 1.5 * one_piece.answer.hollow
    winding = [
        next(v.value for v in all_verdicts(all_cases(look), OwnLimits()) if v.key == "winding")
        for look in (one_piece, halved)
    ]
    assert winding[1] < winding[0]


def test_a_seam_has_three_verdicts_and_a_frame_in_one_piece_none(one_piece: Look, halved: Look) -> None:
    keys = [v.key for v in first_verdicts(halved, OwnLimits()) if v.key.startswith("seam")]
    assert keys == ["seam-opening", "seam-step", "seam-bolt"]
    assert not [v for v in first_verdicts(one_piece, OwnLimits()) if v.key.startswith(("seam", "join"))]


def test_what_opens_at_the_seam_grows_with_the_tension_and_can_miss_its_limit(halved: Look) -> None:
    tight = first_look(case_of(in_halves(whole(), seam=811), tension_left=330.0))
    opened = [named(seam_verdicts(look), "seam-opening") for look in (halved, tight)]
    assert opened[1].value == approx(330 / 200 * opened[0].value, rel=1e-6)
    long = first_look(case_of(in_halves(whole(width=3910, height=2210))))
    assert named(seam_verdicts(long), "seam-opening").passes is False


def test_bolts_near_the_bars_let_the_frame_kink_less(halved: Look, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("longpoint.joinery.joints.seam.FIRST_BOLT", Fraction(150))
    far = first_look(case_of(in_halves(whole(), seam=811)))
    kinks = [named(seam_verdicts(look), "seam-opening").number("kink") for look in (halved, far)]
    assert kinks[0] < 0.8 * kinks[1]


def test_a_frame_in_halves_answers_alike_lying_and_standing(halved: Look) -> None:
    upright = first_look(case_of(turned(in_halves(whole(), seam=811))))
    one, two = seam_verdicts(halved), seam_verdicts(upright)
    # shifted middle pieces move to the other side: a few hundredths
    assert [v.value for v in two] == approx([v.value for v in one], rel=0.06, abs=0.004)


def test_the_two_rails_of_a_seam_hold_a_bar_as_one() -> None:
    design = in_halves(whole(), seam=811)
    case = case_of(design)
    bottom = [bay for bay in case.bays if bay.bar == "bottom bar"]
    assert [bay.stop for bay in bottom] == approx(
        [float(design.cross_rails[0]), 811.0, float(design.cross_rails[3]), 1730.0]
    )
    assert seam_rails(derive_frame(design)) == ("cross rail 2", "cross rail 3")


def test_the_bolts_in_the_model_are_the_bolts_that_are_bored() -> None:
    design = in_halves(whole(), seam=811)
    case = case_of(design)
    assert case.seam is not None
    bolts = [j for j in case.pieces.joints if {j.first, j.second} == set(case.seam.rails)]
    assert [j.point[1] for j in bolts if j.point] == [float(bolt.start[1]) for bolt in bored(design)]
    assert {j.point[0] for j in bolts if j.point} == {811.0}
    level = {float(bolt.start[2]) for bolt in bored(design)}
    assert {j.point[2] for j in bolts if j.point} == level


def test_what_presses_the_rails_together_pulls_no_bolt(halved: Look) -> None:
    face = halved.case.seam
    assert face is not None
    bolt = JointForces(
        first="cross rail 2",
        second="cross rail 3",
        force=(3.0, 9.0 * face.parts, 4.0),
        torsion=-31.0,
        out_of_plane=0.0,
        in_plane=0.0,
        opening=0.0,
        slide=(0.0, 0.0, 0.0),
    )
    assert bolt_forces(bolt, face) == approx((9 + 31 / face.lever, 5.0))
    pressed = replace(bolt, force=(3.0, -9.0 * face.parts, 4.0))
    assert bolt_forces(pressed, face) == approx((31 / face.lever, 5.0))


def test_years_soften_a_break_as_they_do_a_joint() -> None:
    case = case_of(lapped(whole()))
    now, later = case.pieces.breaks[0].holds[0].stiffness, years_on(case.pieces).breaks[0].holds[0].stiffness
    creep = case.pieces.members[0].timber.creep
    assert later.out_of_plane == approx(now.out_of_plane / (1 + 2 * creep))


def test_springs_of_bolt_and_dowel_are_what_the_hand_makes_them() -> None:
    assert washer_area(6.0) == approx(
        np.pi / 4 * (18**2 - 6.4**2)
    )  # EN ISO 7093-1, M6: 18.0 and 6.4 mm (read)
    bolt = bolt_springs(bolt=6.0, thickness=21.0, depth=31.0, modulus_across=270.0, density=370.0)
    pull = 270 * 2 * washer_area(6.0) / 21 / 2
    assert bolt.slip == approx((370**1.5 * 6 / 23, pull, 370**1.5 * 6 / 23))  # EN 1995-1-1 Table 7.1
    assert bolt.torsion == approx(pull * (31 / 3) ** 2)
    dowel, contact = butt_holds(dowel=8.0, density=370.0, lip=23.0, eased=2.0)
    assert dowel.stiffness.slip[2] == approx(0.5 * 370**1.5 * 8 / 23)
    assert contact.front == approx(23 - 2 - 1.5)


def test_a_study_varies_laps_and_bolts_with_the_rail_ends() -> None:
    halves, lap = case_of(in_halves(whole(), seam=811)), case_of(lapped(whole()))
    band = ClothBand(warp=1.0, weft=1.0, shear=1.0)
    place = dict.fromkeys(VARIED, 0.5) | {"rail-ends": 1.0}  # three times as stiff

    def varied(case: WorkCase) -> WorkCase:
        return varied_case(Study(case=case, own=OwnLimits(), raw=band, settled=band, points=((0.5,),)), place)

    assert halves.seam is not None
    pair = set(halves.seam.rails)
    before, after = (
        next(j.stiffness for j in case.pieces.joints if {j.first, j.second} == pair)
        for case in (halves, varied(halves))
    )
    assert after.springs == approx(tuple(3 * k for k in before.springs))
    soft, stiff = (case.pieces.breaks[0].holds[0].stiffness for case in (lap, varied(lap)))
    assert stiff.out_of_plane == approx(3 * soft.out_of_plane)
    assert stiff.slip == soft.slip
