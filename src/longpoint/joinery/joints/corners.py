"""The four corners: places for screws, glued faces and the small pieces a corner joint asks for."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from longpoint.frame.design import FrameDesign, Side
from longpoint.frame.members import Frame, Kind, Member
from longpoint.joinery.joints.joint import Direction, Duty, ExtraPiece, GlueFace, JointKind, Point
from longpoint.joinery.screws.clash import Slide
from longpoint.joinery.screws.on_sale import TIP_COVER
from longpoint.joinery.screws.place import Place

DRAWS: Duty = "draws together while the glue sets"
COUNTED: Duty = "counted on for strength"
GUSSET_THICKNESS = Fraction(6)
"""Plywood of a gusset; common practice, no published source. [mm]"""
BLOCK_SIDE = Fraction(35)
"""A glue block is a square stick of this side, as long as a rail is deep; estimate. [mm]"""
LOWEST_SCREWED = 24
"""A lower glue block has no room for a screw from either side, 6 mm of wood all round; estimate. [mm]"""
DEPTH_PER_MITRE_SCREW = 25
"""Bar depth per mitre screw; estimate. [mm]"""

CORNERS: tuple[tuple[Side, Side], ...] = (
    ("bottom", "left"),
    ("bottom", "right"),
    ("top", "right"),
    ("top", "left"),
)
"""Corners as they are glued: level bar, upright bar."""

_KINDS = {
    "mitre": JointKind.MITRE,
    "mitre with gusset": JointKind.GUSSET,
    "mitre with glue block": JointKind.GLUE_BLOCK,
    "half-lap": JointKind.HALF_LAP,
    "keyed mitre": JointKind.KEYED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Where parts meet, before screws are chosen.

    Attributes:
        kind: What kind of joint.
        members: The members, receiving one last.
        at: Middle of the meeting faces.
        duty: What its screws are for.
        why: The rule.
        places: Places for screws; one list per size of screw that may differ.
        glue: Glued faces.
        note: Key of what a person should know, or "".
        extra: Small pieces.
    """

    kind: JointKind
    members: tuple[str, ...]
    at: Point
    duty: Duty
    why: str
    places: tuple[tuple[Place, ...], ...]
    glue: tuple[GlueFace, ...]
    note: str = ""
    extra: tuple[ExtraPiece, ...] = ()


@dataclass(frozen=True, slots=True)
class _Corner:
    """A corner's bars and the inward directions."""

    level: Member
    upright: Member
    x: Fraction
    y: Fraction
    inward_x: int
    inward_y: int
    design: FrameDesign

    def point(self, along_x: Fraction, along_y: Fraction, z: Fraction) -> Point:
        """A point by its distances inward from the corner."""
        return (self.x + self.inward_x * along_x, self.y + self.inward_y * along_y, z)

    @property
    def right(self) -> Direction:
        return (self.inward_x, 0, 0)

    @property
    def up(self) -> Direction:
        return (0, self.inward_y, 0)


def corner_meetings(frame: Frame, *, kept: Fraction = Fraction(0)) -> tuple[Meeting, ...]:
    """The four corner joints of a frame, in the order in which they are glued.

    Args:
        frame: The frame.
        kept: Wood at the back that staples need: where the bar is deep enough, mitre screws lie deeper. [mm]

    Returns:
        The joints.
    """
    return tuple(_corner_meeting(frame, level, upright, kept) for level, upright in CORNERS)


