"""Cloth that cannot push: the tension field, and how it comes to rest.

Cloth gives way into ripples before it carries compression. At every point the cloth is taut (both principal
tensions positive), rippled (one tension along the ripples, none across) or slack (none). Of all tensions without
compression the right one is nearest to the taut cloth's answer, measured with the cloth's own compliance: a
convex problem, so the tension at rest is the only one, whatever the way to it.

A small part of the taut stiffness is kept in slack cloth (``KEPT``: ripples are not quite without stiffness), so
that slack regions have a place and every answer exists.

The way to rest uses the taut cloth's stiffness throughout, factored once: what the cloth relieves is a load put
on again. A plain step with it never makes the imbalance larger; the last few steps are mixed to go faster, and
where mixing does harm the plain step takes over.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import csc_matrix, csr_matrix, diags
from scipy.sparse.linalg import splu

from longpoint.compiling import compiled
from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole, frozen, gradients
from longpoint.strength.membrane.solve import Cloth, element_freedoms, in_plane_stiffness, strain_matrices
from longpoint.threads import on_one_thread

States = NDArray[np.int8]

#: Part of the taut stiffness that slack cloth keeps. [-]  Estimate.
KEPT = 1e-2

#: States of a point.
SLACK, RIPPLED, TAUT = 0, 1, 2

NO_MATRIX, NO_VALUES = csr_matrix((0, 0)), np.empty((0, 0))


def nothing_solves(_loads: Floats) -> Floats:
    """Stands where a factored matrix stood.

    Raises:
        RuntimeError: Always.
    """
    msg = "this sheet is settled: its matrices are gone, nothing can be solved with it any more"
    raise RuntimeError(msg)


_LOOK_ROUND = np.arange(8) * (np.pi / 4)
_LOOK: Floats = np.asarray([np.cos(_LOOK_ROUND), np.sin(_LOOK_ROUND)], dtype=np.float64)


@compiled
def _at_point(
    ex: float, ey: float, g: float, law: Floats, kept: float, look: Floats
) -> tuple[float, float, float, int]:  # pragma: no cover - runs compiled
    """Tx Ty Txy and state of one point; ``law`` holds d00 d01 d11 d22, then base one two of the compliance."""
    tx, ty, txy = law[0] * ex + law[1] * ey, law[1] * ex + law[2] * ey, law[3] * g
    if tx >= 0 and ty >= 0 and tx * ty >= txy * txy:
        return tx, ty, txy, 2
    if ex <= 0 and ey <= 0 and 4 * ex * ey >= g * g:
        return kept * tx, kept * ty, kept * txy, 0
    # compliance along a direction a is base + one cos 2a + two cos 4a
    base, one, two = law[4], law[5], law[6]
    eighth = math.pi / 8
    mean, half, shear = 0.5 * (ex + ey), 0.5 * (ex - ey), 0.5 * g
    best, angle = -1e300, 0.0
    for k in range(8):
        c2, s2 = look[0, k], look[1, k]
        stretch = mean + half * c2 + shear * s2
        value = stretch * abs(stretch) / (base + one * c2 + two * (2 * c2 * c2 - 1))
        if value > best:
            best, angle = value, k * eighth
    low, high = angle - eighth, angle + eighth
    c2, s2 = math.cos(2 * angle), math.sin(2 * angle)
    for _ in range(8):  # Newton on the slope of log(stretch² / compliance), kept inside the bracket
        c4, s4 = 2 * c2 * c2 - 1, 2 * s2 * c2
        e0, e1, e2 = (
            mean + half * c2 + shear * s2,
            2 * (shear * c2 - half * s2),
            -4 * (half * c2 + shear * s2),
        )
        f0 = base + one * c2 + two * c4
        f1, f2 = -2 * one * s2 - 4 * two * s4, -4 * one * c2 - 16 * two * c4
        slope = 2 * e1 * f0 - e0 * f1
        curve = 2 * e2 * f0 + e1 * f1 - e0 * f2
        step = -slope / curve if curve < 0 else math.copysign(eighth / 4, slope)
        angle = min(max(angle + step, low), high)
        c2, s2 = math.cos(2 * angle), math.sin(2 * angle)
        if abs(step) < 1e-5:  # what is left is its square
            break
    stretch = mean + half * c2 + shear * s2
    pull = (1 - kept) * max(stretch, 0.0) / (base + one * c2 + two * (2 * c2 * c2 - 1))
    return (
        pull * 0.5 * (1 + c2) + kept * tx,
        pull * 0.5 * (1 - c2) + kept * ty,
        pull * 0.5 * s2 + kept * txy,
        1,
    )


@compiled
def _relieve(
    strain: Floats, law: Floats, kept: float, look: Floats, tension: Floats, state: States
) -> None:  # pragma: no cover - runs compiled
    """Fills ``tension`` (n, 3) and ``state`` (n,) from ``strain`` (n, 3)."""
    for i in range(strain.shape[0]):
        tx, ty, txy, kind = _at_point(strain[i, 0], strain[i, 1], strain[i, 2], law, kept, look)
        tension[i, 0], tension[i, 1], tension[i, 2], state[i] = tx, ty, txy, kind


@compiled
def _hold(
    movement: Floats,
    elements: Whole,
    slopes: Floats,
    areas: Floats,
    prestrain: Floats,
    law: Floats,
    kept: float,
    look: Floats,
    forces: Floats,
) -> None:  # pragma: no cover - runs compiled
    """Adds to ``forces`` (2 n_nodes,) what holds the sheet in ``movement``."""
    for e in range(elements.shape[0]):
        for p in range(4):
            i = 4 * e + p
            ex, ey, g = prestrain[i, 0], prestrain[i, 1], prestrain[i, 2]
            for n in range(4):
                u, v = movement[2 * elements[e, n]], movement[2 * elements[e, n] + 1]
                dx, dy = slopes[e, p, 0, n], slopes[e, p, 1, n]
                ex += dx * u
                ey += dy * v
                g += dy * u + dx * v
            tx, ty, txy, _ = _at_point(ex, ey, g, law, kept, look)
            area = areas[i]
            for n in range(4):
                dx, dy = area * slopes[e, p, 0, n], area * slopes[e, p, 1, n]
                forces[2 * elements[e, n]] += dx * tx + dy * txy
                forces[2 * elements[e, n] + 1] += dy * ty + dx * txy


def _law(matrix: Floats) -> Floats:
    """A law without coupling to shear as the kernels want it: d00 d01 d11 d22, and its compliance turned."""
    a, b, c = matrix[0, 0], matrix[0, 1], matrix[1, 1]
    whole = a * c - b * b
    along, across, mixed = c / whole, a / whole, -2 * b / whole + 1.0 / matrix[2, 2]
    base, one, two = (3 * (along + across) + mixed) / 8, (along - across) / 2, (along + across - mixed) / 8
    return np.array([a, b, c, matrix[2, 2], base, one, two])


def tension_without_compression(
    matrix: Floats, strain: ArrayLike, kept: float = 0.0
) -> tuple[Floats, States]:
    """Tension of cloth that ripples instead of pushing.

    Args:
        matrix: Tension from strain of taut cloth, no coupling to shear, shape (3, 3). [N/mm]
        strain: ex ey gxy, shape (n, 3).
        kept: Part of the taut stiffness kept in slack cloth, 0 to 1.

    Returns:
        Tx Ty Txy, shape (n, 3) [N/mm]; state of each point (``SLACK``, ``RIPPLED``, ``TAUT``), shape (n,).
    """
    given = np.ascontiguousarray(strain, dtype=np.float64)
    tension, state = np.empty_like(given), np.empty(len(given), dtype=np.int8)
    _relieve(given, _law(matrix), kept, _LOOK, tension, state)
    return tension, state


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A canvas made ready for many solutions: its strains, its law and its factored taut stiffness.

    Attributes:
        grid: The grid.
        cloth: The cloth.
        prestrain: ex ey gxy at every point before anything moves; below zero where cloth lies loose, shape
            (n_points, 3), n_points = 4 × n_elements.
        kept: Part of the taut stiffness kept in slack cloth.
        springs: Soft springs on the freedoms, shape (2 n_nodes,). [N/mm]
        strain: Strain of every point from the movements, sparse (3 n_points, 2 n_nodes). [1/mm]
        forces: Nodal forces from the tension of every point, sparse (2 n_nodes, 3 n_points). [mm]
        stiffness: Taut stiffness with the springs, sparse (2 n_nodes, 2 n_nodes). [N/mm]
        areas: Area of every point, shape (n_points,). [mm²]
        slopes: Slopes of the shape functions, shape (n_elements, 4, 2, 4). [1/mm]
        law: The cloth's law as the kernels want it, shape (7,).
        solve: Movement from forces on every freedom, with the taut stiffness and its springs.
    """

    grid: MembraneGrid
    cloth: Cloth
    prestrain: Floats
    kept: float
    springs: Floats
    strain: csr_matrix
    forces: csr_matrix
    stiffness: csr_matrix
    areas: Floats
    slopes: Floats
    law: Floats
    solve: Callable[[Floats], Floats]

    def strains(self, movement: Floats) -> Floats:
        """Strain of every point, shape (n_points, 3)."""
        return np.asarray(self.strain @ movement).reshape(-1, 3) + self.prestrain

    def relieved(self, movement: Floats) -> tuple[Floats, States]:
        """Tension [N/mm], shape (n_points, 3), and state of every point."""
        return tension_without_compression(self.cloth.matrix, self.strains(movement), self.kept)

    def holding_forces(self, movement: Floats) -> Floats:
        """Forces that hold the sheet in a movement, shape (2 n_nodes,). [N]"""
        forces: Floats = self.springs * movement
        _hold(
            movement,
            self.grid.elements,
            self.slopes,
            self.areas,
            self.prestrain,
            self.law,
            self.kept,
            _LOOK,
            forces,
        )
        return forces

    def settled(self) -> Sheet:
        """The sheet without its matrices: what is left once nothing is solved any more."""
        return replace(
            self,
            strain=NO_MATRIX,
            forces=NO_MATRIX,
            stiffness=NO_MATRIX,
            slopes=NO_VALUES,
            solve=nothing_solves,
        )

    def energy(self, movement: Floats) -> float:
        """Energy stored in cloth and springs. [N mm]

        The relieved tension comes from a potential of degree two in the strain, so half tension times strain.
        """
        strain = self.strains(movement)
        tension, _ = tension_without_compression(self.cloth.matrix, strain, self.kept)
        stored = float(self.areas @ np.einsum("na,na->n", tension, strain))
        return 0.5 * (stored + float(self.springs @ movement**2))


