"""The edge of the canvas tied to the lips of the bars, each point by a rigid arm to the bar's node line.

A point sits on an element wherever it falls, so the canvas's grid and the bars' nodes need not meet. Past the
end of a node line (outside the corner of the axes) it hangs on the last node. A corner of the canvas hangs half
on each of its two bars.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from longpoint.strength.beams.beam import Floats, Whole, beam_movement_at, cross_matrix
from longpoint.strength.beams.frame_links import arm_stiffness
from longpoint.strength.beams.frame_model import FrameModel, assemble
from longpoint.strength.canvas_edge import EdgeCanvas
from longpoint.strength.membrane.grid import MembraneGrid


@dataclass(frozen=True, slots=True, eq=False)
class Ties:
    """Edge points of a canvas on the elements of a frame.

    Attributes:
        point: Edge point of each tie, shape (t,); corners have two ties.
        element: Element it hangs on, shape (t,).
        at: Where along the element, 0 to 1, shape (t,).
        arm: From the node line to the point, shape (t, 3). [mm]
        weight: Share of the point, 1 or ½, shape (t,).
        shapes: Node-line movement and rotation from the element's freedoms, shape (t, 6, 12).
        rows: Movement of the edge points from the frame's freedoms: x y of every point, then z of every point,
            sparse (3 m, 6 n_nodes).
        in_plane: Rows x y, sparse (2 m, 6 n_nodes).
        square: Rows z, sparse (m, 6 n_nodes).
    """

    point: Whole
    element: Whole
    at: Floats
    arm: Floats
    weight: Floats
    shapes: Floats
    rows: csr_matrix
    in_plane: csr_matrix
    square: csr_matrix

    @property
    def movement(self) -> csr_matrix:
        """Movement of the edge points, x y z of each in turn, sparse (3 m, 6 n_nodes)."""
        point = np.arange(len(self.point) - 4)
        order = np.stack([2 * point, 2 * point + 1, 2 * len(point) + point], axis=1).ravel()
        return self.rows[order]


def tie_canvas(model: FrameModel, canvas: EdgeCanvas, bars: tuple[str, str, str, str]) -> Ties:
    """Ties the canvas's four edges to four members.

    Args:
        model: The frame; the canvas lies at z = 0, its lower left corner at the origin.
        canvas: The canvas.
        bars: Names of the members under the bottom, right, top and left edge.

    Returns:
        The ties.
    """
    return tie_points(model, canvas.grid, bars)


def tie_points(model: FrameModel, grid: MembraneGrid, bars: tuple[str, str, str, str]) -> Ties:
    """Ties the edge of a grid to four members; see `tie_canvas`.

    Args:
        model: The frame.
        grid: The canvas's grid.
        bars: Names of the members under the bottom, right, top and left edge.

    Returns:
        The ties.
    """
    count = 2 * (grid.columns + grid.rows)
    starts = np.cumsum([0, grid.columns, grid.rows, grid.columns, grid.rows])
    points, elements, ats, arms, weights = [], [], [], [], []
    places = np.column_stack([grid.nodes[grid.edge], np.zeros(count)])
    for side, name in enumerate(bars):
        index = model.member_index(name)
        member, stations = model.members[index], model.stations[index]
        mine = np.arange(starts[side], starts[side + 1] + 1) % count
        along = np.subtract(member.end, member.start) / member.length
        distance = np.clip((places[mine] - np.asarray(member.start)) @ along, 0.0, member.length)
        local = np.clip(np.searchsorted(stations, distance, side="right") - 1, 0, len(stations) - 2)
        on_line = np.asarray(member.start) + distance[:, None] * along
        share = np.ones(len(mine))
        share[[0, -1]] = 0.5
        points.append(mine)
        elements.append(model.member_beams[index][local])
        ats.append((distance - stations[local]) / (stations[local + 1] - stations[local]))
        arms.append(places[mine] - on_line)
        weights.append(share)
    point, element = np.concatenate(points), np.concatenate(elements)
    at, arm, weight = np.concatenate(ats), np.concatenate(arms), np.concatenate(weights)
    shapes = beam_movement_at(model.beams, element, at)
    tip = weight[:, None, None] * (shapes[:, :3] - cross_matrix(arm) @ shapes[:, 3:])  # (t, 3, 12)
    freedoms = (6 * model.beams.ends[element][:, :, None] + np.arange(6)).reshape(-1, 12)
    # all x and y of the points first, in their order, then all z
    row = np.stack([2 * point, 2 * point + 1, 2 * count + point], axis=1).ravel()
    flat = tip.ravel()
    kept = np.flatnonzero(np.abs(flat) > 1e-13)
    where = (row[kept // 12], freedoms.ravel()[12 * (kept // 36) + kept % 12])
    rows = csr_matrix((flat[kept], where), shape=(3 * count, model.freedom_count))
    return Ties(
        point=point,
        element=element,
        at=at,
        arm=arm,
        weight=weight,
        shapes=shapes,
        rows=rows,
        in_plane=rows[: 2 * count],
        square=rows[2 * count :],
    )


def ties_geometric(model: FrameModel, ties: Ties, holding: Floats) -> csr_matrix:
    """Geometric stiffness of the arms: pulled at the lip, a bar that turns changes its own lever.

    Args:
        model: The frame.
        ties: The ties.
        holding: Force that holds the canvas at each edge point (outward under tension), shape (m, 3). [N]

    Returns:
        Sparse symmetric, shape (6 n_nodes, 6 n_nodes).
    """
    arm = arm_stiffness(holding[ties.point] * ties.weight[:, None], ties.arm)
    turns = ties.shapes[:, 3:]
    blocks = np.swapaxes(turns, 1, 2) @ arm @ turns
    return assemble(model.freedom_count, (model.beams.ends[ties.element], blocks))
