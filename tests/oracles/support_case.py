"""The usual support from plain numbers: bars, end rails, cross rails, middle pieces, joints.

Built lying along its long side; a tall work is the same turned a quarter. Names follow the finished work:
bottom, right, top, left; ``end rail 1/2``; ``cross rail 1`` onwards; ``middle piece 1`` onwards, all counted from
the left (from the bottom on a tall work).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from longpoint.errors import Fault, FaultsError, Where
from longpoint.strength.beams.frame_model import Joint, Member, Place, Seam
from longpoint.strength.beams.joint_stiffness import (
    JointStiffness,
    SeamStiffness,
    glued_joint,
    glued_seam,
    screwed_joint,
)
from longpoint.strength.beams.pieces import BAR_PIECES, FramePieces
from longpoint.strength.beams.section import Section, bevelled_section, rectangle_section
from longpoint.strength.beams.timber import Timber, timber

RAIL_PIECES = 2
"""Elements along a rail; it carries nothing between its joints, so few are exact."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarSize:
    """Section of the bars.

    Attributes:
        thickness: In the canvas plane. [mm]
        depth: Off the wall, at the lip. [mm]
        bevel: How far the low inner edge lies behind the lip. [mm]
        flat: Width left flat beside the lip. [mm]
    """

    thickness: float
    depth: float
    bevel: float = 5.0
    flat: float = 0.0

    def section(self) -> Section:
        """Properties of the section."""
        return bevelled_section(thickness=self.thickness, depth=self.depth, bevel=self.bevel, flat=self.flat)


@dataclass(frozen=True, slots=True, kw_only=True)
class RailSize:
    """Section of a rail and where it lies.

    Attributes:
        thickness: In the canvas plane. [mm]
        depth: Off the wall. [mm]
        drop: How far it lies in from the back edge. [mm]
    """

    thickness: float
    depth: float
    drop: float = 0.0

    def section(self) -> Section:
        """Properties of the section."""
        return rectangle_section(thickness=self.thickness, depth=self.depth)


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportJoints:
    """Joints of a support.

    Attributes:
        corner: Bar to bar.
        rail_end: Any rail or middle piece to what it meets.
        seam: End rail to bar.
    """

    corner: JointStiffness
    rail_end: JointStiffness
    seam: SeamStiffness


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """A support from plain numbers.

    Attributes:
        width: Outer size along x. [mm]
        height: Outer size along y. [mm]
        bar: Section of all four bars.
        rail: Section of all rails and middle pieces; needed where there are any.
        cross_rails: Places of the cross rails' middles along the long side, from its start. [mm]
        middle_pieces: One line of middle pieces along the long side, one per bay.
        middle_at: Place of that line along the short side; the middle where None. [mm]
        middle_shifts: How far each middle piece is shifted sideways, in order; 0 where not given. [mm]
        end_rails: A rail glued or screwed along the inside of both short bars.
        timber: Timber of everything.
        joints: Joints; `usual_joints` where None.
    """

    width: float
    height: float
    bar: BarSize
    rail: RailSize | None = None
    cross_rails: tuple[float, ...] = ()
    middle_pieces: bool = False
    middle_at: float | None = None
    middle_shifts: tuple[float, ...] = ()
    end_rails: bool = False
    timber: Timber = field(default_factory=timber)
    joints: SupportJoints | None = None

    def in_the_long_run(self) -> Support:
        """The same support after years under load."""
        joints = self.joints or usual_joints(bar=self.bar, rail=self.rail, wood=self.timber)
        creep = self.timber.creep
        return replace(
            self,
            timber=self.timber.in_the_long_run(),
            joints=SupportJoints(
                corner=joints.corner.in_the_long_run(creep),
                rail_end=joints.rail_end.in_the_long_run(creep),
                seam=joints.seam.in_the_long_run(creep),
            ),
        )


def evenly(count: int, *, width: float) -> tuple[float, ...]:
    """Places of evenly spaced rails along a side.

    Args:
        count: How many.
        width: Length of the side. [mm]

    Returns:
        Places from its start. [mm]
    """
    return tuple(width * (i + 1) / (count + 1) for i in range(count))


