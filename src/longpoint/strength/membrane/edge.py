"""The canvas condensed on to its edge: what a frame feels of it, as a dense symmetric block.

The inside of the canvas carries no load of its own in the plane, so it can be taken out once per size and cloth;
what is left depends on neither section nor rails, and every design, joint or timber is a small frame plus this
block. Edge nodes run anticlockwise from the lower left corner (``MembraneGrid.edge``).

Columns of elements are set side by side, two strips at a time, and the line of nodes between them is taken out at
once. Strips that are alike are worked out once, so that an even canvas takes a few small dense solves.

References:
    Taking out lines of nodes between halves is nested dissection: George, SIAM J. Numer. Anal. 10 (1973), from memory.
"""

from __future__ import annotations

import numpy as np

from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole


def on_edge(grid: MembraneGrid, blocks: Floats) -> Floats:
    """A symmetric stiffness of the grid condensed on to its edge.

    Args:
        grid: The grid.
        blocks: Of each element, its corners anticlockwise from the lower left, all freedoms of a corner together;
            shape (n_elements, 4 d, 4 d), or (1, 4 d, 4 d) where all are alike.

    Returns:
        Dense symmetric block, shape (d m, d m) for m edge nodes.
    """
    each = blocks.shape[1] // 4
    rows, columns = grid.rows, grid.columns
    known: dict[tuple[int, int], Floats] = {}

    def strip(first: int, wide: int) -> Floats:
        key = (0 if len(blocks) == 1 else first, wide)
        if key not in known:
            if wide == 1:
                own = blocks[:1] if len(blocks) == 1 else blocks[first::columns]
                known[key] = _column(np.broadcast_to(own, (rows, 4 * each, 4 * each)), each)
            else:
                left = wide // 2
                one, other = strip(first, left), strip(first + left, wide - left)
                known[key] = _side_by_side(one, other, rows=rows, wide=(left, wide - left), each=each)
        return known[key]

    block = strip(0, columns)
    up, across = np.arange(rows + 1), np.arange(columns - 1)
    bottom, top = 2 * (rows + 1) + across, 2 * (rows + 1) + columns - 1 + across
    walk = np.concatenate(
        [up[:1], bottom, rows + 1 + up, top[::-1], up[:0:-1]]  # anticlockwise, each node once
    )
    places = _freedoms(walk, each)
    block = block[np.ix_(places, places)]
    return np.asarray(0.5 * (block + block.T))


def _freedoms(nodes: Whole, each: int) -> Whole:
    return np.asarray((each * nodes[:, None] + np.arange(each)).ravel())


def _column(blocks: Floats, each: int) -> Floats:
    """One column of elements: its left line of nodes from below, then its right line."""
    rows = len(blocks)
    block = np.zeros((2 * (rows + 1) * each, 2 * (rows + 1) * each))
    up = np.arange(rows)
    right = rows + 1 + up
    nodes = np.stack([up, right, right + 1, up + 1], axis=1)
    places = (each * nodes[:, :, None] + np.arange(each)).reshape(rows, -1)
    np.add.at(block, (places[:, :, None], places[:, None, :]), blocks)
    return block


def _side_by_side(one: Floats, other: Floats, *, rows: int, wide: tuple[int, int], each: int) -> Floats:
    """Two strips as one, the line between them taken out but for its ends.

    Nodes of a strip: its left line from below, its right line, those between them at the bottom, those at the top.
    """
    line, (left, right) = np.arange(rows + 1), wide
    both = left + right
    bottom = 2 * (rows + 1) + np.arange(both - 1)
    top = bottom + both - 1
    kept = 2 * (rows + 1) + 2 * (both - 1)
    between = np.concatenate([bottom[left - 1 : left], kept + np.arange(rows - 1), top[left - 1 : left]])
    whole = np.zeros(((kept + rows - 1) * each,) * 2)
    for block, nodes in (
        (one, np.concatenate([line, between, bottom[: left - 1], top[: left - 1]])),
        (other, np.concatenate([between, rows + 1 + line, bottom[left:], top[left:]])),
    ):
        places = _freedoms(nodes, each)
        whole[np.ix_(places, places)] += block
    kept *= each
    if rows == 1:
        return whole
    coupling = whole[kept:, :kept]
    return np.asarray(whole[:kept, :kept] - coupling.T @ np.linalg.solve(whole[kept:, kept:], coupling))
