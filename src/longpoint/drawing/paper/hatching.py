"""Hatching for cut wood and cut cloth.

Cut surfaces are hatched with narrow lines at 45° (ISO 128-3, from memory); neighbouring pieces are told apart by
direction and spacing. Lines are clipped to the outline, so that every file format gets plain lines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from longpoint.drawing.paper.marks import Layer, Line, Pen, Point


def hatch(
    outline: Sequence[Point],
    *,
    angle: float = math.pi / 4,
    pitch: float = 1.6,
    layer: Layer = Layer.HATCH,
    pen: Pen | None = None,
) -> tuple[Line, ...]:
    """Parallel lines inside an outline.

    Args:
        outline: Corners of a simple closed shape, convex or not.
        angle: Direction of the lines. [rad]
        pitch: Distance between lines. [mm]
        layer: Layer of the lines.
        pen: Their pen, if not that of the layer.
    """
    c, s = math.cos(angle), math.sin(angle)
    turned = [(x * c + y * s, -x * s + y * c) for x, y in outline]
    low = min(v for _, v in turned)
    high = max(v for _, v in turned)
    lines = []
    # Levels sit on one grid through the origin, so that touching pieces of one direction run on.
    for step in range(math.ceil(low / pitch), math.floor(high / pitch) + 1):
        level = step * pitch + 1e-7  # a hair beside the grid, so that no corner is met exactly
        cuts = []
        for (u0, v0), (u1, v1) in pairwise([*turned, turned[0]]):
            if (v0 < level) != (v1 < level):
                cuts.append(u0 + (u1 - u0) * (level - v0) / (v1 - v0))
        cuts.sort()
        for left, right in zip(cuts[::2], cuts[1::2], strict=False):
            if right - left > 0.05:
                start = (left * c - level * s, left * s + level * c)
                end = (right * c - level * s, right * s + level * c)
                lines.append(Line(start, end, layer, pen))
    return tuple(lines)
