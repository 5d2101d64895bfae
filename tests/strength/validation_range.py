"""Frames and canvases over the range that is planned: what goes in, what is asked, and how far apart answers may lie.

The tolerances come from what the two ways of computing cannot share; the page says why. Frames: CalculiX's solids
against beams. Canvases: scikit-fem, for the field in the plane and, with exact strains, for the dip under a mass.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longpoint.strength.beams.section import polygon_section, rectangle_section
from longpoint.strength.membrane.grid import rectangle_grid
from longpoint.strength.membrane.solve import (
    GRAVITY,
    Cloth,
    in_plane_freedoms,
    in_plane_stiffness,
    tensions_of,
)
from longpoint.stretching.press import Press, Pressed
from strength.calculix_deck import SolidSupport

Floats = NDArray[np.float64]

COTTON = (20.0, 45.0, 0.12, 3.0)
LINEN = (35.0, 55.0, 0.2, 4.0)
PRIMED = (80.0, 110.0, 0.22, 25.0)
OILED = (220.0, 260.0, 0.25, 90.0)
"""k along x and y, narrowing along y for a stretch along x, shear: inside the bands of the table of canvas states.

[N/mm]
"""

C16, C24, WEAK = (8000.0, 500.0), (11000.0, 690.0), (5400.0, 340.0)
"""E and G. [MPa]"""


def _prestrain(
    canvas: tuple[float, float, float, float], along_x: float, along_y: float
) -> tuple[float, float]:
    kx, ky, nu, _ = canvas
    return along_x / kx - along_y * nu / kx, along_y / ky - along_x * nu / kx


def _even(count: int, width: float) -> tuple[float, ...]:
    return tuple(width * (i + 1) / (count + 1) for i in range(count))


def _frame(
    size: tuple[float, float],
    bar: tuple[float, float, float],
    cloth: tuple[float, float, float, float],
    tension: tuple[float, float],
    wood: tuple[float, float] = C16,
    rails: int = 0,
    rail: tuple[float, float, float] = (21.0, 30.0, 4.0),
    *,
    middle_pieces: bool = False,
    end_rails: bool = False,
) -> SolidSupport:
    width, height = size
    rows = max(8, 2 * round(height / 160))
    return SolidSupport(
        width=width,
        height=height,
        thickness=bar[0],
        depth=bar[1],
        bevel=bar[2],
        rails=_even(rails, width),
        rail_thickness=rail[0],
        rail_depth=rail[1],
        rail_drop=rail[2],
        modulus=wood[0],
        shear_modulus=wood[1],
        columns=max(10, 2 * round(width / 160)),
        rows=rows,
        canvas=cloth,
        prestrain=_prestrain(cloth, *tension),
        middle_pieces=middle_pieces,
        end_rails=end_rails,
    )


FRAMES: dict[str, SolidSupport] = {
    "a small one, nothing inside": _frame((400, 300), (18, 44, 5), COTTON, (0.1, 0.1)),
    "a light strip, nothing inside": _frame((620, 450), (19, 38, 6), LINEN, (0.15, 0.15), WEAK),
    "nothing inside": _frame((900, 610), (21, 44, 6), LINEN, (0.2, 0.2)),
    "one rail": _frame((1210, 900), (18, 44, 6), LINEN, (0.2, 0.24), C16, 1, (18, 30, 6)),
    "a square, one rail": _frame((1500, 1500), (28, 44, 6), COTTON, (0.16, 0.16), C24, 1, (28, 28, 7)),
    "two rails": _frame((1700, 1200), (21, 44, 6), PRIMED, (0.3, 0.2), C16, 2, (21, 28, 7)),
    "two rails, middle pieces": _frame(
        (1900, 1300), (21, 44, 6), LINEN, (0.2, 0.2), C16, 2, (21, 28, 7), middle_pieces=True
    ),
    "two rails, end rails": _frame(
        (1700, 1190), (21, 44, 5), LINEN, (0.22, 0.2), C24, 2, (21, 28, 7), end_rails=True
    ),
    "rails lying flat": _frame((1500, 1040), (21, 70, 6), PRIMED, (0.2, 0.2), C16, 2, (70, 21, 30)),
    "bars lying flat": _frame((1300, 870), (44, 21, 4), COTTON, (0.15, 0.15)),
    "a long strip, three rails": _frame((2000, 700), (21, 70, 6), OILED, (0.25, 0.25), C24, 3, (21, 44, 7)),
    "a large one, three rails, middle pieces": _frame(
        (2400, 1600), (34, 44, 6), LINEN, (0.34, 0.3), C16, 3, (21, 28, 7), middle_pieces=True
    ),
    "the largest, four rails": _frame((3000, 2000), (28, 70, 6), COTTON, (0.2, 0.2), WEAK, 4, (28, 44, 7)),
}


def frame_allowed(s: SolidSupport, what: str, given: dict[str, float]) -> tuple[float, float]:
    """How far apart beams and solids may lie: as a share, or in the unit itself where the thing is small.

    A mitre keeps bars' ends from warping over half a depth at each: torque that comes evenly turns a bar as if it were
    a depth shorter (2 d/L less), torque that comes near the corners 3 d/L less. A rail holds over its thickness and not
    in a point. 0.03° are 0.01 mm at the lip of a usual bar; of 0.03 mm no limit knows. Beams take bar and glued end
    rail as two in torsion, solids as one section: the bar may turn in more by the ratio of both.
    """
    length = s.width if what.startswith("long") else s.height
    if "turning" in what:
        share = min(0.15, 0.02 + 3.0 * s.depth / length)
        return (share + glued_ratio(s) - 1 if s.end_rails and what.startswith("short") else share), 0.03
    held = s.rail_thickness * (len(s.rails) + 1) / s.width if s.rails else 0.0
    if "pulled in" in what:
        turning = what.replace("pulled in", "turning in")
        leans = np.radians(frame_allowed(s, turning, given)[0] * abs(given[turning])) * s.depth / 2
        middle = s.rail_thickness * 2 / length if s.middle_pieces else 0.0
        return 0.02 + (held if what.startswith("long") else middle), max(0.03, float(leans))
    if "wall" in what:
        return 0.05, 0.03
    return (0.02 + held, 50.0) if "moment" in what else (0.02 + held, 1.0)


def glued_ratio(s: SolidSupport) -> float:
    """Torsion constant of bar and end rail as one section, over the sum of both."""
    back, front = -s.depth + s.rail_drop, -s.depth + s.rail_drop + s.rail_depth
    t, both = s.thickness, s.thickness + s.rail_thickness
    outline = (
        (0, -s.depth),
        (t, -s.depth),
        (t, back),
        (both, back),
        (both, front),
        (t, front),
        (t, -s.bevel),
        (0, 0),
    )
    bar = ((0, -s.depth), (t, -s.depth), (t, -s.bevel), (0, 0))
    rail = rectangle_section(thickness=s.rail_thickness, depth=s.rail_depth).torsion_constant
    return polygon_section(outline).torsion_constant / (polygon_section(bar).torsion_constant + rail)


@dataclass(frozen=True)
class CanvasCase:
    """A canvas: its size, cloth, tensions, how far its edges come in, and what is laid on it.

    Attributes:
        size: Width and height. [mm]
        cloth: k along x and y, narrowing, shear. [N/mm]
        grams: Mass per area. [g/m²]
        tension: Along x and y before anything gives. [N/mm]
        pulled_in: How far the middles of the long and of the short edges come in. [mm]
        mass: Laid on it. [kg]
        pad: Side of the square pad. [mm]
        place: Middle of the pad, as shares of width and height.
    """

    size: tuple[float, float]
    cloth: tuple[float, float, float, float]
    grams: float
    tension: tuple[float, float]
    pulled_in: tuple[float, float]
    mass: float
    pad: float
    place: tuple[float, float] = (0.5, 0.5)

    @property
    def ours(self) -> Cloth:
        """The cloth as the engine takes it."""
        kx, ky, nu, shear = self.cloth
        return Cloth(
            warp_stiffness=kx,
            weft_stiffness=ky,
            poisson_warp=nu,
            shear_stiffness=shear,
            areal_mass=self.grams * 1e-9,
            warp_along="x",
        )


CANVASES: dict[str, CanvasCase] = {
    "small, cotton": CanvasCase((400, 300), COTTON, 340, (0.1, 0.1), (0.2, 0.1), 0.1, 50),
    "small, primed": CanvasCase((500, 400), PRIMED, 600, (0.2, 0.25), (0.3, 0.1), 0.15, 50),
    "linen": CanvasCase((900, 610), LINEN, 320, (0.2, 0.2), (0.8, 0.3), 0.2, 60, (0.4, 0.55)),
    "slack linen": CanvasCase((900, 600), LINEN, 320, (0.05, 0.05), (0.2, 0.1), 0.1, 60),
    "a square metre, oil-primed": CanvasCase((1000, 1000), OILED, 900, (0.25, 0.25), (0.3, 0.3), 0.25, 80),
    "usual, primed": CanvasCase((1700, 1200), PRIMED, 550, (0.2, 0.15), (0.7, 0.3), 0.25, 80, (0.35, 0.5)),
    "usual, raw cotton": CanvasCase((1900, 1300), COTTON, 340, (0.2, 0.2), (1.5, 1.0), 0.2, 80),
    "one way twice the other": CanvasCase((1300, 870), LINEN, 400, (0.3, 0.15), (0.5, 0.5), 0.2, 60),
    "a long strip": CanvasCase((2000, 700), PRIMED, 500, (0.2, 0.2), (0.6, 0.1), 0.2, 80, (0.25, 0.5)),
    "large, linen": CanvasCase((2400, 1600), LINEN, 430, (0.25, 0.2), (1.5, 0.8), 0.25, 100, (0.3, 0.6)),
    "the largest, primed": CanvasCase((3000, 2000), PRIMED, 600, (0.34, 0.3), (1.5, 1.0), 0.25, 100),
}

FIELD = (
    "mean, along x",
    "mean, along y",
    "in the middle of the long edge, across it",
    "in the corner, mean of both",
)
DIP = "dip under the mass"


def canvas_allowed(what: str) -> tuple[float, float]:
    """How far apart two finite element programs may lie on the same canvas, as a share, and in the unit itself.

    Elements of 45 mm with straight sides against half as wide ones of second order: 1 % of means, 2 % or 2 N/m of a
    window beside an edge, where the field is steep; a press test tells 10 N/m apart at best. A dip is read to half a
    millimetre: 2 %, or a tenth of that reading.
    """
    return {FIELD[2]: (0.02, 2.0), FIELD[3]: (0.02, 2.0), DIP: (0.02, 0.05)}.get(what, (0.01, 0.5))


def _come_in(case: CanvasCase, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Where the edge goes: each side comes in by a half wave."""
    (w, h), (on_long, on_short) = case.size, case.pulled_in
    across = np.sin(np.pi * x / w) * on_long * ((y < 1e-6) * 1.0 - (y > h - 1e-6) * 1.0)
    along = np.sin(np.pi * y / h) * on_short * ((x < 1e-6) * 1.0 - (x > w - 1e-6) * 1.0)
    return along, across


