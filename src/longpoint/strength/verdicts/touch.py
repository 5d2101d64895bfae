"""How hard canvas must be pushed until it touches the timber behind it.

A brush or a knife pushes on a patch about as wide as itself; canvas near its edge hardly gives, canvas over a
rail in the middle of the face gives most. Solved with large dips, since a dip of some millimetres beside a bar
already stretches the cloth.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np

from longpoint.strength.beams.beam import Floats
from longpoint.strength.membrane.grid import graded_grid
from longpoint.strength.membrane.large import Mirror, Sunk, sink
from longpoint.strength.membrane.solve import Cloth, patch_forces
from longpoint.strength.verdicts.cases import Look
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict, bound_of, judged
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit
from longpoint.threads import on_one_thread

#: Diameter of what pushes: a brush or the end of a knife. [mm] Estimate.
PATCH = 30.0
#: Pushes above this are not looked for: nobody paints so. [N]
HARDEST = 30.0


SURELY = 0.98
"""Share of the clearance that a dip must stay below to tell that canvas does not touch: the load is found to within a
hundredth of the clearance."""


class _Patch:
    """A canvas pushed beside the timber behind it, at the middle of its longer side: half of it is solved.

    Args:
        width: Canvas along x. [mm]
        height: Canvas along y. [mm]
        inset: Of the timber from the nearest edge of the canvas. [mm]
        tension: Mean tension left. [N/mm]
        cloth: The cloth while it is painted.
    """

    def __init__(self, *, width: float, height: float, inset: float, tension: float, cloth: Cloth) -> None:
        short = min(width, height)
        x, y = (inset, height / 2) if width <= height else (width / 2, inset)
        self.size = min(PATCH, 1.8 * inset, short / 4)
        x_lines, y_lines = _lines(width, x, self.size), _lines(height, y, self.size)
        whole = graded_grid(x_lines=x_lines, y_lines=y_lines)
        unit = patch_forces(whole, x=x, y=y, width=self.size, height=self.size, force=1.0, round_pad=True)
        unit = unit.reshape(len(y_lines), len(x_lines))
        self._mirror: Mirror = "bottom" if width <= height else "left"
        if self._mirror == "bottom":
            half = int(np.argmin(np.abs(y_lines - y)))
            y_lines, unit = y_lines[half:], unit[half:].copy()
            unit[0] /= 2
        else:
            half = int(np.argmin(np.abs(x_lines - x)))
            x_lines, unit = x_lines[half:], unit[:, half:].copy()
            unit[:, 0] /= 2
        self.grid, self._unit = graded_grid(x_lines=x_lines, y_lines=y_lines), unit.ravel()
        self.node = int(np.argmin(np.hypot(self.grid.nodes[:, 0] - x, self.grid.nodes[:, 1] - y)))
        self._tension, self._cloth = tension, cloth

    def pushed(self, load: float, start: Sunk | None = None) -> Sunk:
        """Under a push. [N]"""
        return sink(
            self.grid,
            self._cloth,
            prestress=(self._tension, self._tension),
            forces=load * self._unit,
            start=start,
            mirror=self._mirror,
        )


@lru_cache(maxsize=64)
@on_one_thread
def dip_under(
    load: float, *, width: float, height: float, inset: float, tension: float, cloth: Cloth
) -> float:
    """How far a push dips canvas beside the timber behind it; the arguments are those of `touching_load`. [mm]"""
    patch = _Patch(width=width, height=height, inset=inset, tension=tension, cloth=cloth)
    return float(patch.pushed(load).movement[patch.node])


@lru_cache(maxsize=256)
@on_one_thread
def touching_load(
    *, width: float, height: float, inset: float, clearance: float, tension: float, cloth: Cloth
) -> float:
    """Push on a patch at which canvas first touches timber behind it.

    Args:
        width: Canvas along x. [mm]
        height: Canvas along y. [mm]
        inset: Of the timber from the nearest edge of the canvas. [mm]
        clearance: Between canvas and timber, above 0. [mm]
        tension: Mean tension left. [N/mm]
        cloth: The cloth while it is painted.

    Returns:
        The push; `HARDEST` where a push of that size does not yet touch. [N]
    """
    if clearance <= 0:
        return 0.0
    patch = _Patch(width=width, height=height, inset=inset, tension=tension, cloth=cloth)
    size, node = patch.size, patch.node
    load = min(HARDEST, max(0.5, 2 * np.pi * tension * clearance / (np.log(2 * inset / size * 2) + 0.5)))
    rest = patch.pushed(load)
    low, low_dip = 0.0, 0.0
    for _ in range(12):
        dip = float(rest.movement[node])
        if abs(dip - clearance) < 0.01 * clearance:
            return float(load)
        if load >= HARDEST and dip < clearance:
            return HARDEST
        # between straight (small dips) and the cube root (large ones) a power of the load fits well
        power = 1.0 if low <= 0 else float(np.clip(np.log(dip / low_dip) / np.log(load / low), 0.3, 1.0))
        low, low_dip = load, dip
        load = min(HARDEST, load * (clearance / dip) ** (1 / power))
        rest = patch.pushed(load, rest)
    return float(load)


def _lines(span: float, at: float, patch: float) -> Floats:
    """Grid lines, close together under the patch, growing away from it."""
    places = {0.0, span, *np.linspace(at - patch / 2, at + patch / 2, 5)}
    for way in (-1.0, 1.0):
        step, place = patch / 2, at + way * patch / 2
        while True:
            place += way * step
            step = min(1.6 * step, span / 8)
            if not 0.35 * step < place < span - 0.35 * step:
                break
            places.add(place)
    inside = sorted(value for value in places if 0.0 <= value <= span)
    kept = [inside[0]]
    for value in inside[1:]:
        if value - kept[-1] > patch / 20:
            kept.append(value)
    kept[-1] = span
    return np.array(kept)


def touching_verdicts(
    case: WorkCase, likely: Look, own: OwnLimits, *, until_it_holds: bool = False
) -> list[Verdict]:
    """How hard canvas must be pushed until it lies on a bar or a rail.

    Args:
        case: The work.
        likely: The likely case now, for how far bars have turned.
        own: The user's limits.
        until_it_holds: Whether it is enough to know that the limit is kept: the limit itself is pushed with, and where
            canvas stays clear of the timber that is told as the load.
    """
    found = []
    turned = abs(likely.answer.turning_in)
    for what in ("bar", "rail"):
        edges = [edge for edge in case.low_edges if edge.what == what]
        if not edges:
            continue
        # canvas gives most far from its edges and where it lies nearest
        edge = min(edges, key=lambda e: (e.clearance, -e.inset))
        row = limit("touching load" if what == "bar" else "touching load, rail")
        bound = bound_of(row, own.touch)
        # turning in drops the low edge back, away from the canvas
        dropped = edge.inset * np.tan(turned) if what == "bar" else 0.0
        clearance = round(float(edge.clearance + dropped), 2)
        place: dict[str, Any] = {
            "width": case.width,
            "height": case.height,
            "inset": edge.inset,
            "tension": case.tension_left,
            "cloth": case.settled,
        }
        load = bound.value
        if not until_it_holds or dip_under(load, **place) > SURELY * clearance:
            load = touching_load(clearance=clearance, **place)
        found.append(
            judged(
                f"touch-{what}",
                load,
                "N",
                bound,
                low=load,
                high=load,
                numbers=(
                    ("clearance", edge.clearance),
                    ("never", 1.0 if load >= HARDEST else 0.0),
                ),
            )
        )
    return found