def _corner_meeting(frame: Frame, level: Side, upright: Side, kept: Fraction) -> Meeting:
    design = frame.design
    corner = _Corner(
        level=frame.bar_at(level, upright),
        upright=frame.bar_at(upright, level),
        x=Fraction(0) if upright == "left" else design.width,
        y=Fraction(0) if level == "bottom" else design.height,
        inward_x=1 if upright == "left" else -1,
        inward_y=1 if level == "bottom" else -1,
        design=design,
    )
    kind = _KINDS[design.corner]
    thickness, depth = design.bar_thickness, design.bar_depth
    members = (corner.level.name, corner.upright.name)
    at = corner.point(thickness / 2, thickness / 2, -depth / 2)
    if kind is JointKind.KEYED:
        return Meeting(
            kind=kind,
            members=members,
            at=at,
            duty=DRAWS,
            why="Keys hold it open; there are no screws and no glue.",
            places=(),
            glue=(),
            note="keys",
            extra=(
                ExtraPiece(
                    name="key",
                    length=2 * thickness,
                    width=thickness,
                    thickness=Fraction(4),
                    how_many=2,
                    shape="wedge",
                ),
            ),
        )
    if kind is JointKind.HALF_LAP:
        return _half_lap(corner, members, at)
    mitre_glue = GlueFace(length=_root_two(thickness), width=depth - design.bevel_fall / 2, end_grain=2)
    places: list[tuple[Place, ...]] = [_mitre_places(corner, kept)]
    glue = [mitre_glue]
    extra: tuple[ExtraPiece, ...] = ()
    note = ""
    duty: Duty = DRAWS
    why = "Mitre screws lie in end grain half a thickness from the corner: the trade's rule, not counted."
    if kind is JointKind.GUSSET:
        leg = gusset_leg(design)
        duty = COUNTED
        why = "The gusset's screws stand in side grain and are counted on; the mitre's own screws are not."
        places += _gusset_places(corner, leg)
        glue.append(GlueFace(length=2 * leg - thickness, width=thickness, end_grain=0))
        extra = (
            ExtraPiece(
                name="gusset, plywood",
                length=leg,
                width=leg,
                thickness=GUSSET_THICKNESS,
                how_many=1,
                shape="triangle",
            ),
        )
        note = "gusset"
    elif kind is JointKind.GLUE_BLOCK:
        duty = COUNTED
        why = "The block's screws stand in side grain; the mitre's own screws are not counted."
        block_places, block = _block_places(frame, corner)
        places += block_places
        glue += [GlueFace(length=block.length, width=block.width, end_grain=0)] * 2
        extra = (block,)
        if not block_places:
            duty = DRAWS
            why = (
                "The block is too low for two screws: it is only glued."
                if block.length < LOWEST_SCREWED
                else "End rails lie on both sides of this corner and their screws fill it: the block is only glued."
            )
        note = "block-screwed" if block_places else "block-glued"
    return Meeting(
        kind=kind,
        members=members,
        at=at,
        duty=duty,
        why=why,
        places=tuple(places),
        glue=tuple(glue),
        note=note,
        extra=extra,
    )


def gusset_leg(design: FrameDesign) -> Fraction:
    """How long the legs of a gusset are: six bar thicknesses, 140 mm at least; estimate. [mm]"""
    inside = min(design.width, design.height) / 2
    return min(max(6 * design.bar_thickness, Fraction(140)), inside)


def block_height(design: FrameDesign) -> Fraction:
    """How long a glue block is, off the wall: as deep as a rail, or what bar and bevel leave. [mm]"""
    if design.has_rails:
        return design.rail_depth
    return design.bar_depth - design.drop - design.bevel_fall - 8


def mitre_screws(depth: Fraction) -> int:
    """How many screws draw a mitre together: one for about 25 mm of depth, at most four; estimate."""
    return min(max(round(depth / DEPTH_PER_MITRE_SCREW), 1), 4)


def mitre_heights(design: FrameDesign, *, kept: Fraction = Fraction(0)) -> tuple[Fraction, ...]:
    """How high above the back edge the mitre screws lie, the lowest first.

    Even over the depth at half a thickness; where staples come in from the back, the lowest lies beyond them as long
    as the others, spread anew above it, keep two thirds of their spacing.

    Args:
        design: The frame.
        kept: Wood at the back that staples need, to the middle of the nearest screw. [mm]

    Returns:
        The heights. [mm]
    """
    # The front at half a thickness has fallen by half the bevel; the back edge is whole.
    high = design.bar_depth - design.bevel_fall
    count = mitre_screws(design.bar_depth)
    step = high / count
    lowest, last = step / 2, high - step / 2
    if kept > lowest:
        lowest = min(
            kept,
            last - step * (count - 1) * Fraction(2, 3) if count > 1 else high - max(step / 3, Fraction(6)),
        )
        lowest = max(lowest, step / 2)
    if count == 1:
        return (lowest,)
    return tuple(lowest + (last - lowest) * index / (count - 1) for index in range(count))


def _mitre_places(corner: _Corner, kept: Fraction) -> tuple[Place, ...]:
    design = corner.design
    thickness, depth = design.bar_thickness, design.bar_depth
    half = thickness / 2
    step = (depth - design.bevel_fall) / mitre_screws(depth)
    long_is_level = design.long_axis == "x"
    places = []
    for index, height in enumerate(mitre_heights(design, kept=kept)):
        z = height - depth
        # The first goes through the long bar, the next through the short one, and so on: each is held by the other.
        through_level = long_is_level == (index % 2 == 0)
        held, received = (corner.level, corner.upright) if through_level else (corner.upright, corner.level)
        start = corner.point(half, Fraction(0), z) if through_level else corner.point(Fraction(0), half, z)
        places.append(
            Place(
                start=start,
                axis=corner.up if through_level else corner.right,
                through=(held.name,),
                into=received.name,
                passed=half,
                room=received.length / 2 - half - TIP_COVER,
                middle_of=thickness,
                grain="end grain",
                duty=DRAWS,
                under_canvas=True,
                slides=(
                    Slide(
                        way=(0, 0, 1), back_by=min(step / 4, max(height - kept, Fraction(0))), on_by=step / 4
                    ),
                ),
                rank=2,
            )
        )
    return tuple(places)


