"""Members as solids: bars with bevel and mitres, rails, and whole frames, as triangles that close.

Exact boolean cuts are made by manifold3d; every solid is checked to be closed before it leaves. Millimetres, in the
frame's own axes: x right, y up, z out of the wall, lips at z = 0.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np
from numpy.typing import NDArray

from longpoint.drawing.views.section import bar_profile
from longpoint.export.shapes.laps import lap_boxes
from longpoint.frame import Frame, FrameDesign, Kind, Member, plates_of
from longpoint.frame.profile import bar_corners


@dataclass(frozen=True, slots=True)
class Bore:
    """A round hole in a member.

    Attributes:
        start: Where its axis begins. [mm]
        stop: Where it ends. [mm]
        diameter: Of the hole. [mm]
    """

    start: tuple[float, float, float]
    stop: tuple[float, float, float]
    diameter: float


@dataclass(frozen=True, slots=True)
class Solid:
    """One closed solid.

    Attributes:
        name: Of the member or part.
        vertices: Shape (n, 3). [mm]
        triangles: Shape (m, 3), counter-clockwise from outside.
    """

    name: str
    vertices: NDArray[np.float64]
    triangles: NDArray[np.int64]

    @property
    def volume(self) -> float:
        """Volume, by the divergence theorem over the triangles, in mm³."""
        a, b, c = (self.vertices[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def frame_solids(
    frame: Frame, *, lip_eased: bool = False, bores: Mapping[str, Sequence[Bore]] | None = None
) -> tuple[Solid, ...]:
    """Every member of a frame as a solid in its place, and the plates over joins.

    Args:
        frame: The frame.
        lip_eased: Whether the lip is eased; parts lists count it sharp, so volumes agree only without.
        bores: Holes by name of the member.
    """
    return tuple(
        member_solid(member, frame.design, lip_eased=lip_eased, bores=(bores or {}).get(member.name, ()))
        for member in (*frame.members, *plates_of(frame))
    )


def member_solid(
    member: Member, design: FrameDesign, *, lip_eased: bool = False, bores: Sequence[Bore] = ()
) -> Solid:
    """One member as a solid in its place."""
    if member.kind is Kind.BAR:
        body = _bar(member, design, lip_eased)
    else:
        left, bottom, right, top = (float(value) for value in member.box_xy)
        body = _box((left, bottom, float(member.back)), (right, top, float(member.front)))
    for low, high in lap_boxes(member, design):
        body = body - _box(low, high)
    for bore in bores:
        body = body - _cylinder(bore)
    mesh = body.to_mesh64()
    return Solid(
        member.name,
        np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3],
        np.asarray(mesh.tri_verts, dtype=np.int64),
    )


def _box(low: tuple[float, float, float], high: tuple[float, float, float]) -> manifold3d.Manifold:
    size = tuple(b - a for a, b in zip(low, high, strict=True))
    return manifold3d.Manifold.cube(size).translate(low)


def _bar(member: Member, design: FrameDesign, lip_eased: bool) -> manifold3d.Manifold:
    """The profile pushed along the bar, then cut at both ends as the corner wants."""
    profile = bar_profile(design) if lip_eased else [(float(x), float(z)) for x, z in bar_corners(design)]
    length = float(member.length)
    section = manifold3d.CrossSection([list(profile)])
    prism = manifold3d.Manifold.extrude(section, length)  # profile in x, y; along z
    # (distance from the outer side, depth, along) → the frame's axes
    turned = prism.transform(_placing(member, design))
    if "mitre" not in design.corner:
        return turned
    for normal, offset in _mitre_planes(member, design):
        turned = turned.trim_by_plane(normal, offset)
    return turned


def _placing(member: Member, design: FrameDesign) -> list[list[float]]:
    """Rows of the map from (inward, z, along) to (x, y, z); mirrored sides are turned end for end instead."""
    width, height = float(design.width), float(design.height)
    start, stop = float(member.start), float(member.stop)
    match member.side:
        case "left":  # inward +x, along −y so that the frame of axes stays right-handed
            return [[1, 0, 0, 0], [0, 0, -1, stop], [0, 1, 0, 0]]
        case "right":
            return [[-1, 0, 0, width], [0, 0, 1, start], [0, 1, 0, 0]]
        case "bottom":
            return [[0, 0, 1, start], [1, 0, 0, 0], [0, 1, 0, 0]]
        case _:
            return [[0, 0, -1, stop], [-1, 0, 0, height], [0, 1, 0, 0]]


def _mitre_planes(member: Member, design: FrameDesign) -> list[tuple[tuple[float, float, float], float]]:
    """The planes through the frame's corners at 45°: (unit normal towards what is kept, offset along it)."""
    width, height = float(design.width), float(design.height)
    h = math.sqrt(0.5)
    corners = {
        "left": (((0.0, 0.0), (-h, h)), ((0.0, height), (-h, -h))),
        "right": (((width, 0.0), (h, h)), ((width, height), (h, -h))),
        "bottom": (((0.0, 0.0), (h, -h)), ((width, 0.0), (-h, -h))),
        "top": (((0.0, height), (h, h)), ((width, height), (-h, h))),
    }
    planes = []
    for (x, y), (nx, ny) in corners[member.side or "left"]:
        planes.append(((nx, ny, 0.0), nx * x + ny * y))
    return planes


def _cylinder(bore: Bore) -> manifold3d.Manifold:
    start, stop = np.array(bore.start), np.array(bore.stop)
    along = stop - start
    length = float(np.linalg.norm(along))
    w = along / length
    helper = np.array([1.0, 0.0, 0.0]) if abs(w[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    u = np.cross(helper, w)
    u /= np.linalg.norm(u)
    v = np.cross(w, u)
    rows = np.column_stack([u, v, w, start])
    return manifold3d.Manifold.cylinder(length, bore.diameter / 2, bore.diameter / 2, 32).transform(
        rows.tolist()
    )
