"""Beams in space: Timoshenko elements with eccentric axes and unsymmetric bending, many at once.

Freedoms of a node are ux uy uz [mm], then the rotation vector rx ry rz [rad]; an element has twelve, its first
node's and its second's. A section is given in its own axes (along, across, front), right-handed; the nodes lie
anywhere in the section, the centroid (where axial force acts) and the shear centre (where shear acts without
twisting) at given distances from them. Inside, stiffness is built in principal axes and carried to the nodes.

Geometric stiffness is the second variation of the geometrically exact (Reissner) beam at the straight, stressed
state, with the rotation vector as freedom: axial force, shear, bending moment and torque all take part, and any
rigid rotation of a whole that is in balance costs nothing, whatever angle the bars meet at. Fibres that wind
round the axis under axial force (Wagner's term) are included.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

#: Three-point Gauss rule on 0..1: places and weights; exact for every integral below.
_PLACES: Floats = 0.5 + 0.5 * np.array([-np.sqrt(0.6), 0.0, np.sqrt(0.6)])
_WEIGHTS: Floats = np.array([5.0, 8.0, 5.0]) / 18.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Beams:
    """Many beam elements as arrays, one row per element.

    Attributes:
        ends: First and second node, shape (n, 2).
        length: Length, shape (n,). [mm]
        triad: Rows are the directions along, across, front, shape (n, 3, 3).
        axial: E A, shape (n,). [N]
        bending: E times the two principal second moments, shape (n, 2). [N mm²]
        torsion: G J, shape (n,). [N mm²]
        shear_flexibility: 1 / (G times the two principal shear areas), 0 without shear, shape (n, 2). [1/N]
        angle: From across to the first principal direction, shape (n,). [rad]
        centroid: Centroid from the node line (across, front), shape (n, 2). [mm]
        shear_centre: Shear centre from the node line (across, front), shape (n, 2). [mm]
        polar: Polar second moment about the centroid over area, shape (n,). [mm²]
        weight: Weight per length, shape (n,). [N/mm]
    """

    ends: Whole
    length: Floats
    triad: Floats
    axial: Floats
    bending: Floats
    torsion: Floats
    shear_flexibility: Floats
    angle: Floats
    centroid: Floats
    shear_centre: Floats
    polar: Floats
    weight: Floats


def cross_matrix(vector: Floats) -> Floats:
    """Matrices that cross a vector from the left.

    Args:
        vector: Shape (..., 3).

    Returns:
        [v]× with [v]× w = v × w, shape (..., 3, 3).
    """
    out = np.zeros((*vector.shape, 3))
    out[..., 0, 1], out[..., 0, 2] = -vector[..., 2], vector[..., 1]
    out[..., 1, 0], out[..., 1, 2] = vector[..., 2], -vector[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -vector[..., 1], vector[..., 0]
    return out


def _principal_triad(beams: Beams) -> Floats:
    c, s = np.cos(beams.angle)[:, None], np.sin(beams.angle)[:, None]
    along, across, front = beams.triad[:, 0], beams.triad[:, 1], beams.triad[:, 2]
    return np.stack([along, c * across + s * front, c * front - s * across], axis=1)


def _in_principal(beams: Beams, place: Floats) -> Floats:
    c, s = np.cos(beams.angle), np.sin(beams.angle)
    return np.stack([c * place[:, 0] + s * place[:, 1], c * place[:, 1] - s * place[:, 0]], axis=1)


def _to_axes(beams: Beams) -> Floats:
    """From one node's global freedoms to (axial at centroid, shear at shear centre, turns), shape (n, 6, 6)."""
    turn = _principal_triad(beams)
    c, s = _in_principal(beams, beams.centroid), _in_principal(beams, beams.shear_centre)
    shift = np.zeros((len(turn), 3, 3))  # what a rotation (x, 1, 2) adds to the movement
    shift[:, 0, 1], shift[:, 0, 2] = c[:, 1], -c[:, 0]
    shift[:, 1, 0], shift[:, 2, 0] = -s[:, 1], s[:, 0]
    out = np.zeros((len(turn), 6, 6))
    out[:, :3, :3] = out[:, 3:, 3:] = turn
    out[:, :3, 3:] = shift @ turn
    return out