def usual_joints(*, bar: BarSize, rail: RailSize | None, wood: Timber) -> SupportJoints:
    """Joints of a support as it is usually made: corners with glued blocks, rails screwed, end rails glued.

    Args:
        bar: Section of the bars.
        rail: Section of the rails.
        wood: The timber.

    Returns:
        The joints: a glued corner gives as much as one depth of bar bends (estimate); a rail end is held by two
        5 mm screws one above the other, their slip after EN 1995-1-1 Table 7.1; the seam is a glued one.
    """
    section = bar.section()
    end = rail or RailSize(thickness=bar.thickness, depth=0.8 * bar.depth)
    return SupportJoints(
        corner=glued_joint(
            modulus=wood.modulus,
            moment_in_plane=section.moment_across,
            moment_front=section.moment_front,
            give=bar.depth,
        ),
        rail_end=screwed_joint(
            density=wood.density,
            diameter=5.0,
            count=2,
            spread_in_plane=end.thickness / 2,
            spread_front=end.depth / 3,
        ),
        seam=glued_seam(shear_modulus=wood.shear_modulus, height=end.depth, thickness=end.thickness / 10),
    )


def support_pieces(support: Support) -> FramePieces:
    """Members, joints and seams of a support.

    Args:
        support: The support.

    Returns:
        The pieces.

    Raises:
        FaultsError: Every fault of the sizes and places given.
    """
    _check(support)
    tall = support.height > support.width
    pieces = _along_x(replace(support, width=support.height, height=support.width) if tall else support)
    return _quarter_turn(pieces, support.width) if tall else pieces


def _check(support: Support) -> None:
    faults = []
    bar, rail = support.bar, support.rail
    long, short = max(support.width, support.height), min(support.width, support.height)
    for value, name in (
        (support.width, "width"),
        (support.height, "height"),
        (bar.thickness, "bar.thickness"),
    ):
        if not 0 < value < float("inf"):
            what = f"The {name} is {value:g} mm."
            faults.append(Fault("size-not-above-nought", what, "Give a size above 0.", Where(key=name)))
    if not faults and short < 4 * bar.thickness:
        what = f"Bars {bar.thickness:g} mm thick leave nothing inside a work {short:g} mm wide."
        faults.append(Fault("bars-too-thick", what, "Choose thinner bars.", Where(key="bar.thickness")))
    if not 0 <= bar.bevel < bar.depth:
        what = f"A bevel of {bar.bevel:g} mm does not fit a bar {bar.depth:g} mm deep."
        faults.append(Fault("bevel-too-deep", what, "Give 0 up to the depth.", Where(key="bar.bevel")))
    wants_rail = bool(support.cross_rails) or support.middle_pieces or support.end_rails
    if wants_rail and rail is None:
        what = "There are rails, but no size for them."
        faults.append(Fault("rail-size-missing", what, "Give thickness and depth.", Where(key="rail")))
    if rail is not None and wants_rail:
        if not (rail.thickness > 0 and rail.depth > 0 and rail.drop >= 0):
            what = (
                f"A rail of {rail.thickness:g} x {rail.depth:g} mm, dropped {rail.drop:g} mm, cannot be made."
            )
            faults.append(
                Fault("rail-size", what, "Give sizes above 0, a drop of 0 or more.", Where(key="rail"))
            )
        elif bar.depth - rail.drop - rail.depth < 0:
            what = f"A rail {rail.depth:g} mm deep, dropped {rail.drop:g} mm, stands out of a bar {bar.depth:g} deep."
            faults.append(Fault("rail-too-deep", what, "Choose a shallower rail.", Where(key="rail.depth")))
        spots = sorted(support.cross_rails)
        near = 2 * rail.thickness + bar.thickness
        for i, spot in enumerate(support.cross_rails):
            if not near <= spot <= long - near:
                what = f"A cross rail at {spot:g} mm does not lie between the bars of a side of {long:g} mm."
                faults.append(Fault("rail-outside", what, "Move it inside.", Where(key=f"cross_rails[{i}]")))
        if any(b - a < rail.thickness for a, b in pairwise(spots)):
            what = "Two cross rails lie in the same place."
            faults.append(Fault("rails-overlap", what, "Space them out.", Where(key="cross_rails")))
    if faults:
        raise FaultsError(faults)


def _along_x(support: Support) -> FramePieces:
    """The support with its long side along x."""
    width, height, bar, wood = support.width, support.height, support.bar, support.timber
    joints_kind = support.joints or usual_joints(bar=bar, rail=support.rail, wood=wood)
    section = bar.section()
    inset, level = section.centroid[0], section.centroid[1] - bar.depth
    spots: list[Place] = [
        (inset, inset, level),
        (width - inset, inset, level),
        (width - inset, height - inset, level),
        (inset, height - inset, level),
    ]
    names = ("bottom", "right", "top", "left")
    inward: list[Place] = [(0, 1, 0), (-1, 0, 0), (0, -1, 0), (1, 0, 0)]
    members: list[Member] = []
    for i in range(4):
        start, end = spots[i], spots[(i + 1) % 4]
        share = float(np.linalg.norm(np.subtract(end, start))) / (width + height) * 2
        pieces = max(6, 2 * round(BAR_PIECES * share / 2))
        members.append(
            Member(
                name=names[i],
                start=start,
                end=end,
                section=section,
                across=inward[i],
                timber=wood,
                pieces=pieces,
            )
        )
    joints = [
        Joint(
            first=names[i],
            first_at=members[i].length,
            second=names[(i + 1) % 4],
            second_at=0.0,
            stiffness=joints_kind.corner,
        )
        for i in range(4)
    ]
    seams: list[Seam] = []
    if support.rail is not None:
        _add_rails(support, support.rail, joints_kind, members, joints, seams)
    return FramePieces(members=tuple(members), joints=tuple(joints), seams=tuple(seams))


