"""Section properties of any polygon, computed from the polygon itself.

Section coordinates: ``across`` runs inward in the canvas plane (from the outer face of a bar to its inner
face), ``front`` runs off the wall towards the viewer. A bar's origin is its outer back corner. Area and
second moments come from the polygon's corners exactly; torsion constant, shear areas and shear centre come
from four Poisson problems solved with quadratic triangles on one mesh. Torsion is solved twice, by the stress
function (never too stiff) and by the warping function (never too soft), so the answer carries its own bounds.

The shear solution takes Poisson's ratio as nought: a rectangle's shear area is five sixths of its area.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementTriP2, LinearForm, MeshTri
from skfem.helpers import dot, grad

from longpoint.errors import OutOfRangeError

Point = tuple[float, float]
FloatArray = NDArray[np.float64]

_LEAST_TRIANGLES = 400


@dataclass(frozen=True, slots=True)
class Section:
    """What a beam needs to know of its cross-section.

    Attributes:
        outline: Corners (across, front), counterclockwise, first not repeated. [mm]
        area: Area. [mm²]
        centroid: Centroid (across, front). [mm]
        moment_across: Second moment ∫ across² dA about the centroid; resists being bent inward. [mm⁴]
        moment_front: Second moment ∫ front² dA about the centroid; resists being bent off the wall. [mm⁴]
        product: Product of inertia ∫ across·front dA about the centroid. [mm⁴]
        principal_moments: ∫ y₁² dA and ∫ y₂² dA along the principal directions. [mm⁴]
        principal_angle: Angle from ``across`` to the first principal direction, towards ``front``. [rad]
        shear_centre: Point (across, front) a load must pass through not to twist the bar. [mm]
        torsion_constant: Mean of the two bounds. [mm⁴]
        torsion_bounds: The torsion constant is not below the first nor above the second. [mm⁴]
        shear_areas: Effective shear areas along the two principal directions. [mm²]
    """

    outline: tuple[Point, ...]
    area: float
    centroid: Point
    moment_across: float
    moment_front: float
    product: float
    principal_moments: tuple[float, float]
    principal_angle: float
    shear_centre: Point
    torsion_constant: float
    torsion_bounds: tuple[float, float]
    shear_areas: tuple[float, float]


def rectangle_outline(*, thickness: float, depth: float) -> tuple[Point, ...]:
    """Corners of a rectangle with its outer back corner at the origin.

    Args:
        thickness: Size across, in the canvas plane. [mm]
        depth: Size off the wall. [mm]

    Returns:
        Four corners (across, front), counterclockwise. [mm]
    """
    return ((0.0, 0.0), (thickness, 0.0), (thickness, depth), (0.0, depth))


def bevelled_outline(*, thickness: float, depth: float, bevel: float, flat: float = 0.0) -> tuple[Point, ...]:
    """Corners of a bar whose front face falls from the lip to the low inner edge.

    Args:
        thickness: Size across, in the canvas plane. [mm]
        depth: Size off the wall at the lip. [mm]
        bevel: How far the low inner edge lies behind the lip. [mm]
        flat: Width left flat beside the lip before the bevel begins. [mm]

    Returns:
        Four corners (five with a flat) (across, front), counterclockwise, origin at the outer back corner. [mm]

    Raises:
        OutOfRangeError: If the bevel is negative or takes the whole depth, or the flat the whole thickness.
    """
    if not 0.0 <= bevel < depth:
        msg = f"a bevel of {bevel:g} mm does not fit a bar {depth:g} mm deep; give 0 up to the depth"
        raise OutOfRangeError(msg)
    if not 0.0 <= flat < thickness:
        msg = f"a flat of {flat:g} mm does not fit a bar {thickness:g} mm thick; give 0 up to the thickness"
        raise OutOfRangeError(msg)
    lip = ((flat, depth), (0.0, depth)) if flat and bevel else ((0.0, depth),)
    return ((0.0, 0.0), (thickness, 0.0), (thickness, depth - bevel), *lip)


def rectangle_section(*, thickness: float, depth: float) -> Section:
    """Section of a plain rectangle; see `rectangle_outline`."""
    return polygon_section(rectangle_outline(thickness=thickness, depth=depth))


def bevelled_section(*, thickness: float, depth: float, bevel: float, flat: float = 0.0) -> Section:
    """Section of a bevelled bar; see `bevelled_outline`."""
    return polygon_section(bevelled_outline(thickness=thickness, depth=depth, bevel=bevel, flat=flat))


def polygon_section(outline: tuple[Point, ...]) -> Section:
    """Properties of a solid section with any simple outline (no holes).

    Args:
        outline: Corners (across, front) in order, either way round. [mm]

    Returns:
        The section; computed once per outline and kept.

    Raises:
        OutOfRangeError: If the outline crosses itself, has no area or fewer than three corners.
    """
    return _polygon_section(tuple((float(a), float(f)) for a, f in outline))


@lru_cache(maxsize=512)
def _polygon_section(outline: tuple[Point, ...]) -> Section:
    corners = _counterclockwise(outline)
    area, centroid, (i_across, i_front, product) = polygon_moments(corners)
    angle, (i_1, i_2) = _principal(i_across, i_front, product)
    solved = _solve_section(corners, centroid, angle, (i_1, i_2))
    lower, upper, shear_1, shear_2, s_1, s_2 = solved
    c, s = np.cos(angle), np.sin(angle)
    return Section(
        outline=tuple((float(a), float(f)) for a, f in corners),
        area=area,
        centroid=centroid,
        moment_across=i_across,
        moment_front=i_front,
        product=product,
        principal_moments=(i_1, i_2),
        principal_angle=angle,
        shear_centre=(float(centroid[0] + c * s_1 - s * s_2), float(centroid[1] + s * s_1 + c * s_2)),
        torsion_constant=0.5 * (lower + upper),
        torsion_bounds=(lower, upper),
        shear_areas=(shear_1, shear_2),
    )


def _counterclockwise(outline: tuple[Point, ...]) -> FloatArray:
    whole = len(outline) >= 3 and bool(np.isfinite(np.asarray(outline, dtype=float)).all())
    polygon = shapely.Polygon(outline) if whole else shapely.Polygon()
    if polygon.is_empty or not polygon.is_valid:
        msg = f"the section outline {outline} is no simple polygon; give corners in order, none crossing"
        raise OutOfRangeError(msg)
    if polygon.area <= 0.0:
        msg = f"the section outline {outline} has no area; give a thickness and a depth above 0 mm"
        raise OutOfRangeError(msg)
    corners = np.asarray(outline, dtype=float)
    return corners if polygon.exterior.is_ccw else corners[::-1].copy()


def polygon_moments(corners: FloatArray) -> tuple[float, Point, tuple[float, float, float]]:
    """Exact area, centroid and second moments of a polygon (shoelace sums).

    Args:
        corners: Shape (n, 2), counterclockwise. [mm]

    Returns:
        Area [mm²], centroid [mm], and (∫ across², ∫ front², ∫ across·front) about the centroid. [mm⁴]
    """
    origin = corners.mean(axis=0)
    x, y = (corners - origin).T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y1 - x1 * y
    area = float(cross.sum() / 2)
    cx, cy = float(((x + x1) * cross).sum() / (6 * area)), float(((y + y1) * cross).sum() / (6 * area))
    i_xx = float(((x * x + x * x1 + x1 * x1) * cross).sum() / 12) - area * cx**2
    i_yy = float(((y * y + y * y1 + y1 * y1) * cross).sum() / 12) - area * cy**2
    i_xy = float(((x * y1 + 2 * x * y + 2 * x1 * y1 + x1 * y) * cross).sum() / 24) - area * cx * cy
    return area, (float(origin[0] + cx), float(origin[1] + cy)), (i_xx, i_yy, i_xy)


def _principal(i_across: float, i_front: float, product: float) -> tuple[float, tuple[float, float]]:
    if abs(product) <= 1e-12 * (i_across + i_front):
        return 0.0, (i_across, i_front)
    # the direction that stays nearer to `across`, so that a slight bevel turns the axes only slightly
    angle = 0.5 * float(np.arctan2(2 * product, i_across - i_front))
    if angle > np.pi / 4:
        angle -= np.pi / 2
    elif angle < -np.pi / 4:
        angle += np.pi / 2
    c, s = np.cos(angle), np.sin(angle)
    i_1 = float(i_across * c * c + i_front * s * s + 2 * product * c * s)
    return float(angle), (i_1, i_across + i_front - i_1)


def _triangles(corners: FloatArray) -> MeshTri:
    polygon = shapely.Polygon(corners)
    pieces = shapely.constrained_delaunay_triangles(polygon).geoms
    index: dict[Point, int] = {}
    triangles = [
        [index.setdefault((float(x), float(y)), len(index)) for x, y in piece.exterior.coords[:3]]
        for piece in pieces
    ]
    mesh = MeshTri(np.array(list(index), dtype=float).T, np.array(triangles, dtype=np.int64).T)
    while mesh.t.shape[1] < _LEAST_TRIANGLES:
        mesh = mesh.refined()
    return mesh


@BilinearForm
def _laplace(u, v, _):  # type: ignore[no-untyped-def]
    return dot(grad(u), grad(v))


@LinearForm
def _unit(v, _):  # type: ignore[no-untyped-def]
    return 1.0 * v


@LinearForm
def _first(v, w):  # type: ignore[no-untyped-def]
    return w.x[0] * v


@LinearForm
def _second(v, w):  # type: ignore[no-untyped-def]
    return w.x[1] * v


@LinearForm
def _turning(v, w):  # type: ignore[no-untyped-def]
    return w.x[1] * grad(v)[0] - w.x[0] * grad(v)[1]


def _solve_section(
    corners: FloatArray, centroid: Point, angle: float, moments: tuple[float, float]
) -> tuple[float, float, float, float, float, float]:
    """Four Poisson problems in principal coordinates (y₁, y₂), scaled to unit size.

    Torsion: ∇²ψ = −2, ψ = 0 on the edge, J = 2∫ψ (from below); ∇²ω = 0 with warping-free edge stress,
    J = I_p − ∫|∇ω|² (from above). Shear along k: ∇²φ = −y_k, stress (V/I_k)∇φ, shear area I_k²/∫|∇φ|².

    Returns:
        Torsion bounds [mm⁴], shear areas [mm²], shear centre from the centroid in principal axes [mm].
    """
    c, s = np.cos(angle), np.sin(angle)
    turned = (corners - np.asarray(centroid)) @ np.array([[c, -s], [s, c]])
    size = float(np.sqrt(np.prod(np.ptp(turned, axis=0))))
    basis = Basis(_triangles(turned / size), ElementTriP2(), intorder=4)
    i_1, i_2 = moments[0] / size**4, moments[1] / size**4
    stiff = _laplace.assemble(basis).tocsc()

    unit = _unit.assemble(basis)
    inner = basis.complement_dofs(basis.get_dofs())
    psi = splu(stiff[inner][:, inner], permc_spec="MMD_AT_PLUS_A").solve(2 * unit[inner])
    lower = 2 * float(unit[inner] @ psi)

    rhs = np.column_stack([_first.assemble(basis), _second.assemble(basis), _turning.assemble(basis)])
    free = np.arange(1, stiff.shape[0])  # each solution is fixed up to a constant that no result sees
    fields = np.zeros_like(rhs)
    fields[1:] = splu(stiff[free][:, free], permc_spec="MMD_AT_PLUS_A").solve(rhs[1:])
    energy = np.einsum("ij,ij->j", fields, rhs)
    upper = i_1 + i_2 - float(energy[2])
    # torque of each unit shear about the centroid: (1/I) ∫ (y₁ φ,₂ − y₂ φ,₁) = −(1/I) ∫ turning·φ
    torque = -(rhs[:, 2] @ fields[:, :2]) / np.array([i_1, i_2])
    return (
        lower * size**4,
        upper * size**4,
        i_1**2 / float(energy[0]) * size**2,
        i_2**2 / float(energy[1]) * size**2,
        float(torque[1]) * size,
        -float(torque[0]) * size,
    )