def _windows(case: CanvasCase, centres: Floats, area: Floats, tension: Floats) -> dict[str, float]:
    """The field as hands would feel it: means over the face and over windows. [N/m]"""
    w, h = case.size
    x, y = centres.T

    def mean(inside: NDArray[np.bool_], of: Floats) -> float:
        return float(1000 * (of * area)[inside].sum() / area[inside].sum())

    every = np.ones(len(x), dtype=bool)
    edge = (np.abs(x - w / 2) < 0.1 * w) & (y < 0.2 * h)
    corner = (x < 0.2 * w) & (y < 0.2 * h)
    return {
        FIELD[0]: mean(every, tension[:, 0]),
        FIELD[1]: mean(every, tension[:, 1]),
        FIELD[2]: mean(edge, tension[:, 1]),
        FIELD[3]: mean(corner, tension[:, :2].mean(axis=1)),
    }


def canvas_ours(case: CanvasCase) -> dict[str, float]:
    """By the engine, with elements as wide as a plan takes them."""
    w, h = case.size
    # Ten and its multiples, so that lines fall on the windows' ends.
    grid = rectangle_grid(
        width=w, height=h, columns=10 * max(1, round(w / 450)), rows=10 * max(1, round(h / 450))
    )
    cloth = case.ours
    given = np.zeros((grid.node_count, 2))
    along, across = _come_in(case, grid.nodes[:, 0], grid.nodes[:, 1])
    given[:, 0], given[:, 1] = along, across
    stiffness = in_plane_stiffness(grid, cloth)
    held, inner = in_plane_freedoms(grid.edge), in_plane_freedoms(grid.inner)
    from scipy.sparse.linalg import spsolve

    moved = given.ravel().copy()
    moved[inner] = spsolve(stiffness[inner][:, inner].tocsc(), -stiffness[inner][:, held] @ moved[held])
    tension = tensions_of(grid, cloth, moved).reshape(len(grid.elements), -1, 3).mean(axis=1)
    tension = tension + np.array([*case.tension, 0.0])
    sides = grid.nodes[grid.elements]
    area = np.ptp(sides[:, :, 0], axis=1) * np.ptp(sides[:, :, 1], axis=1)
    out = _windows(case, np.asarray(grid.centres), area, tension)
    press = Press(
        width=w,
        height=h,
        x=case.place[0] * w,
        y=case.place[1] * h,
        mass=case.mass,
        pad=case.pad,
        round_pad=False,
        cloth=case.ours,
    )
    mean, ratio = sum(case.tension) / 2, case.tension[1] / case.tension[0]
    out[DIP] = Pressed(press, ratio).dip(mean)
    return out


