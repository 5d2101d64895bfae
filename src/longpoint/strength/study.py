"""How often a design keeps each limit when what nobody knows exactly is varied, and what drives it.

Timber, joints, cloth, pull and natural twist are varied together along a seeded quasi-random sequence (Sobol',
scrambled), so that a hundred cases say what would take many hundred thrown at random. Each case is solved on its
own; nothing depends on where or in which order it is solved. The bands are estimates, stated beside each.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from longpoint.errors import FaultsError
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.joint_stiffness import JointStiffness
from longpoint.strength.beams.pieces import FramePieces
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.verdicts.cases import first_look, later_look
from longpoint.strength.verdicts.drawn import varied_verdicts
from longpoint.strength.verdicts.verdict import OwnLimits
from longpoint.strength.work_case import WorkCase
from longpoint.threads import on_one_thread

#: Size of canvas elements in a study: coarse, since the spread of the inputs is far above its error, but smaller
#: than the windows over which tension is read. [mm]
ELEMENT = 70.0

TIMBER = "timber"
TORSION = "torsion"
CORNERS = "corners"
RAIL_ENDS = "rail-ends"
WARP = "warp"
WEFT = "weft"
CLOTH_SHEAR = "cloth-shear"
PULL = "pull"
EVENNESS = "evenness"
TWIST = "twist"
CREEP = "creep"

VARIED = (TIMBER, TORSION, CORNERS, RAIL_ENDS, WARP, WEFT, CLOTH_SHEAR, PULL, EVENNESS, TWIST, CREEP)
"""What is varied, in the order of the sequence's directions."""

SPREAD = {
    TIMBER: 0.22,  # coefficient of variation of the modulus: Niemz 1993, Physik des Holzes, read as quoted
    TORSION: 0.15,  # estimate, beyond what goes with the modulus
    PULL: 0.20,  # estimate: how differently people leave the same canvas
    CREEP: 0.20,  # estimate
}
"""Standard deviation of the logarithm of each factor."""

FACTOR = {
    CORNERS: 4.0,  # estimate: a quarter to four times
    RAIL_ENDS: 3.0,  # estimate; half-laps and the bolts of a seam with them
    EVENNESS: 1.4,  # estimate: one direction pulled up to two fifths harder than the other
}
"""Greatest factor either way, evenly spread on a logarithmic scale."""


@dataclass(frozen=True, slots=True)
class ClothBand:
    """How far the stiffness of a cloth may lie from its middle value, as a greatest factor either way.

    Attributes:
        warp: Along the warp. [1]
        weft: Along the weft. [1]
        shear: In shear. [1]
    """

    warp: float
    weft: float
    shear: float


@dataclass(frozen=True, slots=True)
class Study:
    """A study to be made of one work.

    Attributes:
        case: The work with likely values.
        own: The user's limits.
        raw: Band of the cloth as stretched.
        settled: Band of the cloth in service.
        points: In the unit cube, one row per case, shape (n, len(VARIED)).
    """

    case: WorkCase
    own: OwnLimits
    raw: ClothBand
    settled: ClothBand
    points: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class CaseResult:
    """One case.

    Attributes:
        stands: Whether the tension could be left on the frame at all.
        found: Per verdict its key, the judged number, its unit, and whether the limit is kept.
    """

    stands: bool
    found: tuple[tuple[str, float, str, bool], ...]


@dataclass(frozen=True, slots=True)
class Share:
    """One limit over all cases.

    Attributes:
        key: Of the verdict.
        unit: Of the number.
        passes: Share of the cases that keep the limit. [1]
        low: One case in twenty lies below.
        middle: Half of the cases lie below.
        high: One case in twenty lies above.
        drivers: What moves the number most, strongest first: name and rank correlation, −1 to 1.
    """

    key: str
    unit: str
    passes: float
    low: float
    middle: float
    high: float
    drivers: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class StudyResult:
    """A study.

    Attributes:
        cases: How many cases.
        stands: Share of the cases in which the tension could be left at all. [1]
        holds: Share of the cases that keep every limit of the design. [1]
        shares: Per limit, in the order of the verdicts.
    """

    cases: int
    stands: float
    holds: float
    shares: tuple[Share, ...]

    def as_values(self) -> dict[str, Any]:
        """Plain values, for JSON."""
        return {
            "cases": self.cases,
            "stands": self.stands,
            "holds": self.holds,
            "limits": [
                {
                    "key": share.key,
                    "unit": share.unit,
                    "passes": share.passes,
                    "low": share.low,
                    "middle": share.middle,
                    "high": share.high,
                    "drivers": [{"what": name, "rank_correlation": value} for name, value in share.drivers],
                }
                for share in self.shares
            ],
        }