def _both_ends(block: Floats) -> Floats:
    out = np.zeros((len(block), 12, 12))
    out[:, :6, :6] = out[:, 6:, 6:] = block
    return out


def _shear_ratio(beams: Beams) -> Floats:
    return 12 * beams.bending * beams.shear_flexibility / beams.length[:, None] ** 2


def beam_stiffness(beams: Beams) -> Floats:
    """Elastic stiffness in global axes.

    Args:
        beams: The elements.

    Returns:
        Symmetric matrices, shape (n, 12, 12), in N, mm and rad.
    """
    length, phi = beams.length, _shear_ratio(beams)
    k = np.zeros((len(length), 12, 12))
    for i, value in ((0, beams.axial / length), (3, beams.torsion / length)):
        k[:, i, i] = k[:, i + 6, i + 6] = value
        k[:, i, i + 6] = k[:, i + 6, i] = -value
    # movement along the first principal direction turns about the second (+), along the second about the first (−)
    for v, r, sign, which in ((1, 5, 1.0, 0), (2, 4, -1.0, 1)):
        ei = beams.bending[:, which] / (1 + phi[:, which]) / length
        q, p = sign * 6 * ei / length, 12 * ei / length**2
        k[:, v, v] = k[:, v + 6, v + 6] = p
        k[:, v, v + 6] = k[:, v + 6, v] = -p
        k[:, v, r] = k[:, r, v] = k[:, v, r + 6] = k[:, r + 6, v] = q
        k[:, v + 6, r] = k[:, r, v + 6] = k[:, v + 6, r + 6] = k[:, r + 6, v + 6] = -q
        k[:, r, r] = k[:, r + 6, r + 6] = (4 + phi[:, which]) * ei
        k[:, r, r + 6] = k[:, r + 6, r] = (2 - phi[:, which]) * ei
    carry = _both_ends(_to_axes(beams))
    return np.asarray(np.swapaxes(carry, 1, 2) @ k @ carry)


def _shapes(beams: Beams, index: Whole, at: Floats, *, slope: bool) -> Floats:
    """Node-line movement and rotation (or their slopes) in principal axes from axis freedoms, shape (k, 6, 12)."""
    x, length = at, beams.length[index]
    phi = _shear_ratio(beams)[index]
    c = _in_principal(beams, beams.centroid)[index]
    s = _in_principal(beams, beams.shear_centre)[index]
    out = np.zeros((len(index), 6, 12))
    one = np.ones_like(x)
    linear = (-one / length, one / length) if slope else (1 - x, x)
    for freedom in (0, 3):
        out[:, freedom, freedom], out[:, freedom, freedom + 6] = linear
    for v, r, sign, which in ((1, 5, 1.0, 0), (2, 4, -1.0, 1)):
        f = phi[:, which]
        part = 1 / (1 + f)
        if slope:
            n1 = part * (-6 * x + 6 * x**2 - f) / length
            n2 = part * (1 - 4 * x + 3 * x**2 + f * (0.5 - x))
            n4 = part * (-2 * x + 3 * x**2 - f * (0.5 - x))
            m1 = part * (12 * x - 6) / length**2
            m2 = part * (-4 + 6 * x - f) / length
            m4 = part * (6 * x - 2 + f) / length
            n3 = -n1
        else:
            n1 = part * (1 - 3 * x**2 + 2 * x**3 + f * (1 - x))
            n2 = part * length * (x - 2 * x**2 + x**3 + f * 0.5 * (x - x**2))
            n4 = part * length * (x**3 - x**2 - f * 0.5 * (x - x**2))
            m1 = part * 6 * (x**2 - x) / length
            m2 = part * (1 - 4 * x + 3 * x**2 + f * (1 - x))
            m4 = part * (3 * x**2 - 2 * x + f * x)
            n3 = 1 - n1
        out[:, v, v], out[:, v, v + 6] = n1, n3
        out[:, v, r], out[:, v, r + 6] = sign * n2, sign * n4
        out[:, r, v], out[:, r, v + 6] = sign * m1, -sign * m1
        out[:, r, r], out[:, r, r + 6] = m2, m4
    # from centroid and shear centre to the node line
    out[:, 0] += -c[:, 1, None] * out[:, 4] + c[:, 0, None] * out[:, 5]
    out[:, 1] += s[:, 1, None] * out[:, 3]
    out[:, 2] += -s[:, 0, None] * out[:, 3]
    return out


