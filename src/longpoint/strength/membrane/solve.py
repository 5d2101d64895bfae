"""The canvas as an orthotropic membrane: plane stress per unit width, in its plane and out of it.

Quantities per width: stiffness and tension in N/mm (1 N/mm = 1000 N/m). A tension is three numbers, Tx Ty Txy;
a strain ex ey gxy (gxy the whole angle). In-plane freedoms are numbered 2 × node + {0: along x, 1: along y};
out-of-plane movement has one freedom per node, along z, towards the viewer.

In a flat canvas the two do not touch each other to first order: in the plane the cloth's own stiffness counts,
out of it only the tension it carries. See ``membrane_slack`` for cloth that cannot push, ``membrane_edge`` for
the canvas condensed on to its edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.linalg import splu

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import (
    GAUSS,
    GAUSS_POINTS,
    Floats,
    MembraneGrid,
    Whole,
    gradients,
    locate,
    shapes_at,
)

#: Weight of a kilogram. [N/kg]  CGPM 1901, standard acceleration of free fall, exact.
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """A cloth in one state (raw, after pre-stretch, sized, primed), as a membrane.

    Attributes:
        warp_stiffness: Tension per strain along the warp, above 0. [N/mm]
        weft_stiffness: Tension per strain along the weft, above 0. [N/mm]
        poisson_warp: Narrowing along the weft per stretch along the warp, when pulled along the warp alone.
            The other ratio follows by reciprocity.
        shear_stiffness: Shear tension per shear angle, above 0. [N/mm]
        warp_along: Axis along which the warp runs.
        areal_mass: Mass per area. [kg/mm²] (1 kg/m² = 1e-6 kg/mm²)
    """

    warp_stiffness: float
    weft_stiffness: float
    poisson_warp: float
    shear_stiffness: float
    warp_along: Literal["x", "y"] = "y"
    areal_mass: float = 0.0

    def __post_init__(self) -> None:
        if not (self.warp_stiffness > 0 and self.weft_stiffness > 0 and self.shear_stiffness > 0):
            msg = "stiffness along warp and weft and in shear must be above 0"
            raise OutOfRangeError(msg)
        if self.poisson_warp < 0 or self.poisson_warp * self.poisson_weft >= 1:
            msg = (
                f"a Poisson ratio of {self.poisson_warp:g} along the warp gives {self.poisson_weft:g} along the "
                "weft; both must be at least 0 and their product below 1"
            )
            raise OutOfRangeError(msg)
        if self.areal_mass < 0:
            msg = "mass per area cannot be below 0"
            raise OutOfRangeError(msg)

    @property
    def poisson_weft(self) -> float:
        """Narrowing along the warp per stretch along the weft: k_warp ν_weft = k_weft ν_warp."""
        return self.poisson_warp * self.weft_stiffness / self.warp_stiffness

    @property
    def matrix(self) -> Floats:
        """Tension from strain, shape (3, 3), symmetric, in x and y. [N/mm]"""
        along, across = self.warp_stiffness, self.weft_stiffness
        nu_along, nu_across = self.poisson_warp, self.poisson_weft
        if self.warp_along == "y":
            along, across, nu_along, nu_across = across, along, nu_across, nu_along
        scale = 1.0 / (1.0 - nu_along * nu_across)
        coupled = along * nu_across * scale
        return np.array(
            [[along * scale, coupled, 0.0], [coupled, across * scale, 0.0], [0.0, 0.0, self.shear_stiffness]]
        )

    @property
    def weight(self) -> float:
        """Weight per area, lying flat. [N/mm²]"""
        return self.areal_mass * GRAVITY


def tension_from_strain(cloth: Cloth, strain: ArrayLike) -> Floats:
    """Tension of taut cloth.

    Args:
        cloth: The cloth.
        strain: ex ey gxy, shape (..., 3).

    Returns:
        Tx Ty Txy, shape (..., 3). [N/mm]
    """
    return np.asarray(np.asarray(strain, dtype=np.float64) @ cloth.matrix)


def in_plane_freedoms(nodes: Whole) -> Whole:
    """Numbers of the in-plane freedoms of nodes.

    Args:
        nodes: Node numbers, shape (n,).

    Returns:
        Freedoms, x then y of each node, shape (2 n,).
    """
    return np.asarray((2 * np.asarray(nodes)[:, None] + np.arange(2)).ravel(), dtype=np.intp)


def strain_matrices(grid: MembraneGrid, points: Floats = GAUSS_POINTS) -> tuple[Floats, Floats]:
    """Strain from the movements of an element's nodes.

    Args:
        grid: The grid.
        points: Places in the elements' own coordinates, shape (n_points, 2).

    Returns:
        Matrices, shape (n_elements, n_points, 3, 8), node movements in the order x y of each corner [1/mm];
        areas the points stand for, shape (n_elements, n_points) [mm²].
    """
    slopes, area = gradients(grid, points)
    matrices = np.zeros((*area.shape, 3, 8))
    matrices[..., 0, 0::2] = slopes[..., 0, :]
    matrices[..., 1, 1::2] = slopes[..., 1, :]
    matrices[..., 2, 0::2] = slopes[..., 1, :]
    matrices[..., 2, 1::2] = slopes[..., 0, :]
    return matrices, area


def _gathered(blocks: Floats, freedoms: Whole, size: int) -> csr_matrix:
    """Element blocks, shape (n_elements, k, k), added into one symmetric matrix."""
    k = freedoms.shape[1]
    rows = np.repeat(freedoms, k, axis=1).ravel()
    columns = np.tile(freedoms, (1, k)).ravel()
    return coo_matrix((blocks.ravel(), (rows, columns)), shape=(size, size)).tocsr()


def _added(places: Whole, values: Floats, size: int) -> Floats:
    """Values summed at their places, shape (size,)."""
    return np.asarray(np.bincount(places.ravel(), values.ravel(), minlength=size), dtype=np.float64)


def element_freedoms(grid: MembraneGrid) -> Whole:
    """In-plane freedoms of each element.

    Returns:
        Freedoms, shape (n_elements, 8), x y of each corner.
    """
    return np.asarray((2 * grid.elements[:, :, None] + np.arange(2)).reshape(len(grid.elements), 8))


def in_plane_stiffness(grid: MembraneGrid, material: Cloth | Floats) -> csr_matrix:
    """Stiffness of taut cloth in its own plane.

    Args:
        grid: The grid.
        material: The cloth, or tension-from-strain matrices of shape (3, 3), (n_elements, 3, 3) or
            (n_elements, 4, 3, 3) (one per point of the 2 × 2 rule). [N/mm]

    Returns:
        Sparse symmetric matrix, shape (2 n_nodes, 2 n_nodes). [N/mm]
    """
    return _gathered(in_plane_blocks(grid, material), element_freedoms(grid), 2 * grid.node_count)


def in_plane_blocks(grid: MembraneGrid, material: Cloth | Floats) -> Floats:
    """The same of each element, shape (n_elements, 8, 8). [N/mm]

    Args:
        grid: The grid.
        material: As for `in_plane_stiffness`.
    """
    matrix = material.matrix if isinstance(material, Cloth) else np.asarray(material)
    if matrix.ndim == 3:
        matrix = matrix[:, None]
    strains, area = strain_matrices(grid)
    law = np.broadcast_to(matrix, (*area.shape, 3, 3)) * area[..., None, None]
    return np.asarray((np.swapaxes(strains, -1, -2) @ (law @ strains)).sum(axis=1))


def _per_point(tension: ArrayLike, grid: MembraneGrid) -> Floats:
    """A tension given once, per element or per point, as shape (n_elements, 4, 3)."""
    values = np.asarray(tension, dtype=np.float64)
    if values.ndim == 2:
        values = values[:, None, :]
    return np.broadcast_to(values, (len(grid.elements), 4, 3))


def geometric_stiffness(grid: MembraneGrid, tension: ArrayLike) -> csr_matrix:
    """Stiffness that the tension alone gives against movement square to the canvas.

    The same matrix belongs to each of the three directions; in the plane it adds to the cloth's own stiffness
    (``numpy.kron`` with a 2 × 2 unit matrix), where a study of winding needs it.

    Args:
        grid: The grid.
        tension: Tx Ty Txy, shape (3,), (n_elements, 3) or (n_elements, 4, 3). [N/mm]

    Returns:
        Sparse symmetric matrix, shape (n_nodes, n_nodes). [N/mm]
    """
    return _gathered(geometric_blocks(grid, tension), grid.elements, grid.node_count)


def geometric_blocks(grid: MembraneGrid, tension: ArrayLike) -> Floats:
    """The same of each element, shape (n_elements, 4, 4). [N/mm]

    Args:
        grid: The grid.
        tension: As for `geometric_stiffness`.
    """
    slopes, area = gradients(grid)
    t = _per_point(tension, grid) * area[..., None]
    stress = np.stack([t[..., 0], t[..., 2], t[..., 2], t[..., 1]], axis=-1).reshape(*area.shape, 2, 2)
    return np.asarray((np.swapaxes(slopes, -1, -2) @ (stress @ slopes)).sum(axis=1))


def tension_forces(grid: MembraneGrid, tension: ArrayLike) -> Floats:
    """Nodal forces needed to hold cloth that carries a tension.

    They point outward on the edge for a positive tension; the cloth pulls back with the opposite. Inside an even
    tension they cancel.

    Args:
        grid: The grid.
        tension: Tx Ty Txy, shape (3,), (n_elements, 3) or (n_elements, 4, 3). [N/mm]

    Returns:
        In-plane forces, shape (2 n_nodes,). [N]
    """
    strains, area = strain_matrices(grid)
    forces = np.einsum("epsi,eps,ep->ei", strains, _per_point(tension, grid), area)
    return _added(element_freedoms(grid), forces, 2 * grid.node_count)


def pressure_forces(grid: MembraneGrid, pressure: ArrayLike) -> Floats:
    """Nodal forces square to the canvas of a pressure or of the cloth's own weight.

    Args:
        grid: The grid.
        pressure: Towards +z, one number or one per element, shape () or (n_elements,). [N/mm²]

    Returns:
        Forces, shape (n_nodes,). [N]
    """
    _, area = gradients(grid)
    per_element = np.broadcast_to(np.asarray(pressure, dtype=np.float64), (len(grid.elements),))
    shares = np.einsum("pn,ep->en", shapes_at(GAUSS_POINTS), area) * per_element[:, None]
    return _added(grid.elements, shares, grid.node_count)


def patch_forces(
    grid: MembraneGrid,
    *,
    x: float,
    y: float,
    width: float,
    height: float,
    force: float,
    round_pad: bool = False,
) -> Floats:
    """Nodal forces square to the canvas of a load spread evenly over a small pad.

    A load on a point would sink without end as the grid gets finer; a pad has a size.

    Args:
        grid: The grid.
        x: Middle of the pad. [mm]
        y: Middle of the pad. [mm]
        width: Size of the pad along x, above 0. [mm]
        height: Size along y, above 0. [mm]
        force: Whole force, towards +z. [N]
        round_pad: True for an ellipse of that width and height.

    Returns:
        Forces that sum to ``force``, shape (n_nodes,). [N]

    Raises:
        OutOfRangeError: If the pad has no size or reaches beyond the canvas.
    """
    if not (width > 0 and height > 0):
        msg = "the pad needs a width and a height above 0"
        raise OutOfRangeError(msg)
    cells = max(8, int(np.ceil(4 * max(width, height) / np.sqrt(gradients(grid)[1].sum(axis=1).min()))))
    cells = min(cells, 64)
    middle = (np.arange(cells) + 0.5) / cells - 0.5
    offset = GAUSS * 0.5 / cells
    at = np.sort(np.concatenate([middle - offset, middle + offset]))
    px, py = (values.ravel() for values in np.meshgrid(at, at))
    if round_pad:
        kept = px**2 + py**2 <= 0.25
        px, py = px[kept], py[kept]
    element, own = locate(grid, np.stack([x + width * px, y + height * py], axis=1))
    shares = shapes_at(own) * (force / len(px))
    return _added(grid.elements[element], shares, grid.node_count)


def strains_of(grid: MembraneGrid, movement: ArrayLike, points: Floats = GAUSS_POINTS) -> Floats:
    """Strain from movements in the plane.

    Args:
        grid: The grid.
        movement: In-plane movements, shape (2 n_nodes,) or (n_nodes, 2). [mm]
        points: Places in the elements' own coordinates, shape (n_points, 2).

    Returns:
        ex ey gxy, shape (n_elements, n_points, 3).
    """
    strains, _ = strain_matrices(grid, points)
    local = np.asarray(movement, dtype=np.float64).ravel()[element_freedoms(grid)]
    return np.asarray(np.einsum("epsi,ei->eps", strains, local))


def tensions_of(
    grid: MembraneGrid, cloth: Cloth, movement: ArrayLike, prestress: ArrayLike = (0, 0, 0)
) -> Floats:
    """Tension in the middle of each element of taut cloth (the most exact place of the element).

    Args:
        grid: The grid.
        cloth: The cloth.
        movement: In-plane movements since the prestress was put in, shape (2 n_nodes,) or (n_nodes, 2). [mm]
        prestress: Tx Ty Txy there before, shape (3,) or (n_elements, 3). [N/mm]

    Returns:
        Tx Ty Txy, shape (n_elements, 3). [N/mm]
    """
    middle = strains_of(grid, movement, np.zeros((1, 2)))[:, 0]
    return np.asarray(tension_from_strain(cloth, middle) + np.asarray(prestress, dtype=np.float64))


def dip(grid: MembraneGrid, tension: ArrayLike, forces: Floats) -> Floats:
    """Small movement square to the canvas with its edge held: the linear membrane.

    Args:
        grid: The grid.
        tension: Tx Ty Txy, shape (3,), (n_elements, 3) or (n_elements, 4, 3). [N/mm]
        forces: Nodal forces towards +z, shape (n_nodes,). [N]

    Returns:
        Movement towards +z, shape (n_nodes,). [mm]
    """
    inner = grid.inner
    stiffness = geometric_stiffness(grid, tension)[inner][:, inner].tocsc()
    movement = np.zeros(grid.node_count)
    movement[inner] = splu(stiffness).solve(forces[inner])
    return movement
