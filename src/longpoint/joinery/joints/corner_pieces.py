"""Gussets and glue blocks as solids in their corners: what they need to lie on, and what they stand in the way of.

A glue block goes in as soon as its two bars stand, and the end rails it is rubbed against. Gussets lie on the back and
reach over the inside of the corner, where end rails come in: they go on last.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.errors import Fault, Where
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind, Member
from longpoint.joinery.joints.corners import BLOCK_SIDE, GUSSET_THICKNESS, block_height, gusset_leg
from longpoint.joinery.joints.joint import Joint, JointKind
from longpoint.joinery.order.solid import Prism, overlap, solids_of

GUSSET, BLOCK = "gusset", "glue block"
GUSSET_BACK = 1.0
"""How far a gusset's outer edges are planed back, so that none meets the canvas; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerPiece:
    """A gusset or a glue block in its place.

    Attributes:
        name: With its corner, e.g. ``glue block, bottom left``.
        what: ``gusset`` or ``glue block``, as screws name what they enter.
        prism: The room it takes.
        needs: The members that must stand before it can be put on.
        last: Whether it waits until everything else is in.
    """

    name: str
    what: str
    prism: Prism
    needs: frozenset[str]
    last: bool


def corner_pieces(frame: Frame, joints: Iterable[Joint]) -> tuple[CornerPiece, ...]:
    """The gussets and glue blocks that the corner joints of a frame ask for.

    Args:
        frame: The frame as it is built.
        joints: Its joints; those that are no corners with a piece are passed over.
    """
    found = []
    for joint in joints:
        if joint.kind not in (JointKind.GUSSET, JointKind.GLUE_BLOCK):
            continue
        bars = [frame.named(name) for name in joint.members]
        level = next(bar for bar in bars if bar.axis == "x")
        upright = next(bar for bar in bars if bar.axis == "y")
        make = _gusset if joint.kind is JointKind.GUSSET else _block
        found.append(make(frame, level, upright))
    return tuple(found)


def corner_faults(frame: Frame, joints: Iterable[Joint], *, work: str, key: str) -> tuple[Fault, ...]:
    """Corner pieces for which rails leave no room, one fault for all of them.

    Args:
        frame: The frame as it is built.
        joints: Its joints.
        work: Name of the work.
        key: Where the work is stated.
    """
    overlaps = overlaps_of(frame, corner_pieces(frame, joints))
    if not overlaps:
        return ()
    piece, member = overlaps[0]
    return (
        Fault(
            "corner-piece-no-room",
            f"{work}: the {piece} takes the room of the {member}.",
            "Take fewer rails, or another corner: a gusset lies on the back, a half-lap needs no piece.",
            Where(f"{key}.bars.corner"),
        ),
    )


def overlaps_of(frame: Frame, pieces: Iterable[CornerPiece]) -> tuple[tuple[str, str], ...]:
    """Where a corner piece takes the room of a member: (piece, member)."""
    solids = solids_of(frame)
    return tuple(
        (piece.name, name)
        for piece in pieces
        for name, prisms in solids.items()
        if any(overlap(piece.prism, prism) for prism in prisms)
    )


def _corner(design: FrameDesign, level: Member, upright: Member) -> tuple[float, float, float, float]:
    """The outer corner, and the ways inward from it."""
    x, right = (0.0, 1.0) if upright.side == "left" else (float(design.width), -1.0)
    y, up = (0.0, 1.0) if level.side == "bottom" else (float(design.height), -1.0)
    return x, y, right, up


def _gusset(frame: Frame, level: Member, upright: Member) -> CornerPiece:
    design = frame.design
    x, y, right, up = _corner(design, level, upright)
    leg, edge = float(gusset_leg(design)), GUSSET_BACK
    outline = (
        (x + right * edge, y + up * edge),
        (x + right * leg, y + up * edge),
        (x + right * edge, y + up * leg),
    )
    back = -float(design.bar_depth)
    return CornerPiece(
        name=f"{GUSSET}, {level.side} {upright.side}",
        what=GUSSET,
        prism=Prism(_turned(outline), back - float(GUSSET_THICKNESS), back),
        needs=frozenset((level.name, upright.name)),
        last=True,
    )


def _block(frame: Frame, level: Member, upright: Member) -> CornerPiece:
    design = frame.design
    x, y, right, up = _corner(design, level, upright)
    rails = {rail.side: rail.name for rail in frame.of_kind(Kind.END_RAIL)}
    bar, rail, side = float(design.bar_thickness), float(design.rail_thickness), float(BLOCK_SIDE)
    in_x = bar + (rail if upright.side in rails else 0.0)
    in_y = bar + (rail if level.side in rails else 0.0)
    outline = (
        (x + right * in_x, y + up * in_y),
        (x + right * (in_x + side), y + up * in_y),
        (x + right * (in_x + side), y + up * (in_y + side)),
        (x + right * in_x, y + up * (in_y + side)),
    )
    back = -float(design.bar_depth) + float(design.drop)
    against = [rails[bar.side] for bar in (level, upright) if bar.side in rails]
    return CornerPiece(
        name=f"{BLOCK}, {level.side} {upright.side}",
        what=BLOCK,
        prism=Prism(_turned(outline), back, back + float(block_height(design))),
        needs=frozenset((level.name, upright.name, *against)),
        last=False,
    )


def _turned(outline: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Counter-clockwise, whichever corner it was drawn in."""
    area = sum(
        x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True)
    )
    return outline if area > 0 else outline[::-1]
