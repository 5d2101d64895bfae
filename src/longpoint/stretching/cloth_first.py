"""Before the first staple: the cloth made ready, the frame looked over once more."""

from __future__ import annotations

from longpoint.stretching.piece import ClothPiece
from longpoint.stretching.steps import BenchStep
from longpoint.tables import limit
from longpoint.units import LengthStyle

_MILLIMETRES = LengthStyle()


def cloth_first(
    *,
    piece: ClothPiece,
    face_width: float,
    face_height: float,
    warp_along_width: bool,
    state: str,
    style: LengthStyle = _MILLIMETRES,
) -> tuple[BenchStep, ...]:
    """What to do before the first staple.

    Args:
        piece: The piece of cloth.
        face_width: Of the face. [mm]
        face_height: Of the face. [mm]
        warp_along_width: Whether warp (the way the roll runs) lies along the face's width.
        state: State of the cloth: primed cloth is neither ironed damp nor torn.
        style: How lengths are shown.

    Returns:
        Steps in order.
    """
    raw = state.startswith("raw")
    cut_width, cut_height = style.show(piece.width, rounding="up"), style.show(piece.height, rounding="up")
    middles = [style.show(length) for length in (*piece.middles, 0.5 * face_width, 0.5 * face_height)]
    along = "width" if warp_along_width else "height"
    beyond = style.show(piece.beyond_face)
    rounding = style.finer().show(limit("lip rounding").value)
    return (
        _creases(raw),
        BenchStep(
            "cut-to-thread",
            "Cut to the thread",
            f"Cut {cut_width} × {cut_height} along a pulled thread" + _cutting(piece, raw, style),
            "knife",
            (("width", cut_width), ("height", cut_height)),
        ),
        BenchStep(
            "warp-direction",
            "Warp direction",
            f"Warp runs along the {along}: it is the way the roll runs and the way that stretches further. Mark it "
            "with an arrow at the edge.",
            facts=(("warp along", along),),
        ),
        BenchStep(
            "right-side-down",
            "Right side down",
            "Sweep the bench, lay a clean sheet on it and the cloth on that, right side down.",
        ),
        BenchStep(
            "middles-marked",
            "Middles marked",
            f"Mark the middle of each side on the cloth ({middles[0]} and {middles[1]} from a corner) and on the back "
            f"of each bar ({middles[2]} and {middles[3]}).",
            facts=(
                ("cloth, along width", middles[0]),
                ("cloth, along height", middles[1]),
                ("bars, along width", middles[2]),
                ("bars, along height", middles[3]),
            ),
        ),
        BenchStep(
            "frame-once-more",
            "Frame once more",
            "Run a hand and a rag over every edge: no burr, no proud screw, no drop of hard glue, no sharp corner. The "
            f"lip is eased to about {rounding} so that it does not cut the cloth.",
            facts=(("lip rounding", rounding),),
        ),
        BenchStep(
            "frame-on",
            "Frame on",
            f"Lay the frame on the cloth, bevel down, middles on middles, so that {beyond} of cloth show all round. "
            "Check the diagonals before the first staple and after the fourth run.",
            facts=(("cloth beyond the face", beyond),),
        ),
        BenchStep("staples", "Staples", "Begin at the middle of the first side of the map.", "staples"),
    )


def _creases(raw: bool) -> BenchStep:
    if raw:
        return BenchStep(
            "creases-out-raw",
            "Creases out",
            "Hang or roll it out overnight; iron creases out with a warm dry iron, not wet: water shrinks raw cloth.",
        )
    return BenchStep(
        "creases-out-primed",
        "Creases out",
        "Roll it out, primed side up, in a warm room overnight. Do not iron or fold it: the ground cracks.",
    )


def _cutting(piece: ClothPiece, raw: bool, style: LengthStyle) -> str:
    text = ", or nick the edge and tear it: a tear follows the thread" if raw else ""
    allowance = sum(zone.stop - zone.start for zone in piece.zones if zone.name == "thread allowance")
    if allowance > 0.0:
        text += f"; {style.show(allowance)} on each side is there to come square to the thread"
    text += "."
    if piece.tail > 0.0:
        text += f" The outer {style.show(piece.tail)} are for the pliers and are trimmed off at the end."
    return text
