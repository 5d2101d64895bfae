"""A rehearsal as files: one picture for each order, and its steps as JSON for a page that plays them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from longpoint.drawing.paper.view import View
from longpoint.drawing.views.rehearsal import field_view, top_of
from longpoint.drawing.words.own_words import caution_words, order_words
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.export.manifest import FileRow, manifest_of
from longpoint.export.results import file_word
from longpoint.export.shapes.svg import svg_of
from longpoint.jobs.rehearse import ImprovedOrder, RehearsedWork
from longpoint.stretching.rehearsal.outward_ways import improved_name

ORDER_FILE = "order.toml"
"""Name of the improved order's file beside the pictures."""

WIDTH = 260.0
"""Of a picture [mm]."""


def rehearsal_views(found: RehearsedWork, *, say: Voice) -> tuple[View, ...]:
    """One picture of what is left for each order, all to the same tones; the improved one last."""
    comparison = found.comparison
    listed = [(one.order.name, one.left) for one in comparison.rehearsals]
    if comparison.improvement is not None:
        listed.append(
            (improved_name(comparison.improvement.best.order.name), comparison.improvement.best.left)
        )
    top = top_of([field for _, field in listed])
    design = found.frame.design
    return tuple(
        field_view(
            field,
            name=file_word(name),
            order=order_words(name, say),
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
        "cautions": [caution_words(caution, voice_of()) for caution in found.cautions],
        **found.comparison.as_dict(),
    }


def order_text(improved: ImprovedOrder, say: Voice) -> str:
    """An improved order as a TOML file that a batch names and a person may change.

    Args:
        improved: The order.
        say: In whose language it is named.

    Returns:
        The file's text; the same order gives the same text.
    """
    width, height = improved.made_for
    lines = [
        f"# An order of stapling, improved on {width:g} × {height:g} mm by longpoint rehearse. Estimates throughout.",
        "# Staples count from the left or lower end of a side, the work seen from the front; 1.5 is a holding staple",
        "# between 1 and 2. pull: share of the full pull, 0 for only laid in; out: what is taken out first.",
        f"name = {json.dumps(order_words(improved.name, say), ensure_ascii=False)}",
        f"full_pull = {_plain(1000 * improved.full_pull, 1)}          # N/m at the lip",
    ]
    for run in improved.runs:
        lines += ["", "[[run]]", f'side = "{run.side}"', f"staples = {_numbers(run.staples)}"]
        even = len(set(run.pulls)) == 1
        lines.append(f"pull = {_plain(run.pulls[0], 3) if even else _numbers(run.pulls)}")
        if run.out:
            lines.append(f"out = {_numbers(run.out)}")
    return "\n".join(lines) + "\n"


def _plain(value: float, digits: int) -> str:
    return f"{round(value, digits):g}"


def _numbers(values: Sequence[float]) -> str:
    return f"[{', '.join(_plain(value, 3) for value in values)}]"


def rehearsal_json(found: RehearsedWork, *, files: Sequence[FileRow] = ()) -> bytes:
    """The rehearsal as JSON on one line, for it is long; the same bytes for the same rehearsal."""
    document = {**rehearsal_document(found), "files": [row.model_dump() for row in files]}
    return (json.dumps(document, separators=(",", ":"), ensure_ascii=False) + "\n").encode()


def rehearsal_files(found: RehearsedWork, *, say: Voice) -> dict[str, bytes]:
    """Pictures, steps and the improved order by path inside the folder of results."""
    stem = folder_of(found.name)
    files = {f"{stem}/{view.name}.svg": svg_of(view).encode() for view in rehearsal_views(found, say=say)}
    if found.improved is not None:
        files[f"{stem}/{ORDER_FILE}"] = order_text(found.improved, say).encode()
    return {**files, f"{stem}/rehearsal.json": rehearsal_json(found, files=manifest_of(files.items()))}


def folder_of(work: str) -> str:
    """The folder of a work's rehearsal, inside the folder of results."""
    return f"rehearsal-{file_word(work)}"
