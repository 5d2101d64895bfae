"""A rehearsal as files: one picture for each order, and its steps as JSON for a page that plays them."""

from __future__ import annotations

import json
from typing import Any

from longpoint.drawing.rehearsal_views import field_view, top_of
from longpoint.drawing.views import View
from longpoint.drawing.voice import Voice
from longpoint.export.results import file_word
from longpoint.export.svg import svg_of
from longpoint.jobs.rehearse import RehearsedWork

WIDTH = 260.0
"""Of a picture [mm]."""


def rehearsal_views(found: RehearsedWork, *, say: Voice) -> tuple[View, ...]:
    """One picture of what is left for each order, all to the same tones; the improved one last."""
    comparison = found.comparison
    listed = [(one.order.name, one.left) for one in comparison.rehearsals]
    if comparison.improvement is not None:
        listed.append(
            (f"{comparison.improvement.best.order.name}, improved", comparison.improvement.best.left)
        )
    top = top_of([field for _, field in listed])
    design = found.frame.design
    return tuple(
        field_view(
            field,
            name=file_word(name),
            order=name,
            size=(float(design.width), float(design.height)),
            top=top,
            say=say,
            width=WIDTH,
        )
        for name, field in listed
    )


def rehearsal_document(found: RehearsedWork) -> dict[str, Any]:
    """The rehearsal as plain values: tensions in N/mm, lengths in mm, forces in N."""
    return {
        "format": "longpoint rehearsal",
        "version": 1,
        "work": found.name,
        "cloth": found.cloth_state,
        "tension_wished": found.tension,
        "only_snug": found.wetted,
        "elements": list(found.elements),
        "frame_give": round(found.give, 5),
        "hand": {
            "force": round(found.hand.force, 3),
            "jaw": found.hand.jaw,
            "friction": found.hand.friction,
            "wrap": round(found.hand.wrap, 6),
            "at_lip": round(found.hand.at_lip, 3),
            "crown": found.hand.crown,
        },
        "cautions": [str(caution) for caution in found.cautions],
        **found.comparison.as_dict(),
    }


def rehearsal_json(found: RehearsedWork) -> bytes:
    """The rehearsal as JSON on one line, for it is long; the same bytes for the same rehearsal."""
    return (json.dumps(rehearsal_document(found), separators=(",", ":"), ensure_ascii=False) + "\n").encode()


def rehearsal_files(found: RehearsedWork, *, say: Voice) -> dict[str, bytes]:
    """Pictures and steps by path inside the folder of results."""
    stem = f"rehearsal-{file_word(found.name)}"
    files = {f"{stem}/{view.name}.svg": svg_of(view).encode() for view in rehearsal_views(found, say=say)}
    return {f"{stem}/rehearsal.json": rehearsal_json(found), **files}
