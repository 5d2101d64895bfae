"""The strength engine on plain values: a case stated in twenty lines, everything answered.

```python
case = support_case(
    Support(
        width=1900.0,
        height=1300.0,
        bar=BarSize(thickness=21.0, depth=44.0, bevel=5.0),
        rail=RailSize(thickness=21.0, depth=30.0, drop=2.0),
        cross_rails=evenly(2, width=1900.0),
        middle_pieces=True,
    ),
    cloth=Cloth(warp_stiffness=40.0, weft_stiffness=60.0, poisson_warp=0.15, shear_stiffness=12.0),
    tension_left=0.2,  # N/mm = 200 N/m
)
answer = solve_case(case)
answer.bars["bottom"].greatest_pull_in  # mm, positive inward
answer.winding.factor
```

Units: mm, N, MPa, rad, kg/m³ for timber, kg/mm² for cloth; tension in N/mm. Axes: x right, y up, z out of the
wall; canvas at z = 0, its lower left corner at the origin; the frame behind it. Any frame may be stated: members
are straight pieces with a section, joints hold them, four of them carry the canvas's edges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse.linalg import splu

from longpoint.strength.answer import (
    BarMovement,
    JointForces,
    MemberForces,
    TensionMap,
    bar_movements,
    joint_forces,
    member_forces,
    tension_map,
)
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.frame_model import Joint, Member, Seam, build_frame
from longpoint.strength.canvas_edge import EdgeCanvas, edge_canvas, prepare_canvas
from longpoint.strength.coupled import SUPPORT, CoupledSystem, couple
from longpoint.strength.coupled_solve import CoupledState, prestrain_of, solve_coupled, solve_for_tension_left
from longpoint.strength.membrane.grid import graded_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.winding import Winding, find_winding
from oracles.support_case import Support, support_pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameCase:
    """A frame with its canvas, as plain values.

    Attributes:
        width: Canvas along x. [mm]
        height: Canvas along y. [mm]
        members: All pieces of timber.
        joints: What holds what.
        seams: Members held side by side.
        bars: Names of the members under the bottom, right, top and left edge of the canvas.
        cloth: The cloth as it is while the frame gives way.
        tension_left: Wanted mean of the final field; give this or ``prestress``. [N/mm]
        prestress: Tension along x and y on a rigid frame; give this or ``tension_left``. [N/mm]
        ratio: With ``tension_left``: prestress along x and y in relation to one another.
        columns: Canvas elements along x; about one per 45 mm where None.
        rows: Canvas elements along y.
        slackens: False lets cloth push, as a check against linear programs.
    """

    width: float
    height: float
    members: tuple[Member, ...]
    joints: tuple[Joint, ...]
    cloth: Cloth
    seams: tuple[Seam, ...] = ()
    bars: tuple[str, str, str, str] = ("bottom", "right", "top", "left")
    tension_left: float | None = None
    prestress: tuple[float, float] | None = None
    ratio: tuple[float, float] = (1.0, 1.0)
    columns: int | None = None
    rows: int | None = None
    slackens: bool = True


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FrameAnswer:
    """Everything about one case.

    Attributes:
        bars: How each outer bar moves: pulled in, turning in, hollow.
        tension: Map of the tension left, with mean, lowest and highest.
        dead: The same under tension that does not slacken: the upper bound.
        members: Forces in every member, with its buckling factor.
        joints: Forces in every joint, in the order given.
        winding: Critical tension of the whole frame.
        prestress: Mean tension it would be on a rigid frame. [N/mm]
        prestrain: ex ey gxy that go with it.
        timber_mass: [kg]
        canvas_mass: [kg]
        residual: Greatest force out of balance over the greatest pull of an edge point. [-]
        energy_gap: Energy out of balance, over what the frame took. [-]
        system: Frame and canvas, for further questions.
        state: The full answer, for further questions.
    """

    bars: dict[str, BarMovement]
    dead: dict[str, BarMovement]
    tension: TensionMap
    members: dict[str, MemberForces]
    joints: tuple[JointForces, ...]
    winding: Winding
    prestress: float
    prestrain: Floats
    timber_mass: float
    canvas_mass: float
    residual: float
    energy_gap: float
    system: CoupledSystem
    state: CoupledState


def support_case(
    support: Support,
    *,
    cloth: Cloth,
    tension_left: float | None = None,
    prestress: tuple[float, float] | None = None,
) -> FrameCase:
    """A case from a support of the usual make.

    Args:
        support: Bars, rails, joints.
        cloth: The cloth.
        tension_left: Wanted mean tension. [N/mm]
        prestress: Or the tension on a rigid frame. [N/mm]

    Returns:
        The case.
    """
    pieces = support_pieces(support)
    return FrameCase(
        width=support.width,
        height=support.height,
        members=pieces.members,
        joints=pieces.joints,
        seams=pieces.seams,
        bars=pieces.bars,
        cloth=cloth,
        tension_left=tension_left,
        prestress=prestress,
    )


def couple_case(case: FrameCase, canvas: EdgeCanvas | None = None) -> CoupledSystem:
    """Frame and canvas of a case, factored.

    Args:
        case: The case.
        canvas: A canvas prepared before; made (and kept for the next call) where None.

    Returns:
        The system.
    """
    if canvas is None:
        canvas = prepare_canvas(
            width=case.width, height=case.height, cloth=case.cloth, columns=case.columns, rows=case.rows
        )
    model = build_frame(case.members, case.joints, case.seams)
    return couple(model, canvas, bars=case.bars)


def solve_case(case: FrameCase, canvas: EdgeCanvas | None = None) -> FrameAnswer:
    """Solves a case: frame and canvas at rest, winding, forces.

    Args:
        case: The case.
        canvas: A canvas prepared before (`prepare_canvas`).

    Returns:
        The answer.

    Raises:
        ValueError: If not exactly one of ``tension_left`` and ``prestress`` is given.
    """
    if (case.tension_left is None) == (case.prestress is None):
        msg = "give either tension_left or prestress"
        raise ValueError(msg)
    system = couple_case(case, canvas)
    if case.tension_left is not None:
        state, prestress = solve_for_tension_left(
            system, case.tension_left, ratio=case.ratio, slackens=case.slackens
        )
    else:
        along_x, along_y = case.prestress or (0.0, 0.0)
        before = prestrain_of(system.canvas, along_x=along_x, along_y=along_y)
        state = solve_coupled(system, before, slackens=case.slackens)
        prestress = 0.5 * (along_x + along_y)
    return read_answer(system, state, prestress)


def read_answer(system: CoupledSystem, state: CoupledState, prestress: float) -> FrameAnswer:
    """Everything about a solved state.

    Args:
        system: Frame and canvas.
        state: At rest.
        prestress: Mean tension on a rigid frame. [N/mm]

    Returns:
        The answer.
    """
    field = tension_map(system, state)
    canvas = system.canvas
    return FrameAnswer(
        bars=bar_movements(system, state.movement),
        dead=bar_movements(system, dead_load(system, along_x=field.mean, along_y=field.mean)),
        tension=field,
        members=member_forces(system, state),
        joints=joint_forces(system, state),
        winding=find_winding(system, state),
        prestress=prestress,
        prestrain=np.array(state.prestrain[0]),
        timber_mass=system.model.mass(),
        canvas_mass=canvas.cloth.areal_mass * canvas.width * canvas.height,
        residual=state.residual,
        energy_gap=state.energy_gap,
        system=system,
        state=state,
    )


def dead_load(system: CoupledSystem, *, along_x: float, along_y: float) -> Floats:
    """Movement of the frame under tension that does not slacken: the upper bound.

    Args:
        system: Frame and canvas (only its edge is used).
        along_x: Tension along x. [N/mm]
        along_y: Tension along y. [N/mm]

    Returns:
        Freedoms of the frame, shape (n_nodes, 6).
    """
    canvas = system.canvas
    pull = canvas.condense(canvas.even @ np.array([along_x, along_y, 0.0]))
    held = (system.frame + SUPPORT * (system.supports.T @ system.supports)).tocsc()
    factor = splu(held, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return np.asarray(factor.solve(-(system.ties.in_plane.T @ pull))).reshape(-1, 6)


def matched_case_system(case: FrameCase, *, columns: int, rows: int) -> CoupledSystem:
    """Frame and canvas whose nodes meet: bars get a node at every edge point (slower; for comparing).

    Args:
        case: The case.
        columns: Canvas elements along x.
        rows: Canvas elements along y.

    Returns:
        The system.
    """
    x, y = np.linspace(0, case.width, columns + 1), np.linspace(0, case.height, rows + 1)
    canvas = edge_canvas(graded_grid(x_lines=x, y_lines=y), case.cloth)
    extra = {}
    for side, name in enumerate(case.bars):
        member = next(m for m in case.members if m.name == name)
        lines = x if side in (0, 2) else y
        begin = member.start[side % 2]
        sign = 1.0 if member.end[side % 2] > begin else -1.0
        at = sign * (lines - begin)
        extra[name] = at[(at > 1e-6) & (at < member.length - 1e-6)]
    return couple(build_frame(case.members, case.joints, case.seams, extra), canvas, bars=case.bars)
