"""Pieces of cloth lying one upon another, and how many layers lie where."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shapely import Polygon, union_all
from shapely.ops import polygonize

Point = tuple[float, float]
Outline = tuple[Point, ...]

_GRID = 1e-6  # [mm] edges that should coincide are snapped together
_SLIVER = 1e-3  # [mm²] smaller pieces come from snapping


@dataclass(frozen=True, slots=True)
class Patch:
    """A piece of cloth lying flat somewhere.

    Attributes:
        name: Which piece: "clean flap", "folded flap", "turn-in", "tuck" or "lap".
        outline: Its corners in order. [mm]
    """

    name: str
    outline: Outline


@dataclass(frozen=True, slots=True)
class Lay:
    """Cloth as it lies on one face of the bars.

    Attributes:
        patches: Pieces, lowest first.
        areas: Area under exactly one layer, two layers, and so on. [mm²]
    """

    patches: tuple[Patch, ...]
    areas: tuple[float, ...]

    @property
    def layers(self) -> int:
        """Most layers one upon another."""
        return len(self.areas)

    def area_of(self, *, at_least: int) -> float:
        """Area under so many layers or more.

        Args:
            at_least: Layers, from 1.

        Returns:
            Area. [mm²]
        """
        return sum(self.areas[at_least - 1 :])


def lay_of(placed: list[tuple[str, Polygon]]) -> Lay:
    """Counts the layers of pieces lying one upon another.

    Args:
        placed: Names and pieces, lowest first; empty ones are left out.

    Returns:
        The lay.
    """
    # clipping can leave points and lines beside the polygon: the rounded outline alone is counted
    kept = tuple((name, Polygon(outline_of(shape))) for name, shape in placed if shape.area > _SLIVER)
    edges = union_all([shape.boundary for _, shape in kept], grid_size=_GRID)
    cells = [cell for cell in polygonize(edges) if cell.area > _SLIVER]
    counted: dict[int, float] = {}
    for cell in cells:
        layers = sum(shape.contains(cell.representative_point()) for _, shape in kept)
        counted[layers] = counted.get(layers, 0.0) + cell.area
    most = max(counted, default=0)
    return Lay(patches_of(kept), tuple(counted.get(layers, 0.0) for layers in range(1, most + 1)))


def patches_of(pieces: Iterable[tuple[str, Polygon]]) -> tuple[Patch, ...]:
    """Pieces as plain outlines.

    Args:
        pieces: Names and pieces.

    Returns:
        Patches in the same order.
    """
    return tuple(Patch(name, outline_of(shape)) for name, shape in pieces)


def outline_of(shape: Polygon) -> Outline:
    """A piece's corners in order, closed by going back to the first.

    Args:
        shape: A polygon, or what clipping left of one: then its largest part.

    Returns:
        The corners. [mm]
    """
    largest = max(getattr(shape, "geoms", [shape]), key=lambda part: part.area)
    # rounding to a nanometre keeps pages the same on every machine
    return tuple((round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in largest.exterior.coords[:-1])