def canvas_field(case: CanvasCase) -> dict[str, float]:
    """By scikit-fem: plane stress, elements of second order half as wide."""
    from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, MeshQuad, condense, solve
    from skfem.helpers import sym_grad

    w, h = case.size
    columns, rows = 20 * max(1, round(w / 450)), 20 * max(1, round(h / 450))
    mesh = MeshQuad.init_tensor(np.linspace(0, w, columns + 1), np.linspace(0, h, rows + 1))
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=4)
    kx, ky, nu, shear = case.cloth
    other = nu * ky / kx
    scale = 1.0 / (1.0 - nu * other)
    d = np.array(
        [[kx * scale, kx * other * scale, 0.0], [ky * nu * scale, ky * scale, 0.0], [0.0, 0.0, shear]]
    )

    @BilinearForm
    def stored(u, v, _):  # type: ignore[no-untyped-def]
        e, f = sym_grad(u), sym_grad(v)
        t = _tension(d, e)
        return t[0] * f[0, 0] + t[1] * f[1, 1] + 2 * t[2] * f[0, 1]

    given = basis.zeros()
    edge = basis.get_dofs()
    for component in (0, 1):
        dofs = edge.all([f"u^{component + 1}"])
        given[dofs] = _come_in(case, *basis.doflocs[:, dofs])[component]
    moved = solve(*condense(stored.assemble(basis), x=given, D=edge.all()))
    strain = sym_grad(basis.interpolate(moved))
    tension = np.array(_tension(d, strain)).reshape(3, -1).T + np.array([*case.tension, 0.0])
    places = np.asarray(basis.global_coordinates()).reshape(2, -1).T
    return _windows(case, places, basis.dx.ravel(), tension)


