"""One entry point: a frame in, everything about putting it together out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.halves import as_built
from longpoint.frame.members import Frame, Kind
from longpoint.frame.parts import Part
from longpoint.joinery.glue import GlueLine, Sundry, glue_lines, sundries_of
from longpoint.joinery.joints.corner_pieces import corner_faults
from longpoint.joinery.joints.joint import ExtraPiece, Fixing, HoleMark, Joint, JointKind, ScrewSize
from longpoint.joinery.joints.joints_of import joints_of, lacks_screws
from longpoint.joinery.joints.seam import seam_faults, seam_joints
from longpoint.joinery.order.placement import BuildOrder
from longpoint.joinery.order.reach import needed_shift, room_behind
from longpoint.joinery.order.search import find_order
from longpoint.joinery.screws.holes import hole_marks
from longpoint.joinery.screws.on_sale import sizes_on_sale
from longpoint.joinery.screws.strength import SOFTWOOD, Wood
from longpoint.joinery.steps.building import steps_of
from longpoint.joinery.steps.step import Step
from longpoint.joinery.steps.telling import StepNeeds
from longpoint.model.hardware import Screw
from longpoint.model.shop import Drill
from longpoint.units import LengthStyle


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewCount:
    """How many screws of one size one frame takes.

    Attributes:
        screw: The size.
        count: Per frame.
        kinds: The kinds of joint they are for.
    """

    screw: ScrewSize
    count: int
    kinds: tuple[JointKind, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hardware:
    """Bolts, washers, nuts and dowels of one size for one frame.

    Attributes:
        kind: What it is: ``bolt``, ``large-washer``, ``nut`` or ``dowel``.
        size: Its size, e.g. ``M8 × 70 mm``.
        count: Per frame.
    """

    kind: str
    size: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSheet:
    """Joints that are made alike: one section on the joint page.

    Attributes:
        kind: Kind of joint.
        example: Name of the joint that is drawn.
        joints: Names of all alike.
        screws: Name of the screw and how many one joint takes of it.
        passed: Timber its first screw passes; 0 without screws. [mm]
        thread: How far that reaches into the receiving part. [mm]
    """

    kind: JointKind
    example: str
    joints: tuple[str, ...]
    screws: tuple[tuple[str, int], ...]
    passed: Fraction
    thread: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """A middle piece that stands aside: its thrust bends the rails it meets.

    Attributes:
        piece: The middle piece.
        rails: The rails whose faces it presses.
        by: How far off the line, signed. [mm]
    """

    piece: str
    rails: tuple[str, ...]
    by: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildPlan:
    """Everything about putting one frame together.

    Attributes:
        work: Name of the work.
        frame: The frame as it is built: in two halves, each long bar is two members.
        joints: Every joint with its screws.
        sheets: Joints made alike, for the joint page.
        holes: Every hole of every part.
        screws: Screws by size.
        hardware: Bolts, washers, nuts and dowels.
        order: The order of building.
        steps: The steps.
        glue: Glue by kind of joint.
        glue_grams: In all; estimate. [g]
        extra: Small pieces that joints ask for, with how many a frame takes.
        sundries: What else lies on the bench.
        aside: Middle pieces that stand aside.
        minutes: All steps; estimate. [min]
        cautions: What a person should know.
        faults: What makes the frame impossible to build as designed.
    """

    work: str
    frame: Frame
    joints: tuple[Joint, ...]
    sheets: tuple[JointSheet, ...]
    holes: tuple[HoleMark, ...]
    screws: tuple[ScrewCount, ...]
    hardware: tuple[Hardware, ...]
    order: BuildOrder
    steps: tuple[Step, ...]
    glue: tuple[GlueLine, ...]
    glue_grams: float
    extra: tuple[ExtraPiece, ...]
    sundries: tuple[Sundry, ...]
    aside: tuple[Aside, ...]
    minutes: float
    cautions: tuple[Caution, ...]
    faults: tuple[Fault, ...]

    def joint(self, name: str) -> Joint:
        """The joint of that name.

        Raises:
            KeyError: If there is none.
        """
        for joint in self.joints:
            if joint.name == name:
                return joint
        raise KeyError(name)

    def holes_in(self, member: str) -> tuple[HoleMark, ...]:
        """The holes of one member, from its reference end."""
        return tuple(mark for mark in self.holes if mark.member == member)


def build_plan_of(
    frame: Frame,
    *,
    work: str,
    key: str,
    screws: Iterable[Screw],
    also: Iterable[Screw] = (),
    drill: Drill,
    style: LengthStyle,
    parts: Sequence[Part] = (),
    wood: Wood = SOFTWOOD,
    open_minutes: float = 8.0,
    set_minutes: float = 60.0,
    people: int = 1,
    kept: Fraction = Fraction(0),
    along: int | None = None,
) -> BuildPlan:
    """Everything about putting one frame together.

    Args:
        frame: A frame without faults, its bars whole.
        work: Its name.
        key: Path of the work in the batch file, e.g. ``work[2]``.
        screws: Screws on sale.
        also: Screws that are assumed to be on sale, for places where none of the others fits.
        drill: The drill and driver.
        style: How lengths are shown in texts.
        parts: Its parts, for their marks.
        wood: What it is made of.
        open_minutes: Open time of the glue. [min]
        set_minutes: Time under pressure. [min]
        people: How many can lift together.
        kept: Wood at the back that staples need. [mm]
        along: Screws along an end rail; None: as its length asks.

    Returns:
        The plan; its ``faults`` say what stands against building it. The same inputs give the same plan.
    """
    frame = as_built(frame)
    sizes = (*sizes_on_sale(screws), *sizes_on_sale(also, assumed=True))
    found = joints_of(
        frame,
        sizes=sizes,
        drill=drill,
        wood=wood,
        style=style,
        work=work,
        key=key,
        kept=kept,
        along=along,
    )
    joints = (*found.joints, *seam_joints(frame, found.fixings, first=len(found.joints) + 1))
    order = find_order(frame, joints, drill=drill)
    holes = hole_marks(frame, joints, parts=parts)
    faults = (
        *found.faults,
        *corner_faults(frame, joints, work=work, key=key),
        *seam_faults(frame, joints, style=style, work=work, key=key),
        *_order_faults(frame, order, found.fixings, drill=drill, style=style, work=work, key=key),
    )
    cautions = list(found.cautions)
    if order.usual_fails and not order.stuck:
        cautions.append(Caution("unusual-order", about=work))
    steps: tuple[Step, ...] = ()
    if not order.stuck:
        steps = steps_of(
            StepNeeds(
                frame=frame,
                joints=joints,
                order=order,
                parts=parts,
                holes=holes,
                drill=drill,
                style=style,
                work=work,
                open_minutes=open_minutes,
                set_minutes=set_minutes,
                people=people,
            )
        )
    glue = glue_lines(joints)
    perimeter = 2 * (frame.design.width + frame.design.height)
    return BuildPlan(
        work=work,
        frame=frame,
        joints=joints,
        sheets=joint_sheets(joints),
        holes=holes,
        screws=screw_counts(joints),
        hardware=hardware_of(joints),
        order=order,
        steps=steps,
        glue=glue,
        glue_grams=round(sum(line.grams for line in glue), 1),
        extra=extra_pieces(joints),
        sundries=sundries_of(joints, lip=perimeter),
        aside=_aside(frame),
        minutes=round(sum(step.minutes for step in steps), 1),
        cautions=tuple(cautions),
        faults=faults,
    )


def can_be_screwed(
    frame: Frame,
    *,
    sizes: tuple[ScrewSize, ...],
    drill: Drill,
    kept: Fraction = Fraction(0),
    along: int | None = None,
    fits: dict[tuple[object, ...], bool],
) -> bool:
    """Whether there is a screw for every place that needs one; where not, `build_plan_of` finds a fault.

    Args:
        frame: A frame without faults, its bars whole.
        sizes: Screws on sale, and those that are assumed to be.
        drill: The drill and driver.
        kept: Wood at the back that staples need. [mm]
        along: Screws along an end rail; None: as its length asks.
        fits: Which places take one of these screws, by what they ask, as far as it was worked out; filled.
    """
    return not lacks_screws(as_built(frame), sizes=sizes, drill=drill, kept=kept, along=along, fits=fits)


def screw_counts(joints: Iterable[Joint]) -> tuple[ScrewCount, ...]:
    """Screws by size, long ones last."""
    found: dict[ScrewSize, list[JointKind]] = {}
    for joint in joints:
        for fixing in joint.fixings:
            found.setdefault(fixing.screw, []).append(joint.kind)
    ordered = sorted(found, key=lambda size: (size.length, size.diameter, size.name))
    return tuple(
        ScrewCount(screw=size, count=len(found[size]), kinds=tuple(dict.fromkeys(found[size])))
        for size in ordered
    )


def hardware_of(joints: Iterable[Joint]) -> tuple[Hardware, ...]:
    """Bolts with two washers and a nut each, and dowels."""
    found: dict[tuple[str, str], int] = {}

    def add(kind: str, size: str, count: int) -> None:
        found[kind, size] = found.get((kind, size), 0) + count

    for joint in joints:
        for bolt in joint.bolts:
            add("bolt", bolt.size, 1)
            add("large-washer", f"M{float(bolt.diameter):g}", 2)
            add("nut", f"M{float(bolt.diameter):g}", 1)
        for dowel in joint.dowels:
            add("dowel", f"{float(dowel.diameter):g} × {float(dowel.length):g} mm", 1)
    return tuple(Hardware(kind=kind, size=size, count=count) for (kind, size), count in found.items())


def joint_sheets(joints: Iterable[Joint]) -> tuple[JointSheet, ...]:
    """Joints made alike, in the order of the first of each."""
    groups: dict[tuple[object, ...], list[Joint]] = {}
    for joint in joints:
        if joint.kind is JointKind.GLUED_UP:  # nothing to draw: two faces and clamps
            continue
        counts: dict[str, int] = {}
        for fixing in joint.fixings:
            counts[fixing.screw.name] = counts.get(fixing.screw.name, 0) + 1
        passed = joint.fixings[0].passed if joint.fixings else Fraction(0)
        groups.setdefault((joint.kind, tuple(counts.items()), passed), []).append(joint)
    sheets = []
    for (kind, counts_of, through), alike in groups.items():
        assert isinstance(kind, JointKind)
        assert isinstance(counts_of, tuple)
        assert isinstance(through, Fraction)
        sheets.append(
            JointSheet(
                kind=kind,
                example=alike[0].name,
                joints=tuple(joint.name for joint in alike),
                screws=counts_of,
                passed=through,
                thread=alike[0].fixings[0].thread if alike[0].fixings else Fraction(0),
            )
        )
    return tuple(sheets)


def extra_pieces(joints: Iterable[Joint]) -> tuple[ExtraPiece, ...]:
    """Small pieces by size, with how many one frame takes."""
    found: dict[tuple[object, ...], ExtraPiece] = {}
    for joint in joints:
        for piece in joint.extra:
            size = (piece.name, piece.length, piece.width, piece.thickness)
            before = found[size].how_many if size in found else 0
            found[size] = ExtraPiece(
                name=piece.name,
                length=piece.length,
                width=piece.width,
                thickness=piece.thickness,
                how_many=piece.how_many + before,
                shape=piece.shape,
            )
    return tuple(found.values())


def _aside(frame: Frame) -> tuple[Aside, ...]:
    found = []
    for piece in frame.of_kind(Kind.MIDDLE_PIECE):
        if not piece.shifted:
            continue
        rails = tuple(
            rail.name
            for rail in frame.members
            if rail.kind is not Kind.BAR
            and rail.axis != piece.axis
            and (piece.start == rail.high or piece.stop == rail.low)
        )
        found.append(Aside(piece=piece.name, rails=rails, by=piece.shifted))
    return tuple(found)


def _order_faults(
    frame: Frame,
    order: BuildOrder,
    fixings: Sequence[Fixing],
    *,
    drill: Drill,
    style: LengthStyle,
    work: str,
    key: str,
) -> tuple[Fault, ...]:
    if not order.stuck:
        return ()
    design = frame.design
    show = style.finer().show
    pieces = [stuck for stuck in order.stuck if stuck.obstacle.startswith("middle")]
    shift = needed_shift(rail_thickness=design.rail_thickness, drill=drill)
    if design.middle_pieces and not design.halved and pieces and design.shift < shift:
        return (
            Fault(
                "shift-too-small",
                f"{work}: with middle pieces {show(design.shift)} aside the drill does not reach "
                f"{', '.join(dict.fromkeys(stuck.fixing for stuck in pieces))}: {pieces[0].why}.",
                f"Move every second one {show(shift)} aside (half a rail's thickness and the chuck's radius), or halve "
                "the crossings.",
                Where(f"{key}.inside.shift"),
            ),
        )
    first = order.stuck[0]
    room = max(
        (room_behind(each, drill=drill) for each in fixings if each.name in {s.fixing for s in order.stuck}),
        default=drill.length,
    )
    return (
        Fault(
            "no-order-of-building",
            f"{work}: no order of building was found: {first.why}"
            + (f", and {len(order.stuck) - 1} more like it" if len(order.stuck) > 1 else "")
            + ".",
            f"Leave bays of {show(room)} or more, so that the drill stands straight behind every screw; use a shorter "
            "drill or an angle drive and correct shop.drill; or leave out the middle pieces.",
            Where(f"{key}.inside"),
        ),
    )