def study_points(*, cases: int, seed: int) -> tuple[tuple[float, ...], ...]:
    """Points of the sequence.

    Args:
        cases: How many; rounded up to a power of two, for which the sequence is balanced.
        seed: Of the scrambling.

    Returns:
        Rows in the unit cube.
    """
    power = max(0, int(np.ceil(np.log2(max(1, cases)))))
    from scipy.stats import qmc  # heavy: half a second that only a study needs

    sampler = qmc.Sobol(d=len(VARIED), scramble=True, rng=np.random.default_rng(seed))
    return tuple(tuple(float(value) for value in row) for row in sampler.random_base2(power))


def make_study(
    study: Study, *, run: Callable[[Sequence[tuple[Study, int]]], Iterable[CaseResult]]
) -> StudyResult:
    """Makes a study.

    Args:
        study: What is varied.
        run: Solves cases, given as arguments of `study_case`, and returns their results in the same order.
    """
    results = list(run([(study, number) for number in range(len(study.points))]))
    return summed_up(np.array(study.points), results)


@on_one_thread
def study_case(arguments: tuple[Study, int]) -> CaseResult:
    """One case of a study; alone, so that it can be solved anywhere.

    Args:
        arguments: The study and the number of the case.
    """
    study, number = arguments
    case = varied_case(study, dict(zip(VARIED, study.points[number], strict=True)))
    try:
        now = first_look(case)
        verdicts = varied_verdicts(now, later_look(now), study.own)
    except FaultsError:
        return CaseResult(stands=False, found=())
    return CaseResult(
        stands=True,
        # nine digits: what two machines that add in another order still agree on
        found=tuple((v.key, float(f"{v.value:.9g}"), v.unit, bool(v.passes)) for v in verdicts),
    )


def varied_case(study: Study, place: dict[str, float]) -> WorkCase:
    """The work with everything varied.

    Args:
        study: The study.
        place: Per varied name its place between 0 and 1.
    """
    case = study.case
    factor = {name: float(np.exp(spread * _normal(place[name]))) for name, spread in SPREAD.items()}
    even = {name: float(most ** (2 * place[name] - 1)) for name, most in FACTOR.items()}
    left = case.tension_left * factor[PULL]
    return replace(
        case,
        pieces=_varied_pieces(case, factor, even),
        raw=_varied_cloth(case.raw, study.raw, place),
        settled=_varied_cloth(case.settled, study.settled, place),
        tension_left=left,
        left=None,
        most=None if case.most is None else case.most * factor[PULL],
        hard_tension=max(left, case.hard_tension),
        natural_twist=case.natural_twist * 2 * place[TWIST],
        ratio=(even[EVENNESS], 1 / even[EVENNESS]),
        columns=2 * max(4, round(case.width / ELEMENT / 2)),
        rows=2 * max(4, round(case.height / ELEMENT / 2)),
    )


def _normal(place: float) -> float:
    """A standard normal number, two and a half deviations at most."""
    from scipy.special import ndtri  # heavy, and few plans need it

    return float(np.clip(ndtri(place), -2.5, 2.5))


