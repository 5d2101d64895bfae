"""Fields and rehearsals as plain numbers and lists, for JSON and for a page that plays them."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.rehearsal.field import Field
from longpoint.stretching.rehearsal.rehearse import Rehearsal


def _rounded(values: Floats, digits: int = 5) -> Any:
    return np.round(np.asarray(values, dtype=np.float64), digits).tolist()


def field_as_dict(field: Field) -> dict[str, Any]:
    """A field as plain numbers: window middles, maps as rows from below, and its figures."""
    return {
        "x": _rounded(field.x, 2),
        "y": _rounded(field.y, 2),
        "level": _rounded(field.level),
        "upright": _rounded(field.upright),
        "rippled": _rounded(field.rippled, 3),
        "mean_level": field.mean_level,
        "mean_upright": field.mean_upright,
        "spread": field.spread,
        "lowest": field.lowest,
        "highest": field.highest,
        "corner_lowest": field.corner_lowest,
        "corner_highest": field.corner_highest,
        "bent": field.bent,
        "slack_places": [list(place) for place in field.slack_places],
    }


def rehearsal_as_dict(found: Rehearsal) -> dict[str, Any]:
    """A rehearsal as plain numbers, step by step, for a page that plays it."""
    order = found.order
    return {
        "order": order.name,
        "about": order.about,
        "width": order.width,
        "height": order.height,
        "force": found.hand.force,
        "settled": found.settled,
        "shrunk": round(found.shrunk, 6),
        "places": [{"name": p.name, "side": p.side, "along": round(p.along, 2)} for p in order.places],
        "runs": [
            {
                "side": run.side,
                "puts_in": list(run.puts_in),
                "shares": [round(share, 4) for share in run.shares],
                "takes_out": list(run.takes_out),
            }
            for run in order.runs
        ],
        "steps": [
            {**asdict(step), "out": list(step.out), "pulled_in": _rounded(np.array(step.pulled_in), 4)}
            for step in found.steps
        ],
        "maps": [_rounded(one, 4) for one in found.maps],
        "at_once": field_as_dict(found.at_once),
        "left": field_as_dict(found.left),
        "pulled_in": list(found.pulled_in),
        "staple_loads": {name: round(load, 3) for name, load in found.staple_loads.items()},
        "peak_load": list(found.peak_load),
    }