def beam_movement_at(beams: Beams, index: Whole, at: Floats) -> Floats:
    """Movement and rotation inside elements from the freedoms of their ends.

    Args:
        beams: The elements.
        index: Element of each place, shape (k,).
        at: Place along the element, 0 to 1, shape (k,).

    Returns:
        Global ux uy uz rx ry rz of the node line from the element's twelve global freedoms, shape (k, 6, 12).
    """
    turn = _principal_triad(beams)[index]
    inside = _shapes(beams, index, at, slope=False) @ _both_ends(_to_axes(beams)[index])
    out = np.empty_like(inside)
    out[:, :3] = np.swapaxes(turn, 1, 2) @ inside[:, :3]
    out[:, 3:] = np.swapaxes(turn, 1, 2) @ inside[:, 3:]
    return out


def beam_end_forces(stiffness: Floats, ends: Whole, movement: Floats) -> Floats:
    """Forces and moments that the nodes put on each element.

    Args:
        stiffness: From `beam_stiffness`, shape (n, 12, 12).
        ends: Nodes, shape (n, 2).
        movement: Freedoms of all nodes, shape (n_nodes, 6).

    Returns:
        Global force and moment at the first and the second end, shape (n, 2, 6). [N, N mm]
    """
    local = movement[ends].reshape(len(ends), 12)
    return np.asarray((stiffness @ local[..., None])[..., 0].reshape(-1, 2, 6))


def beam_geometric(beams: Beams, end_forces: Floats) -> Floats:
    """Geometric stiffness from axial force, shear, bending and torque, in global axes.

    Args:
        beams: The elements.
        end_forces: From `beam_end_forces`, shape (n, 2, 6).

    Returns:
        Symmetric matrices, shape (n, 12, 12); they add to the elastic stiffness.
    """
    count = len(beams.length)
    turn = _principal_triad(beams)
    n = (turn @ end_forces[:, 1, :3, None])[..., 0]  # (n, 3): axial, shear, shear
    m_last = (turn @ end_forces[:, 1, 3:, None])[..., 0]
    along_cross_n = np.stack([np.zeros(count), -n[:, 2], n[:, 1]], axis=1)
    every = np.arange(count)
    total = np.zeros((count, 12, 12))
    n_cross = cross_matrix(n)
    spread = np.zeros((count, 3, 3))
    spread[:, 0, :] += 0.5 * n
    spread[:, :, 0] += 0.5 * n
    spread -= n[:, 0, None, None] * np.eye(3)
    for place, weight in zip(_PLACES, _WEIGHTS, strict=True):
        at = np.full(count, place)
        slopes = _shapes(beams, every, at, slope=True)
        turns = _shapes(beams, every, at, slope=False)[:, 3:]
        moment = m_last + ((1 - place) * beams.length)[:, None] * along_cross_n
        half = np.swapaxes(turns, 1, 2) @ (
            n_cross @ slopes[:, :3] + 0.5 * (cross_matrix(moment) @ slopes[:, 3:])
        )
        step = half + np.swapaxes(half, 1, 2) + np.swapaxes(turns, 1, 2) @ spread @ turns
        wagner = (n[:, 0] * beams.polar)[:, None, None] * (slopes[:, 3, :, None] * slopes[:, 3, None, :])
        total += (weight * beams.length)[:, None, None] * (step + wagner)
    carry = _both_ends(_to_axes(beams))
    return np.asarray(np.swapaxes(carry, 1, 2) @ total @ carry)
