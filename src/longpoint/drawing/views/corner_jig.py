"""What holds a mitre while it is bored: two straight offcuts on a scrap board; and the packers, from which offcuts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.drawing.paper.dimensions import linear
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.marks import Circle, Layer, Mark, Pen, Point, Polygon, rectangle
from longpoint.drawing.paper.pages import Beside, Block, Drawing, Heading, Paragraph, Together
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.voice import Voice

LENGTH = 300.0
"""Of the straight offcuts that hold a mitre while it is bored. [mm] Common practice, no published source."""

_LEAST = 200.0
"""Shorter ones leave no room for a clamp beside the drill. [mm] Estimate."""

_PACKERS, _PACKER = 4, 60.0
"""Packers under a rail, and how long each is. [mm] Estimate."""

_SAW = 5.0
"""What a cut takes, generously. [mm]"""


@dataclass(frozen=True, slots=True)
class Offcut:
    """What is left of a board of the plan.

    Attributes:
        timber: Its section in words.
        length: How long it is. [mm]
    """

    timber: str
    length: float


@dataclass(frozen=True, slots=True)
class CornerJig:
    """The jig for the corners of a batch, and its packers.

    Attributes:
        thickness: Of the thickest bar, from the front. [mm]
        depth: Of that bar. [mm]
        clear: From the corner to the offcuts, so that the drill reaches the corner screws. [mm]
        packers: Thicknesses of packers that the works want. [mm]
        offcuts: What the plan leaves, in the order of its boards.
    """

    thickness: float
    depth: float
    clear: float
    packers: tuple[float, ...]
    offcuts: tuple[Offcut, ...]


def jig_blocks(jig: CornerJig, *, say: Voice) -> tuple[Block, ...]:
    """The jig drawn with its sizes, what it is cut from, and the packers."""
    length, sources = _held_by(jig.offcuts)
    shown = length or LENGTH
    words = [
        say("jig.how", length=_round(shown, say, unit=True), clear=_round(jig.clear, say, unit=True)),
        say("jig.from", offcuts=_named(sources, say)) if sources else say("jig.none"),
    ]
    if jig.packers:
        left = [offcut for offcut in jig.offcuts if offcut not in sources]
        enough = [one for one in left if one.length >= _PACKERS * (_PACKER + _SAW)]
        cut_from = min(enough, key=lambda one: one.length, default=None)
        words.append(
            say(
                "jig.packers",
                count=_PACKERS,
                length=_round(_PACKER, say, unit=True),
                thick=", ".join(say.fine(thick, unit=True) for thick in jig.packers),
            )
        )
        words.append(
            say("jig.packers-from", offcut=_named([cut_from], say)) if cut_from else say("jig.packers-any")
        )
    view = jig_view(jig, shown, say=say)
    return (
        Together(
            (
                Heading(say("jig.title"), 2),
                Beside(
                    (tuple(Paragraph(each, "small") for each in words), (Drawing(view),)), shares=(2.1, 1.0)
                ),
            )
        ),
    )


def jig_view(jig: CornerJig, length: float, *, say: Voice) -> View:
    """The jig from above: offcuts hatched, bars light, a clamp on each bar."""
    scale = 34.0 / (jig.clear + length + jig.depth)
    reach = jig.clear + length

    def at(x: float, y: float) -> Point:
        return (x * scale, y * scale)

    thick = jig.thickness
    past = reach + 12.0
    bars = (
        ((0.0, 0.0), (past, 0.0), (past, thick), (thick, thick)),
        ((0.0, 0.0), (thick, thick), (thick, past), (0.0, past)),
    )
    marks: list[Mark] = [
        Polygon(tuple(at(x, y) for x, y in bar), Layer.OUTLINE, fill=0.93, pen=Pen(0.35)) for bar in bars
    ]
    for corner, far in (
        ((jig.clear, -jig.depth), (reach, 0.0)),
        ((-jig.depth, jig.clear), (0.0, reach)),
    ):
        offcut = rectangle(at(*corner), at(*far), fill=1.0)
        marks += [offcut, *hatch(offcut.points, pitch=1.8)]
    clamp = jig.clear + min(60.0, length / 3)
    for x, y in ((clamp, 0.0), (0.0, clamp)):
        marks.append(Circle(at(x, y), 1.6, Layer.SCREW, fill=1.0, pen=Pen(0.5)))
    marks += [
        linear(
            at(jig.clear, -jig.depth),
            at(reach, -jig.depth),
            offset=-6.0,
            words=_round(length, say),
            height=3.0,
        ),
        linear(
            at(-jig.depth, 0.0),
            at(-jig.depth, jig.clear),
            offset=6.0,
            words=_round(jig.clear, say),
            height=3.0,
        ),
    ]
    labels = (
        Wanted(at(clamp, 0.0), say("jig.clamp"), toward=math.pi / 2, least=thick * scale, dot=False),
        Wanted(
            at(0.7 * reach, thick / 2), say("jig.bar"), toward=math.pi / 2, least=thick * scale, dot=False
        ),
    )
    return view_of(
        "corner-jig", [*marks, *place_labels(labels, among=marks)], scale=scale, title=say("jig.view")
    )


def _round(length: float, say: Voice, *, unit: bool = False) -> str:
    """A measure that need not be kept: to half an inch above in inches."""
    half = 12.7
    return say.length(
        half * math.ceil(length / half - 0.2) if say.lengths.system == "in" else length, unit=unit
    )


def _held_by(offcuts: Sequence[Offcut]) -> tuple[float, list[Offcut]]:
    """How long the two straight offcuts can be, and what they are cut from: one piece or two of the plan."""
    for length in (LENGTH, _LEAST):
        whole = [one for one in offcuts if one.length >= 2 * length + _SAW]
        pieces = sorted((one for one in offcuts if one.length >= length), key=lambda one: one.length)
        if len(pieces) >= 2 and (not whole or pieces[1].length < min(one.length for one in whole)):
            return length, pieces[:2]
        if whole:
            return length, [min(whole, key=lambda one: one.length)]
    return 0.0, []


def _named(offcuts: Sequence[Offcut], say: Voice) -> str:
    told = (say("jig.offcut", timber=one.timber, length=say.kept(one.length, unit=True)) for one in offcuts)
    return "; ".join(dict.fromkeys(told))
