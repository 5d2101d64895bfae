"""Every number of ours that has a number of someone else beside it, gathered for the table in the docs."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from longpoint.strength.beams.frame_model import FrameModel, Joint, Member, build_frame
from longpoint.strength.beams.joint_stiffness import HINGED, RIGID, RIGID_TURN, JointStiffness
from longpoint.strength.beams.section import Section, polygon_section, rectangle_section
from longpoint.strength.beams.timber import Timber
from longpoint.strength.coupled import couple
from longpoint.strength.membrane.grid import rectangle_grid
from longpoint.strength.membrane.solve import Cloth, dip, patch_forces, pressure_forces
from oracles.frame_solve import FrameSolution, frame_buckling, solve_frame
from oracles.plain import FrameCase, solve_case
from oracles.plain_winding import equal_bars_critical_tension
from strength.frames import (
    RECTANGLE,
    SLENDER,
    STOCKY,
    beam,
    bow,
    broken,
    closed_frame,
    holds,
    moment_at,
    pinned,
    solve_closed,
    spread,
)

RECORDED = Path(__file__).with_name("recorded_calculix.json")


@dataclass(frozen=True)
class Row:
    """One comparison.

    ``with_shear`` is ours once shear counts, where the other knows none; ``least`` is allowed anyway.
    """

    what: str
    unit: str
    theirs: float
    ours: float
    tolerance: float
    source: str
    with_shear: float | None = None
    least: float = 0.0


COMPUTED = "closed form, worked by hand"
TABLES = "printed tables of continuous beams"
SERIES = "Saint-Venant's series"


def closed_form_rows() -> list[Row]:
    """All closed forms."""
    return [
        *_beam_rows(),
        *_break_rows(),
        *_frame_rows(),
        *_foundation_rows(),
        *_section_rows(),
        *_membrane_rows(),
    ]


def _both(solve: Callable[[Timber], float]) -> tuple[float, float]:
    return solve(SLENDER), solve(STOCKY)


def _beam_rows() -> list[Row]:
    rows = []

    def plain(wood: Timber, *, fixed: bool) -> float:
        model = beam(1000.0, 8, wood)
        every = dict.fromkeys((0, 8), "x y z rx ry rz")
        held = holds(model, every) if fixed else pinned(model, [0, 8])
        return float(solve_frame(model, spread(model, 0.25), held).movement[4, 1])

    for fixed, theirs in ((False, 2.68), (True, 0.536)):
        ours, shear = _both(lambda wood, fixed=fixed: plain(wood, fixed=fixed))  # type: ignore[misc]
        name = f"bar 45 × 20, 1.0 m, {'fixed' if fixed else 'pinned'} ends, 250 N/m: bow"
        rows.append(Row(name, "mm", theirs, ours, 5e-3, COMPUTED, shear))

    def continuous(wood: Timber, spans: int) -> tuple[float, float]:
        model = beam(700.0 * spans, 40 * spans, wood)
        held = pinned(model, [40 * i for i in range(spans + 1)])
        answer = solve_frame(model, spread(model, 0.25), held)
        ei = 8000 * RECTANGLE.moment_across
        return float(answer.movement[:, 1].max() * ei / (0.25 * 700**4)), float(-answer.reactions[0, 1] / 175)

    for spans, deflection, reaction in ((2, 0.005416, 0.375), (3, 0.006884, 0.4), (4, 0.00646, 0.3929)):
        slim, stout = continuous(SLENDER, spans), continuous(STOCKY, spans)
        rows.append(Row(f"{spans} equal spans: bow", "w L⁴/EI", deflection, slim[0], 1e-3, TABLES, stout[0]))
        rows.append(
            Row(f"{spans} equal spans: end reaction", "w L", reaction, slim[1], 1e-3, TABLES, stout[1])
        )

    model = beam(1000.0, 3)
    loads = np.zeros((4, 6))
    loads[3, 3] = 1000.0
    twist = solve_frame(model, loads, holds(model, {0: "x y z rx ry rz"})).movement[3, 3]
    rows.append(Row("bar 45 × 20, 1.0 m, 1 N m: twist", "°", 1.326, float(np.degrees(twist)), 5e-3, COMPUTED))

    def euler(modulus: float, *, shear: bool) -> float:
        wood = Timber(modulus=modulus, shear_modulus=500.0, density=420.0, shear_counts=shear)
        model = beam(1500.0, 12, wood)
        loads = np.zeros((13, 6))
        loads[12, 0] = -1.0
        held = holds(model, {0: "x y z rx", 12: "y z"})
        return float(frame_buckling(model, solve_frame(model, loads, held).movement, held)[0][0])

    for modulus, theirs in ((8000.0, 1053.0), (5400.0, 711.0)):
        name = f"bar 45 × 20, 1.5 m, weak axis, E {modulus:.0f} MPa: buckling load"
        rows.append(
            Row(name, "N", theirs, euler(modulus, shear=False), 2e-3, "Euler", euler(modulus, shear=True))
        )

    def shear_part() -> float:
        section = rectangle_section(thickness=50.0, depth=20.0)
        bows = []
        for wood in (SLENDER, STOCKY):
            model = beam(1000.0, 8, wood, section=section)
            bows.append(solve_frame(model, spread(model, 0.25), pinned(model, [0, 8])).movement[4, 1])
        return float(100 * (bows[1] / bows[0] - 1))

    name = "shear added, pinned ends, E/G 16, thickness a twentieth of the span"
    rows.append(Row(name, "%", 3.84, shear_part(), 2e-3, COMPUTED))
    return rows


def _break_rows() -> list[Row]:
    """Bars cut through and held together again."""
    length, load = 1130.0, 0.27

    def bow_of(at: float, stiffness: JointStiffness, wood: Timber, *, fixed: bool) -> float:
        model = broken(length, 8, at, stiffness, wood)
        last = int(model.member_nodes[0][-1])
        every = dict.fromkeys((0, last), "x y z rx ry rz")
        held = holds(model, every) if fixed else pinned(model, [0, last])
        middle = int(model.member_nodes[0][np.argmin(np.abs(model.stations[0] - length / 2))])
        return float(solve_frame(model, spread(model, load), held).movement[middle, 1])

    ei = 8000 * RECTANGLE.moment_across
    spring = JointStiffness(in_plane=3.1e6, out_of_plane=1e9, torsion=1e9)
    name = "bar 45 × 20, 1.13 m, 270 N/m, pinned ends, joined at mid-span by 3.1 N m/mrad: bow"
    theirs = 5 * load * length**4 / (384 * ei) + load * length**3 / 32 / 3.1e6
    ours, shear = _both(lambda wood: bow_of(length / 2, spring, wood, fixed=False))
    rows = [Row(name, "mm", theirs, ours, 1e-6, COMPUTED, shear)]
    fixed_bow = load * length**4 / (384 * ei)
    for where, at, times in (
        ("hinge at mid-span", length / 2, 3.0),
        ("hinge where an even pull does not bend it (0.211 of the span)", length * (0.5 - 1 / 12**0.5), 1.0),
    ):
        ours, shear = _both(lambda wood, at=at: bow_of(at, HINGED, wood, fixed=True))  # type: ignore[misc]
        rows.append(
            Row(f"the same, fixed ends, {where}: bow", "mm", times * fixed_bow, ours, 1e-6, COMPUTED, shear)
        )
    return rows


def _frame_rows() -> list[Row]:
    rows = []

    def one(
        read: Callable[[FrameModel, FrameSolution], float],
        width: float,
        height: float,
        inertia: float,
        corner: JointStiffness,
        brace: bool = False,
    ) -> tuple[float, float]:
        def solve(wood: Timber) -> float:
            # with shear, a real depth: 20 mm
            depth = 4000.0 if wood is SLENDER else 20.0
            model = closed_frame(
                width, height, inertia=inertia, corner=corner, brace=brace, wood=wood, depth=depth
            )
            return read(model, solve_closed(model, 0.25))

        return _both(solve)

    def corner_moment(model: FrameModel, answer: FrameSolution) -> float:
        return abs(moment_at(model, answer, 0, 0.0, 0.25)) / 1000

    def add(name: str, unit: str, theirs: float, both: tuple[float, float], tolerance: float) -> None:
        rows.append(Row(name, unit, theirs, both[0], tolerance, COMPUTED, both[1]))

    half = JointStiffness(in_plane=5e6, out_of_plane=RIGID_TURN, torsion=RIGID_TURN)
    long_one = (2000.0, 1500.0)
    add("square frame 1.5 m: corner", "N m", 46.875, one(corner_moment, 1500, 1500, 5e4, RIGID), 1e-3)
    size = (*long_one, 1e9 / 8000, RIGID)
    add("frame 2.0 × 1.5 m: corner", "N m", 67.708, one(corner_moment, *size), 2e-3)
    add(
        "the same: middle of the long side",
        "N m",
        57.29,
        one(lambda m, a: abs(moment_at(m, a, 0, 1000.0, 0.25)) / 1000, *size),
        2e-3,
    )
    add(
        "the same: middle of the short side",
        "N m",
        2.60,
        one(lambda m, a: abs(moment_at(m, a, 1, 750.0, 0.25)) / 1000, *size),
        3e-3,
    )
    add(
        "the same, EI 1000 N m²: bow of the long side",
        "mm",
        18.23,
        one(lambda m, a: bow(m, a, 0), *size),
        2e-3,
    )
    add("the same: bow of the short side", "mm", -2.56, one(lambda m, a: bow(m, a, 1), *size), 2e-3)
    stiff = 4.032e9 / 8000
    for corner, theirs, name in ((HINGED, 12.92, "pinned"), (RIGID, 4.52, "rigid")):
        got = one(lambda m, a: bow(m, a, 0), *long_one, stiff, corner)
        add(f"frame 2.0 × 1.5 m, EI 4032 N m², {name} corners: bow", "mm", theirs, got, 3e-3)
    got = one(corner_moment, 1500, 1500, stiff, half)
    add("square 1.5 m, corners of 5000 N m/rad: corner", "N m", 30.49, got, 2e-3)
    braced = (*long_one, stiff, RIGID, True)
    add("frame 2.0 × 1.5 m with one brace: corner", "N m", 40.36, one(corner_moment, *braced), 3e-3)
    add(
        "the same: over the brace",
        "N m",
        11.07,
        one(lambda m, a: abs(moment_at(m, a, 0, 1000.0, 0.25)) / 1000, *braced),
        5e-3,
    )

    def push(model: FrameModel, answer: FrameSolution) -> float:
        return float(-answer.end_forces[model.member_beams[4][0], 1, 1])

    add("the same: brace force", "N", 191.4, one(push, *braced), 3e-3)

    def squeeze(side: int) -> Callable[[FrameModel, FrameSolution], float]:
        return lambda m, a: float(-a.end_forces[m.member_beams[side][3], 1, side % 2])

    add("frame 2.0 × 1.5 m: compression of the long side", "N", 187.5, one(squeeze(0), *size), 1e-6)
    add("the same: compression of the short side", "N", 250.0, one(squeeze(1), *size), 1e-6)
    return rows


def _stout(section: Section, factor: float) -> Section:
    i_1, i_2 = section.principal_moments
    return replace(
        section,
        area=section.area * factor,
        moment_across=section.moment_across * factor,
        moment_front=section.moment_front * factor,
        principal_moments=(i_1 * factor, i_2 * factor),
    )


def foundation_case(
    *, length: float, span: float, inertia: float, per_length: float, wood: Timber = SLENDER
) -> FrameCase:
    """Two bars on a canvas of threads that run between them alone: a bar on springs, ends pinned."""
    section = rectangle_section(thickness=(12 * inertia / 28.0) ** (1 / 3), depth=28.0)
    spots = [(0.0, 0.0, 0.0), (length, 0.0, 0.0), (length, span, 0.0), (0.0, span, 0.0)]
    names, inward = ["bottom", "right", "top", "left"], [(0, 1, 0), (-1, 0, 0), (0, -1, 0), (1, 0, 0)]
    members = tuple(
        Member(
            name=names[i],
            start=spots[i],
            end=spots[(i + 1) % 4],
            section=section if i in (0, 2) else _stout(section, 1e4),
            across=inward[i],
            timber=wood,
            pieces=24,
        )
        for i in range(4)
    )
    joints = tuple(
        Joint(
            first=names[i],
            first_at=members[i].length,
            second=names[(i + 1) % 4],
            second_at=0.0,
            stiffness=HINGED,
        )
        for i in range(4)
    )
    threads = Cloth(
        warp_stiffness=per_length * span / 2,
        weft_stiffness=1e-6 * per_length * span,
        poisson_warp=0.0,
        shear_stiffness=1e-6 * per_length * span,
    )
    return FrameCase(
        width=length,
        height=span,
        members=members,
        joints=joints,
        cloth=threads,
        prestress=(0.0, 0.25),
        columns=160,
        rows=2,
        slackens=False,
    )


def _foundation_rows() -> list[Row]:
    source = "beam on an elastic foundation"

    def pinned_bar(wood: Timber) -> tuple[float, float]:
        case = foundation_case(length=2000.0, span=1000.0, inertia=4.032e9 / 8000, per_length=0.08, wood=wood)
        answer = solve_case(case)
        middle = answer.bars["bottom"].pulled_in[80]
        cell = answer.state.tension.reshape(2, 160, 4, 3)[1, 79:81, :, 1].mean()
        return float(middle), float(1000 * cell)

    slim, stout = pinned_bar(SLENDER), pinned_bar(STOCKY)
    rows = [
        Row(
            "canvas as springs of 80 kN/m², bar 2.0 m, pinned: bow",
            "mm",
            2.997,
            slim[0],
            5e-3,
            source,
            stout[0],
        ),
        Row("the same: tension left in the middle", "N/m", 10.2, slim[1], 1e-2, source, stout[1]),
    ]

    def point(wood: Timber) -> tuple[float, float]:
        case = foundation_case(length=4000.0, span=600.0, inertia=2.4e8 / 8000, per_length=1.0, wood=wood)
        members = tuple(replace(m, pieces=128) for m in case.members)
        model = build_frame(members, case.joints)
        from longpoint.strength.canvas_edge import prepare_canvas

        canvas = prepare_canvas(width=4000.0, height=600.0, cloth=case.cloth, columns=256, rows=2)
        system = couple(model, canvas)
        load = np.zeros((len(model.nodes), 6))
        load[model.member_nodes[0][64], 1] = 100.0
        load[model.member_nodes[2][64], 1] = -100.0
        moved = system.solve(load.ravel()).reshape(-1, 6)
        node = model.member_nodes[0][64]
        turning = np.einsum(
            "ij,j->i", model.beam_stiffness[model.member_beams[0][63]], moved[[node - 1, node]].ravel()
        )
        return float(moved[node, 1]), float(abs(turning[11]))

    slim, stout = point(SLENDER), point(STOCKY)
    rows.append(Row("endless bar on 1 N/mm², 100 N: bow", "mm", 0.2841, slim[0], 1e-3, source, stout[0]))
    rows.append(Row("the same: moment", "N mm", 4400.6, slim[1], 5e-3, source, stout[1]))
    return rows


def _section_rows() -> list[Row]:
    rows = []
    for ratio, theirs in ((1, 0.1406), (2, 0.2287), (5, 0.2913)):
        section = rectangle_section(thickness=17.0 * ratio, depth=17.0)
        name = f"torsion constant, rectangle {ratio} : 1"
        rows.append(Row(name, "h b³", theirs, section.torsion_constant / (17.0**4 * ratio), 1e-3, SERIES))
    rows.append(Row("torsion constant, 45 × 20", "mm⁴", 86_444.0, RECTANGLE.torsion_constant, 1e-3, SERIES))
    bevelled = polygon_section(((0, 0), (60, 0), (60, 22), (0, 30)))
    for name, unit, theirs, ours in (
        ("area", "mm²", 1560.0, bevelled.area),
        ("centroid across", "mm", 28.46, bevelled.centroid[0]),
        ("centroid front", "mm", 13.10, bevelled.centroid[1]),
        ("second moment against bowing inward", "mm⁴", 464_308.0, bevelled.moment_across),
        ("second moment off the wall", "mm⁴", 92_024.0, bevelled.moment_front),
        ("product of inertia", "mm⁴", -30_954.0, bevelled.product),
        ("front over inward movement", "-", 0.336, -bevelled.product / bevelled.moment_front),
    ):
        rows.append(Row(f"bevelled 60 × 30/22: {name}", unit, theirs, ours, 2e-3, "shoelace sums by hand"))
    gj = 500 * rectangle_section(thickness=21.0, depth=44.0).torsion_constant
    for rigid, theirs in ((True, 12 / 1900**2 / 1300**2), (False, 12 / 1900 / 1300 / (1900**2 + 1300**2))):
        ours = equal_bars_critical_tension(width=1900, height=1300, torsion=gj, corners_rigid_in_plane=rigid)
        found = solve_case(_torsion_only(rigid)).winding.critical_tension
        name = f"winding, bars stiff but for torsion, corners {'rigid' if rigid else 'free'} in plane"
        rows.append(Row(name, "N/m", 1000 * theirs * gj * 3200, 1000 * found, 1e-2, COMPUTED))
        assert ours
    return rows


def _torsion_only(rigid: bool) -> FrameCase:
    from strength.test_winding import four_bars

    return four_bars(stouter=3e3, in_plane=1e13 if rigid else 0.0, pieces=24)


def _membrane_rows() -> list[Row]:
    rows = []
    source = "membrane series (Prandtl's analogy)"
    for ratio, theirs in ((1.0, 0.07367), (1.5, 0.10077), (2.0, 0.11387), (8.0, 0.125)):
        grid = rectangle_grid(width=1000.0, height=1000.0 * ratio, columns=48, rows=int(48 * min(ratio, 3)))
        w = dip(grid, (0.2, 0.2, 0.0), pressure_forces(grid, 1e-5))
        name = f"membrane under pressure, sides 1 : {'∞' if ratio > 3 else f'{ratio:g}'}: middle"
        rows.append(Row(name, "q a²/T", theirs, float(w.max()) * 0.2 / (1e-5 * 1e6), 2e-3, source))
    grid = rectangle_grid(width=1000.0, height=1000.0, columns=60, rows=60)
    w = dip(grid, (0.2, 0.2, 0.0), pressure_forces(grid, 0.6e-6 * 9.81))
    rows.append(Row("canvas 1 × 1 m, 0.6 kg/m², 200 N/m: sag", "mm", 2.168, float(w.max()), 5e-3, source))
    push = patch_forces(grid, x=500.0, y=500.0, width=100.0, height=100.0, force=20.0)
    w = dip(grid, (0.2, 0.2, 0.0), push)
    rows.append(
        Row(
            "the same, 20 N on 100 mm: dip, small-deflection answer", "mm", 43.7, float(w.max()), 5e-3, source
        )
    )
    return rows


def calculix_rows() -> list[Row]:
    """CalculiX's solids, from the numbers recorded by the last run, beside our beams."""
    from strength.test_calculix import CASES, LIMITS, WINDING, ours

    recorded = json.loads(RECORDED.read_text()) if RECORDED.exists() else {}
    rows = []
    for name in [*CASES, *WINDING]:
        mine = ours(name)
        for what, theirs in recorded.get(name, {}).items():
            unit, tolerance, least = LIMITS[what]
            source = "CalculiX, bars as solids"
            rows.append(Row(f"{name}: {what}", unit, theirs, mine[what], tolerance, source, least=least))
    return rows
