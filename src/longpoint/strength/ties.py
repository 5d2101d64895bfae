"""The edge of the canvas tied to the lips of the bars, each point by a rigid arm to the bar's node line.

A point sits on an element wherever it falls, so the canvas's grid and the bars' nodes need not meet. Past the
end of a node line (outside the corner of the axes) it hangs on the last node. A corner of the canvas hangs half
on each of its two bars.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from longpoint.strength.beam import Floats, Whole, beam_movement_at, cross_matrix
from longpoint.strength.canvas_edge import EdgeCanvas
from longpoint.strength.frame_links import arm_stiffness
from longpoint.strength.frame_model import FrameModel, assemble
from longpoint.strength.membrane_grid import MembraneGrid


@dataclass(frozen=True, slots=True, eq=False)
class Ties:
    """Edge points of a canvas on the elements of a frame.

    Attributes:
        point: Edge point of each tie, shape (t,); corners have two ties.
        element: Element it hangs on, shape (t,).
        at: Where along the element, 0 to 1, shape (t,).
        arm: From the node line to the point, shape (t, 3). [mm]
        weight: Share of the point, 1 or ½, shape (t,).
        movement: x y z of every edge point from the frame's freedoms, sparse (3 m, 6 n_nodes).
        shapes: Node-line movement and rotation from the element's freedoms, shape (t, 6, 12).
        in_plane: Rows x y of ``movement``, sparse (2 m, 6 n_nodes).
        square: Rows z of ``movement``, sparse (m, 6 n_nodes).
    """

    point: Whole
    element: Whole
    at: Floats
    arm: Floats
    weight: Floats
    movement: csr_matrix
    shapes: Floats
    in_plane: csr_matrix
    square: csr_matrix


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
    columns, rows = grid.columns, grid.rows
    count = 2 * (columns + rows)
    starts = np.cumsum([0, columns, rows, columns, rows])
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
    rows_of = 3 * point[:, None] + np.arange(3)
    movement = csr_matrix(
        (
            tip.ravel(),
            (np.repeat(rows_of.ravel(), 12), np.repeat(freedoms, 3, axis=0).ravel()),
        ),
        shape=(3 * count, model.freedom_count),
    )
    flat = movement[(3 * np.arange(count)[:, None] + np.arange(2)).ravel()]
    return Ties(point, element, at, arm, weight, movement, shapes, flat, movement[2::3])


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
    return assemble(model.freedom_count, model.beams.ends[ties.element], blocks)
