"""Rectangles through passages by brute force: every angle in steps, every place at that angle at once.

At one angle a rectangle may lie where its middle is in none of the obstacles, each made larger by the rectangle turned
round (their Minkowski sum). The rest falls into regions; regions of neighbouring angles that overlap are joined; the
rectangle passes if a chain of them leads from one passage to the other. Nothing of the closed forms is used: no wall
is touched, no angle is left out, and the rectangle may turn any way round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from shapely import MultiPoint, Point, Polygon, box
from shapely.affinity import rotate
from shapely.ops import unary_union

Corners = Sequence[tuple[float, float]]

FAR = 60_000.0


def grown(obstacle: Polygon, shape: Polygon) -> Polygon:
    """Minkowski sum of a convex obstacle and a shape that is its own mirror image through its middle."""
    sums = [(x + u, y + v) for x, y in obstacle.exterior.coords[:-1] for u, v in shape.exterior.coords[:-1]]
    return MultiPoint(sums).convex_hull


def leads(
    obstacles: Sequence[Polygon],
    *,
    long: float,
    thick: float,
    start: tuple[float, float],
    stop: tuple[float, float],
    within: Polygon,
    angles: Sequence[float],
) -> bool:
    """Whether a rectangle can be brought from one place to another, turned as it likes among some angles.

    Args:
        obstacles: Convex pieces.
        long: One side.
        thick: The other side.
        start: A place of its middle deep in one passage; any angle of it will do.
        stop: A place deep in the other.
        within: Where its middle may be.
        angles: Of its side ``long``, once round, neighbours in order. [degrees]
    """
    plain = box(-long / 2, -thick / 2, long / 2, thick / 2)
    layers: list[list[Polygon]] = []
    for angle in angles:
        shape = rotate(plain, angle, origin=(0, 0))
        free = within.difference(unary_union([grown(one, shape) for one in obstacles]))
        parts = [free] if isinstance(free, Polygon) else list(getattr(free, "geoms", []))
        layers.append([part for part in parts if isinstance(part, Polygon) and part.area > 0])
    first, last = Point(start), Point(stop)
    todo = [
        (index, place)
        for index, parts in enumerate(layers)
        for place, part in enumerate(parts)
        if part.covers(first)
    ]
    seen = set(todo)
    while todo:
        index, place = todo.pop()
        part = layers[index][place]
        if part.covers(last):
            return True
        for near in (index - 1, index + 1):
            near %= len(layers)
            for other, next_part in enumerate(layers[near]):
                if (near, other) not in seen and part.intersects(next_part):
                    seen.add((near, other))
                    todo.append((near, other))
    return False


def rounds(*, before: float, after: float, turn: float, long: float, thick: float, step: float) -> bool:
    """Whether a rectangle gets from a passage along x into one that turns off by an angle, by brute force.

    Args:
        before: Clear width of the first.
        after: Clear width of the second.
        turn: Between them. [rad]
        long: Side along the passage.
        thick: The other side.
        step: Of the angles. [degrees]
    """
    c, s = math.cos(turn), math.sin(turn)
    inner = np.array([(before * c - after) / s, before])
    way = np.array([c, s])
    back = FAR / 10
    reach = 3 * (long + thick + before + after)
    walls = [
        Polygon([(-FAR, -back), (FAR, -back), (FAR, 0), (-FAR, 0)]),
        Polygon(
            [
                tuple(p)
                for p in (
                    -FAR * way,
                    FAR * way,
                    FAR * way + (back * s, -back * c),
                    -FAR * way + (back * s, -back * c),
                )
            ]
        ),
        Polygon(
            [
                tuple(inner),
                tuple(inner - (FAR, 0)),
                tuple(inner - (FAR, 0) + FAR * way),
                tuple(inner + FAR * way),
            ]
        ),
    ]
    middle_before = (-2 * reach / 3, before / 2)
    far = way * 2 * reach / 3
    middle_after = (far[0] - s * after / 2, far[1] + c * after / 2)
    return leads(
        walls, long=long, thick=thick, start=middle_before, stop=middle_after,
        within=box(-reach, -reach, reach, reach), angles=np.arange(0.0, 180.0, step),
    )  # fmt: skip