def _law(case: CanvasCase) -> Floats:
    """Tensions from strains, worked out here a second time."""
    kx, ky, nu, shear = case.cloth
    other = nu * ky / kx
    scale = 1.0 / (1.0 - nu * other)
    return np.array(
        [[kx * scale, kx * other * scale, 0.0], [ky * nu * scale, ky * scale, 0.0], [0.0, 0.0, shear]]
    )


def _tension(d: Floats, e) -> tuple[Floats, Floats, Floats]:  # type: ignore[no-untyped-def]
    return (
        d[0, 0] * e[0, 0] + d[0, 1] * e[1, 1],
        d[1, 0] * e[0, 0] + d[1, 1] * e[1, 1],
        2 * d[2, 2] * e[0, 1],
    )


def _lines(span: float, at: float, pad: float) -> Floats:
    """Lines with the pad's sides among them, closer together round it. [mm]"""
    low, high = at - pad / 2, at + pad / 2
    inside = np.linspace(low, high, 5)

    def out(gap: float) -> Floats:
        steps, step = [], pad / 4
        while sum(steps) < gap:
            step = min(step * 1.35, span / 14)
            steps.append(step)
        return np.cumsum(steps) * gap / sum(steps)

    return np.concatenate([low - out(low)[::-1], inside, high + out(span - high)])