def _add_rails(
    support: Support,
    rail: RailSize,
    kinds: SupportJoints,
    members: list[Member],
    joints: list[Joint],
    seams: list[Seam],
) -> None:
    width, height, thick = support.width, support.height, support.bar.thickness
    section = rail.section()
    level = -support.bar.depth + rail.drop + rail.depth / 2
    inset = members[0].start[0]

    def piece(name: str, start: Place, end: Place, across: Place) -> Member:
        made = Member(
            name=name,
            start=start,
            end=end,
            section=section,
            across=across,
            timber=support.timber,
            pieces=RAIL_PIECES,
        )
        members.append(made)
        return made

    def held(first: str, first_at: float, second: Member, second_at: float) -> None:
        joints.append(
            Joint(
                first=first,
                first_at=first_at,
                second=second.name,
                second_at=second_at,
                stiffness=kinds.rail_end,
            )
        )

    # what a middle piece may meet, from left to right: (name, its left face, its right face, place along it of y)
    walls = [("left", 0.0, thick, -1.0), ("right", width - thick, width, 1.0)]
    if support.end_rails:
        low, high = thick, height - thick
        for name, bar, x, sign in (
            ("end rail 1", "left", thick + rail.thickness / 2, -1.0),
            ("end rail 2", "right", width - thick - rail.thickness / 2, 1.0),
        ):
            start, end = (
                ((x, high, level), (x, low, level)) if sign < 0 else ((x, low, level), (x, high, level))
            )
            made = piece(name, start, end, (-sign, 0.0, 0.0))
            seams.append(Seam(first=bar, second=name, stiffness=kinds.seam, face_across=-rail.thickness / 2))
            for y, at in ((low, made.length if sign < 0 else 0.0), (high, 0.0 if sign < 0 else made.length)):
                bottom = y < height / 2
                along = x - inset if bottom else width - inset - x
                held("bottom" if bottom else "top", along, made, at)
            walls[0 if sign < 0 else 1] = (name, x - rail.thickness / 2, x + rail.thickness / 2, sign)
    inner = []
    for i, x in enumerate(sorted(support.cross_rails)):
        name = f"cross rail {i + 1}"
        made = piece(name, (x, thick, level), (x, height - thick, level), (-1.0, 0.0, 0.0))
        held("bottom", x - inset, made, 0.0)
        held("top", width - inset - x, made, made.length)
        inner.append((name, x - rail.thickness / 2, x + rail.thickness / 2, 1.0))
    if support.middle_pieces:
        line = [walls[0], *inner, walls[1]]
        by_name = {member.name: member for member in members}
        middle = height / 2 if support.middle_at is None else support.middle_at
        for i in range(len(line) - 1):
            y = middle + (support.middle_shifts[i] if i < len(support.middle_shifts) else 0.0)
            made = piece(
                f"middle piece {i + 1}", (line[i][2], y, level), (line[i + 1][1], y, level), (0.0, 1.0, 0.0)
            )
            for wall, at in ((line[i], 0.0), (line[i + 1], made.length)):
                begin = by_name[wall[0]].start[1]
                held(wall[0], (y - begin) * wall[3], made, at)


def _quarter_turn(pieces: FramePieces, width: float) -> FramePieces:
    """Turned a quarter anticlockwise: the long side, along x, comes to stand along y."""
    renamed = {"bottom": "right", "right": "top", "top": "left", "left": "bottom"}

    def name(old: str) -> str:
        return renamed.get(old, old)

    def place(p: Place) -> Place:
        return (width - p[1], p[0], p[2])

    members = tuple(
        replace(
            m,
            name=name(m.name),
            start=place(m.start),
            end=place(m.end),
            across=(-m.across[1], m.across[0], m.across[2]),
        )
        for m in pieces.members
    )
    joints = tuple(replace(j, first=name(j.first), second=name(j.second)) for j in pieces.joints)
    seams = tuple(replace(s, first=name(s.first), second=name(s.second)) for s in pieces.seams)
    return FramePieces(members=members, joints=joints, seams=seams)