def _gusset_places(corner: _Corner, leg: Fraction) -> list[tuple[Place, ...]]:
    design = corner.design
    half = design.bar_thickness / 2
    # The outer screw keeps to the gusset, whose edge comes in at 45 degrees there.
    first, last = max(leg * Fraction(2, 5), 2 * half + 8), leg - half - 15
    places = []
    for along_level in (True, False):
        for at in (first, last):
            back = -design.bar_depth - GUSSET_THICKNESS
            start = corner.point(at, half, back) if along_level else corner.point(half, at, back)
            bar = corner.level if along_level else corner.upright
            inward: Direction = corner.right if along_level else corner.up
            places.append(
                Place(
                    start=start,
                    axis=(0, 0, 1),
                    through=("gusset",),
                    into=bar.name,
                    passed=GUSSET_THICKNESS,
                    room=design.bar_depth - design.bevel_fall - TIP_COVER - design.lip_radius,
                    middle_of=design.bar_thickness,
                    grain="side grain",
                    duty=COUNTED,
                    under_canvas=False,
                    optional=True,
                    slides=(
                        Slide(
                            way=inward,
                            back_by=Fraction(8),
                            on_by=max(last - first - 25, Fraction(0)) if at == first else Fraction(3),
                        ),
                    ),
                    rank=5,
                )
            )
    return [tuple(places)]


def _block_places(frame: Frame, corner: _Corner) -> tuple[list[tuple[Place, ...]], ExtraPiece]:
    """A block in the corner, screwed from outside: inside, the other bar would stand in the drill's way."""
    design = corner.design
    side, bar = BLOCK_SIDE, design.bar_thickness
    railed = {member.side: member.name for member in frame.members if member.kind is Kind.END_RAIL}
    in_x = bar + (design.rail_thickness if corner.upright.side in railed else 0)
    in_y = bar + (design.rail_thickness if corner.level.side in railed else 0)
    back = -design.bar_depth + design.drop
    height = block_height(design)
    # Towards the block's ends a screw keeps 6 mm of wood; towards its middle it has more room.
    outward = max(height / 4 - 6, Fraction(0))
    groups: list[tuple[Place, ...]] = []
    for index, level in enumerate((True, False)):
        z = back + height * (1 + 2 * index) / 4
        held = corner.level if level else corner.upright
        start = (
            corner.point(in_x + side / 2, Fraction(0), z)
            if level
            else corner.point(Fraction(0), in_y + side / 2, z)
        )
        through = (held.name,) if held.side not in railed else (held.name, railed[held.side])
        groups.append(
            (
                Place(
                    start=start,
                    axis=corner.up if level else corner.right,
                    through=through,
                    into="glue block",
                    passed=in_y if level else in_x,
                    room=side - TIP_COVER,
                    middle_of=min(bar, side),
                    grain="side grain",
                    duty=COUNTED,
                    under_canvas=True,
                    optional=True,
                    slides=(
                        Slide(
                            way=(0, 0, 1),
                            back_by=height / 4 if index else outward,
                            on_by=outward if index else height / 4,
                        ),
                        Slide(
                            way=corner.right if level else corner.up,
                            back_by=side / 2 - 8,
                            on_by=side / 2 - 8,
                        ),
                    ),
                    rank=3,
                ),
            )
        )
    block = ExtraPiece(name="glue block", length=height, width=side, thickness=side, how_many=1)
    if height < LOWEST_SCREWED or (corner.level.side in railed and corner.upright.side in railed):
        # Two end rails and their screws fill such a corner already: the block is only rubbed in.
        groups = []
    return groups, block


def _half_lap(corner: _Corner, members: tuple[str, str], at: Point) -> Meeting:
    design = corner.design
    thickness, depth = design.bar_thickness, design.bar_depth
    # Short bars keep the back half, so that the long bars' lips run through in front.
    level_is_long = design.long_axis == "x"
    short, long = (corner.upright, corner.level) if level_is_long else (corner.level, corner.upright)
    spots = [Fraction(1, 2)] if thickness < 40 else [Fraction(3, 10), Fraction(7, 10)]
    places = tuple(
        Place(
            start=corner.point(thickness * spot, thickness * spot, -depth),
            axis=(0, 0, 1),
            through=(short.name,),
            into=long.name,
            passed=depth / 2,
            room=depth / 2 - design.bevel_fall - TIP_COVER,
            middle_of=thickness,
            grain="side grain",
            duty=COUNTED,
            under_canvas=False,
            optional=True,
            slides=(Slide(way=corner.right, back_by=thickness / 8, on_by=thickness / 8),),
            rank=2,
        )
        for spot in spots
    )
    return Meeting(
        kind=JointKind.HALF_LAP,
        members=members,
        at=at,
        duty=COUNTED,
        why="The lap is side grain on side grain; its screw is counted on only where the distances of the rule fit.",
        places=(places,),
        glue=(GlueFace(length=thickness, width=thickness, end_grain=0),),
        note="halves",
    )


def _root_two(length: Fraction) -> Fraction:
    # 99/70 is √2 to 0.005 %: finer than any saw.
    return length * Fraction(99, 70)