def _varied_pieces(case: WorkCase, factor: dict[str, float], even: dict[str, float]) -> FramePieces:
    """Timber and joints varied; laps and the bolts of a seam go with the rail ends."""
    pieces = case.pieces
    bars, bolted = set(pieces.bars), set(case.seam.rails) if case.seam else set()
    members = tuple(
        replace(
            member,
            timber=replace(
                member.timber,
                modulus=member.timber.modulus * factor[TIMBER],
                shear_modulus=member.timber.shear_modulus * factor[TIMBER] * factor[TORSION],
                creep=member.timber.creep * factor[CREEP],
            ),
        )
        for member in pieces.members
    )
    joints = tuple(
        replace(
            joint,
            stiffness=_turning(
                joint.stiffness,
                even[CORNERS] if joint.first in bars and joint.second in bars else even[RAIL_ENDS],
            ),
        )
        for joint in pieces.joints
    )
    joints = tuple(
        replace(joint, stiffness=_sliding(joint.stiffness, even[RAIL_ENDS]))
        if {joint.first, joint.second} == bolted
        else joint
        for joint in joints
    )
    breaks = tuple(
        replace(
            cut,
            holds=tuple(
                replace(hold, stiffness=_turning(hold.stiffness, even[RAIL_ENDS])) for hold in cut.holds
            ),
        )
        for cut in pieces.breaks
    )
    return replace(pieces, members=members, joints=joints, breaks=breaks)


def _sliding(joint: JointStiffness, factor: float) -> JointStiffness:
    return replace(joint, slip=(joint.slip[0] * factor, joint.slip[1] * factor, joint.slip[2] * factor))


def _turning(joint: JointStiffness, factor: float) -> JointStiffness:
    return replace(
        joint,
        in_plane=joint.in_plane * factor,
        out_of_plane=joint.out_of_plane * factor,
        torsion=joint.torsion * factor,
    )


def _varied_cloth(cloth: Cloth, band: ClothBand, place: dict[str, float]) -> Cloth:
    warp = cloth.warp_stiffness * band.warp ** (2 * place[WARP] - 1)
    weft = cloth.weft_stiffness * band.weft ** (2 * place[WEFT] - 1)
    # the mean of both Poisson ratios stays what it is, so that reciprocity holds and no cloth is impossible
    mean = (cloth.poisson_warp * cloth.poisson_weft) ** 0.5
    return replace(
        cloth,
        warp_stiffness=warp,
        weft_stiffness=weft,
        poisson_warp=mean * (warp / weft) ** 0.5,
        shear_stiffness=cloth.shear_stiffness * band.shear ** (2 * place[CLOTH_SHEAR] - 1),
    )


def summed_up(points: Floats, results: Sequence[CaseResult]) -> StudyResult:
    """Shares and drivers from all cases.

    Args:
        points: In the unit cube, shape (n, len(VARIED)).
        results: In the same order.
    """
    standing = np.array([result.stands for result in results])
    keys: dict[str, str] = {}
    for result in results:
        keys |= {key: unit for key, _, unit, _ in result.found}
    shares = []
    holds = standing.copy()
    for key, unit in keys.items():
        rows = [{k: (v, ok) for k, v, _, ok in result.found}.get(key) for result in results]
        kept = np.array([row is not None and row[1] for row in rows])
        if key != "wind":  # how flat a frame is glued is not the design's
            holds &= kept
        values = np.array([row[0] for row in rows if row is not None])
        at = points[[row is not None for row in rows]]
        low, middle, high = (float(f"{q:.6g}") for q in np.quantile(values, [0.05, 0.5, 0.95]))
        shares.append(Share(key, unit, float(kept.mean()), low, middle, high, _drivers(at, values)))
    return StudyResult(len(results), float(standing.mean()), float(holds.mean()), tuple(shares))


def _drivers(points: Floats, values: Floats) -> tuple[tuple[str, float], ...]:
    """Rank correlation of the size of the number with everything varied; weak ones left out."""
    if len(values) < 8 or np.ptp(np.abs(values)) < 1e-12 * max(1.0, float(np.abs(values).max())):
        return ()
    from scipy.stats import rankdata

    ranks = rankdata(np.abs(values))
    found = []
    for column, name in enumerate(VARIED):
        own = rankdata(points[:, column])
        correlation = float(np.corrcoef(own, ranks)[0, 1])
        # below two standard errors of a rank correlation it is as likely chance
        if abs(correlation) > max(0.2, 2 / len(values) ** 0.5):
            found.append((name, round(correlation, 3)))
    return tuple(sorted(found, key=lambda pair: (-abs(pair[1]), pair[0]))[:3])