@lru_cache(maxsize=4)
def _strain_of(grid: MembraneGrid) -> tuple[csr_matrix, csr_matrix, Floats]:
    """Strain of every point by movements, forces by tensions, and areas: whatever the cloth on a grid."""
    matrices, area = strain_matrices(grid)
    freedoms, size = element_freedoms(grid), 2 * grid.node_count
    rows = np.repeat(np.arange(3 * area.size), 8)
    columns = np.broadcast_to(freedoms[:, None, None, :], matrices.shape).ravel()
    strain = csr_matrix((matrices.ravel(), (rows, columns)), shape=(3 * area.size, size))
    return strain, (strain.T @ diags(np.repeat(area.ravel(), 3))).tocsr(), area


@on_one_thread
def prepare_sheet(
    grid: MembraneGrid,
    cloth: Cloth,
    *,
    prestrain: ArrayLike = (0.0, 0.0, 0.0),
    springs: ArrayLike = 0.0,
    held: Whole | None = None,
    kept: float = KEPT,
) -> Sheet:
    """Makes a canvas ready for many solutions.

    Args:
        grid: The grid.
        cloth: The cloth.
        prestrain: ex ey gxy before anything moves, shape (3,) or (n_elements, 3).
        springs: Soft springs on the in-plane freedoms, shape () or (2 n_nodes,). [N/mm]
        held: In-plane freedoms that do not move, shape (k,).
        kept: Part of the taut stiffness kept in slack cloth, above 0, at most 1.

    Returns:
        The sheet.

    Raises:
        OutOfRangeError: If ``kept`` is out of range.
    """
    if not 0 < kept <= 1:
        msg = "the part of the stiffness that slack cloth keeps must lie above 0 and at most be 1"
        raise OutOfRangeError(msg)
    strain, forces, area = _strain_of(grid)
    count, size = area.size, 2 * grid.node_count
    before = np.asarray(prestrain, dtype=np.float64)
    if before.ndim == 2:
        before = np.repeat(before, 4, axis=0)
    soft = np.broadcast_to(np.asarray(springs, dtype=np.float64), (size,))
    stiffness = (in_plane_stiffness(grid, cloth) + diags(soft)).tocsr()
    free = np.arange(size) if held is None else np.setdiff1d(np.arange(size), held)
    factor = splu(
        csc_matrix(stiffness[free][:, free]),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )

    def solve(load: Floats) -> Floats:
        if held is None:
            return np.asarray(factor.solve(load))
        movement = np.zeros_like(load)
        movement[free] = factor.solve(load[free])
        return movement

    return Sheet(
        grid=grid,
        cloth=cloth,
        prestrain=frozen(np.broadcast_to(before, (count, 3))),
        kept=kept,
        springs=frozen(soft),
        strain=strain,
        forces=forces,
        stiffness=stiffness,
        areas=frozen(area.ravel()),
        slopes=gradients(grid)[0],
        law=_law(cloth.matrix),
        solve=solve,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """Where cloth comes to rest, with its proof.

    Attributes:
        movement: In-plane movements, shape (2 n_nodes,). [mm]
        tension: Tx Ty Txy at every point, shape (n_points, 3). [N/mm]
        state: ``SLACK``, ``RIPPLED`` or ``TAUT`` at every point, shape (n_points,).
        imbalance: What is still out of balance, as a part of the whole (energy norm). [-]
        rounds: Rounds it took.
        settled: True if the imbalance fell below what was asked.
    """

    movement: Floats
    tension: Floats
    state: States
    imbalance: float
    rounds: int
    settled: bool
