"""Mass and centre of gravity against bodies weighed by hand; the hung state against what hanging can do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from longpoint.strength.beams.timber import timber
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.verdicts.cases import first_look, hung_answer, later_look
from longpoint.strength.verdicts.movement import hung_verdict
from longpoint.strength.verdicts.timber import mass_verdict
from longpoint.strength.verdicts.verdict import OwnLimits
from longpoint.strength.weight import weight_of
from oracles.support_case import BarSize, RailSize, Support, support_pieces
from strength.test_joined_frames import case_of, whole

LINEN = Cloth(
    warp_stiffness=60.0, weft_stiffness=55.0, poisson_warp=0.2, shear_stiffness=8.0, areal_mass=0.43e-6
)


def test_a_mitred_ring_of_square_bars_weighs_what_the_hand_says() -> None:
    wood = timber(modulus=8000.0, shear_modulus=500.0, density=410.0)
    bar = BarSize(thickness=24.0, depth=46.0, bevel=0.0)
    pieces = support_pieces(Support(width=1310.0, height=870.0, bar=bar, timber=wood))
    weight = weight_of(pieces, cloth=LINEN, width=1310.0, height=870.0)
    ring = (1310 * 870 - (1310 - 48) * (870 - 48)) * 46 * 410e-9  # outer less inner face
    face = 0.43e-6 * 1310 * 870
    assert weight.timber == approx(ring, rel=1e-9)
    assert weight.cloth == approx(face)
    assert weight.place == approx((0.0, 0.0, -23 * ring / (ring + face)), abs=1e-9)


def test_a_rail_off_the_middle_draws_the_centre_of_gravity_to_it() -> None:
    wood = timber(modulus=8000.0, shear_modulus=500.0, density=410.0)
    plain = Support(
        width=1310.0, height=870.0, bar=BarSize(thickness=24.0, depth=46.0, bevel=0.0), timber=wood
    )
    railed = replace(plain, rail=RailSize(thickness=19.0, depth=30.0, drop=7.0), cross_rails=(401.0,))
    before, after = (
        weight_of(support_pieces(s), cloth=LINEN, width=1310.0, height=870.0) for s in (plain, railed)
    )
    rail = 19 * 30 * (870 - 48) * 410e-9
    assert after.mass - before.mass == approx(rail, rel=1e-9)
    assert after.place[0] == approx(rail * (401 - 655) / after.mass, rel=1e-9)
    assert after.place[1] == approx(0.0, abs=1e-9)
    low = -46 + 7 + 15  # middle of the rail behind the canvas
    assert after.place[2] == approx((before.mass * before.place[2] + rail * low) / after.mass, rel=1e-9)


def test_the_mass_verdict_says_where_the_weight_acts() -> None:
    verdict = mass_verdict(case_of(whole()), OwnLimits())
    assert verdict.low < verdict.value < verdict.high
    assert verdict.number("behind") > 0


@pytest.fixture(scope="module")
def hung() -> tuple:  # type: ignore[type-arg]
    case = case_of(whole())
    later = later_look(first_look(case))
    return case, later, hung_answer(later)


def test_hanging_changes_little_and_not_the_tension(hung: tuple) -> None:  # type: ignore[type-arg]
    case, later, up = hung
    change = np.abs(up.bays - later.answer.bays).max()
    assert 0.01 < change < 0.5 * abs(later.answer.pulled_in)
    assert up.mean[0] == approx(later.answer.mean[0], rel=0.02)
    assert hung_verdict(case, later.answer, up).passes


def test_hung_the_frame_sags_less_than_its_canvas_alone_would_shear(hung: tuple) -> None:  # type: ignore[type-arg]
    """By hand: a panel that only shears, hung at both ends, sinks by W L / (8 k H) in the middle."""
    case, later, up = hung
    weight = weight_of(case.pieces, cloth=case.settled, width=case.width, height=case.height).mass * 9.80665
    panel = weight * case.width / (8 * case.settled.shear_stiffness * case.height)
    change = np.abs(up.bays - later.answer.bays).max()
    assert 0.3 * panel < change < panel  # the frame, stiff at its joints, takes the rest


def test_a_work_a_tenth_heavier_sags_a_tenth_further(hung: tuple) -> None:  # type: ignore[type-arg]
    case, later, up = hung
    heavy = tuple(
        replace(m, timber=replace(m.timber, density=1.1 * m.timber.density)) for m in case.pieces.members
    )
    lead = replace(
        case,
        pieces=replace(case.pieces, members=heavy),
        settled=replace(case.settled, areal_mass=1.1 * case.settled.areal_mass),
        raw=replace(case.raw, areal_mass=1.1 * case.raw.areal_mass),
    )
    lying = later_look(first_look(lead))
    assert lying.answer.bays == approx(later.answer.bays, rel=1e-9)  # lying, weight is not asked for
    down = hung_answer(lying)
    assert down is not None
    assert down.bays - lying.answer.bays == approx(1.1 * (up.bays - later.answer.bays), rel=0.02, abs=1e-4)


def test_where_nobody_says_by_what_it_hangs_nothing_is_said(hung: tuple) -> None:  # type: ignore[type-arg]
    case, later, _ = hung
    assert hung_answer(replace(later, case=replace(case, hangers=None))) is None