def canvas_dip(case: CanvasCase) -> tuple[float, int]:
    """By scikit-fem: second-order elements, strain and slope without any approximation; the dip, and how many elements.

    The middle of the pad against itself without the mass. [mm]
    """
    from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, LinearForm, MeshQuad, condense, solve

    (w, h), (px, py) = case.size, case.place
    mesh = MeshQuad.init_tensor(_lines(w, px * w, case.pad), _lines(h, py * h, case.pad))
    basis = Basis(mesh, ElementVector(ElementQuad2(), 3), intorder=5)
    d = _law(case)
    before = (*case.tension, 0.0)

    def stretch(grad):  # type: ignore[no-untyped-def]
        """Both tangents of the deformed sheet, and its tensions."""
        ax = [grad[k, 0] + (k == 0) for k in range(3)]
        ay = [grad[k, 1] + (k == 1) for k in range(3)]
        e = (
            (sum(a * a for a in ax) - 1) / 2,
            (sum(a * a for a in ay) - 1) / 2,
            sum(a * b for a, b in zip(ax, ay, strict=True)),
        )
        t = [before[i] + sum(d[i, j] * e[j] for j in range(3)) for i in range(3)]
        return ax, ay, t

    def rates(ax, ay, grad):  # type: ignore[no-untyped-def]
        return (
            sum(ax[k] * grad[k, 0] for k in range(3)),
            sum(ay[k] * grad[k, 1] for k in range(3)),
            sum(ax[k] * grad[k, 1] + ay[k] * grad[k, 0] for k in range(3)),
        )

    @BilinearForm
    def tangent(u, v, given):  # type: ignore[no-untyped-def]
        ax, ay, t = stretch(given["moved"].grad)
        e, f = rates(ax, ay, u.grad), rates(ax, ay, v.grad)
        law = sum(d[i, j] * e[j] * f[i] for i in range(3) for j in range(3))
        stays = sum(
            t[0] * u.grad[k, 0] * v.grad[k, 0]
            + t[1] * u.grad[k, 1] * v.grad[k, 1]
            + t[2] * (u.grad[k, 0] * v.grad[k, 1] + u.grad[k, 1] * v.grad[k, 0])
            for k in range(3)
        )
        return law + stays

    @LinearForm
    def out_of_balance(v, given):  # type: ignore[no-untyped-def]
        ax, ay, t = stretch(given["moved"].grad)
        held = sum(t[i] * rate for i, rate in enumerate(rates(ax, ay, v.grad)))
        x, y = given.x
        under = (np.abs(x - px * w) < case.pad / 2) & (np.abs(y - py * h) < case.pad / 2)
        push = GRAVITY * (case.grams * 1e-9 + given["mass"] / case.pad**2 * under)
        return -held - push * v[2]

    edge = basis.get_dofs()
    middle = int(np.argmin(np.hypot(mesh.p[0] - px * w, mesh.p[1] - py * h)))
    at = basis.nodal_dofs[2, middle]
    moved, sunk = basis.zeros(), []
    for mass in (0.0, case.mass):
        for _ in range(40):
            given = {"moved": basis.interpolate(moved), "mass": np.full(basis.dx.shape, mass)}
            rest = out_of_balance.assemble(basis, **given)
            rest[edge.all()] = 0.0
            if np.abs(rest).sum() < 1e-7:
                break
            step = solve(*condense(tangent.assemble(basis, **given), rest, D=edge.all()))
            moved = moved + step * min(1.0, 0.02 * min(w, h) / max(np.abs(step).max(), 1e-12))
        else:
            raise RuntimeError(mass)
        sunk.append(float(moved[at]))
    return sunk[0] - sunk[1], mesh.nelements
