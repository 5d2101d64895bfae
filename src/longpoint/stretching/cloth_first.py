"""Before the first staple: the cloth made ready, the frame looked over once more."""

from __future__ import annotations

from longpoint.stretching.piece import ClothPiece
from longpoint.stretching.steps import BenchStep
from longpoint.tables import limit


def cloth_first(
    *, piece: ClothPiece, face_width: float, face_height: float, warp_along_width: bool, state: str
) -> tuple[BenchStep, ...]:
    """What to do before the first staple.

    Args:
        piece: The piece of cloth.
        face_width: Of the face. [mm]
        face_height: Of the face. [mm]
        warp_along_width: Whether warp (the way the roll runs) lies along the face's width.
        state: State of the cloth: primed cloth is neither ironed damp nor torn.

    Returns:
        Steps in order.
    """
    raw = state.startswith("raw")
    allowance = sum(zone.stop - zone.start for zone in piece.zones if zone.name == "thread allowance")
    creases = (
        "Hang or roll it out overnight; iron creases out with a warm dry iron, not wet: water shrinks raw cloth."
        if raw
        else "Roll it out, painted side up, in a warm room overnight. Do not iron or fold it: the ground cracks."
    )
    cut = f"Cut {piece.width:.0f} × {piece.height:.0f} mm along a pulled thread"
    if raw:
        cut += ", or nick the edge and tear it: a tear follows the thread"
    if allowance > 0.0:
        cut += f"; {allowance:.0f} mm on each side is there to come square to the thread"
    along = "width" if warp_along_width else "height"
    rounding = limit("lip rounding")
    tail = (
        f" The outer {piece.tail:.0f} mm are for the pliers and are trimmed off at the end."
        if piece.tail
        else ""
    )
    return (
        BenchStep("Creases out", creases),
        BenchStep("Cut to the thread", f"{cut}.{tail}", "knife"),
        BenchStep(
            "Warp direction",
            f"Warp runs along the {along}: it is the way the roll runs and the way that stretches further. Mark it "
            "with an arrow at the edge.",
        ),
        BenchStep(
            "Right side down",
            "Sweep the bench, lay a clean sheet on it and the cloth on that, right side down.",
        ),
        BenchStep(
            "Middles marked",
            f"Mark the middle of each side on the cloth ({0.5 * piece.width:.0f} and {0.5 * piece.height:.0f} mm from "
            f"a corner) and on the back of each bar ({0.5 * face_width:.0f} and {0.5 * face_height:.0f} mm).",
        ),
        BenchStep(
            "Frame once more",
            "Run a hand and a rag over every edge: no burr, no proud screw, no drop of hard glue, no sharp corner. The "
            f"lip is eased to about {rounding.value:g} mm so that it does not cut the cloth.",
        ),
        BenchStep(
            "Frame on",
            f"Lay the frame on the cloth, bevel down, middles on middles, so that {piece.beyond_face:.0f} mm of cloth "
            "show all round. Check the diagonals before the first staple and after the fourth run.",
        ),
        BenchStep("Staples", "Begin at the middle of the first side of the map.", "staples"),
    )
