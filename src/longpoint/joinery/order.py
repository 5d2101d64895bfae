"""The order of building, found by taking the frame apart.

What is free to leave, and whose screws can be reached while everything else stands, goes first; the reverse is an
order of building. Taking a part away never blocks another, so a greedy search over single parts is complete: if any
part-by-part order exists, this finds one, and of those the one nearest to the trade's habit. Where no single part
can go, two or three that are screwed together (a cross rail with its middle pieces) are tried as one: they are made
up on the bench beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from longpoint.frame.halves import half_frames
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.corner_pieces import corner_pieces
from longpoint.joinery.joint import Direction, Fixing, Joint
from longpoint.joinery.long_bars import IN_LENGTH
from longpoint.joinery.reach import Obstacle, obstacles
from longpoint.joinery.solid import Prism, is_blocked, solids_of
from longpoint.model.shop import Drill

LARGEST_GROUP = 4
"""Most parts that are made up together before they go in; more are unwieldy."""
FROM_THE_BACK: Direction = (0, 0, -1)
FROM_THE_FRONT: Direction = (0, 0, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One part, or a few made up beforehand, put into the frame.

    Attributes:
        members: What is put in.
        from_where: Direction it comes from: back, front, left, right, bottom or top.
        driven: Names of the screws driven when it is in.
        made_up: How its members are put together first, where there are several.
    """

    members: tuple[str, ...]
    from_where: str
    driven: tuple[str, ...]
    made_up: tuple[Placement, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stuck:
    """A part that cannot go where an order puts it.

    Attributes:
        member: The part.
        why: What is in the way, one sentence.
        fixing: The screw that is not reached; empty: the part itself cannot go in.
        obstacle: The member in the way.
    """

    member: str
    why: str
    fixing: str
    obstacle: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildOrder:
    """An order of building.

    Attributes:
        placements: In the order of building; together they hold every member once, unless something is stuck.
        usual: The trade's usual order of the same members.
        usual_fails: What goes wrong in the usual order; empty where it works.
        stuck: What no order found can put in; empty: the order works.
    """

    placements: tuple[Placement, ...]
    usual: tuple[str, ...]
    usual_fails: tuple[Stuck, ...]
    stuck: tuple[Stuck, ...]

    @property
    def members(self) -> tuple[str, ...]:
        """Every member in the order it joins the frame."""
        return tuple(name for placement in self.placements for name in placement.members)


class Assembly:
    """A frame with its screws, asked what can be put where; holds nothing that changes."""

    def __init__(self, frame: Frame, joints: Iterable[Joint], *, drill: Drill) -> None:
        joints = tuple(joints)
        self._frame = frame
        self._drill = drill
        self.pieces = corner_pieces(frame, joints)
        self.solids: dict[str, tuple[Prism, ...]] = solids_of(frame) | {
            piece.name: (piece.prism,) for piece in self.pieces
        }
        self.names = tuple(member.name for member in frame.members)
        known = set(self.names)
        self._touched: list[tuple[Fixing, frozenset[str]]] = [
            # A gusset's screw waits for both bars, though it enters only one.
            (fixing, frozenset((*joint.members, *fixing.members)) & known)
            for joint in joints
            for fixing in joint.fixings
        ]

    def ways_out(self, name: str) -> tuple[Direction, ...]:
        """Directions in which a member may leave: inner parts only to the back, away from the bench."""
        member = self._frame.named(name)
        if member.kind is not Kind.BAR:
            return (FROM_THE_BACK,)
        outward: dict[str | None, Direction] = {
            "left": (-1, 0, 0),
            "right": (1, 0, 0),
            "bottom": (0, -1, 0),
            "top": (0, 1, 0),
        }
        return (outward[member.side], FROM_THE_FRONT, FROM_THE_BACK)

    def driven_with(self, group: frozenset[str], there: frozenset[str]) -> tuple[Fixing, ...]:
        """Screws driven when a group joins what is there: they touch both, or lie within a single part's joint."""
        return tuple(
            fixing
            for fixing, touched in self._touched
            if touched & group and touched <= group | there and not touched <= group
        )

    def within(self, group: frozenset[str]) -> tuple[Fixing, ...]:
        """Screws all of whose members are in a group."""
        return tuple(fixing for fixing, touched in self._touched if touched <= group)

    def is_held(self, name: str, there: frozenset[str]) -> bool:
        """Whether some screw fixes a member to what is there."""
        return bool(self.driven_with(frozenset((name,)), there - {name}))

    def pieces_on(self, there: frozenset[str]) -> tuple[str, ...]:
        """Glue blocks that are in their corners when these members stand; gussets come when all do."""
        return tuple(
            piece.name
            for piece in self.pieces
            if piece.needs <= there and (not piece.last or there >= set(self.names))
        )

    def unreached(
        self, fixings: Iterable[Fixing], there: Iterable[str], *, coming: frozenset[str] = frozenset()
    ) -> tuple[Obstacle, ...]:
        """What stands in the drill's way.

        Args:
            fixings: The screws.
            there: Members that stand.
            coming: Those of them that have only just come: no glue block waits for them yet.
        """
        stand = frozenset(there)
        standing = [name for name in self.names if name in stand]
        found: list[Obstacle] = []
        for fixing in fixings:
            late = any(piece.last and piece.what in fixing.members for piece in self.pieces)
            # A gusset is screwed on when everything stands; the gussets of the other corners may be on.
            names = (
                [*self.names, *self.pieces_on(frozenset(self.names))]
                if late
                else [*standing, *self.pieces_on(stand - coming)]
            )
            found += obstacles(fixing, self.solids, drill=self._drill, there=names)
        return tuple(found)

    def way_out(self, group: frozenset[str], rest: frozenset[str]) -> Direction | None:
        """A way on which a group leaves the rest as one; None: it is caught."""
        moving = tuple(prism for name in self.names if name in group for prism in self.solids[name])
        standing = (*(name for name in self.names if name in rest), *self.pieces_on(rest))
        others = tuple(prism for name in standing for prism in self.solids[name])
        first = next(name for name in self.names if name in group)
        bars = [name for name in self.names if name in group and self._frame.named(name).kind is Kind.BAR]
        # A bar with its end rail comes from outside, as the bar does.
        ways = self.ways_out(bars[0] if bars else first)
        return next((way for way in ways if not is_blocked(moving, others, way)), None)


def usual_order(frame: Frame) -> tuple[str, ...]:
    """The trade's order: bars, end rails, cross rails, middle pieces on the line, those that stand aside last."""
    sides = ("bottom", "left", "right", "top")
    bars = sorted(frame.of_kind(Kind.BAR), key=lambda bar: sides.index(bar.side or ""))
    pieces = frame.of_kind(Kind.MIDDLE_PIECE)
    return (
        *(bar.name for bar in bars),
        *(rail.name for rail in frame.of_kind(Kind.END_RAIL)),
        *(rail.name for rail in frame.of_kind(Kind.CROSS_RAIL)),
        *(piece.name for piece in pieces if not piece.shifted),
        *(piece.name for piece in pieces if piece.shifted),
    )


def order_problems(assembly: Assembly, order: Sequence[Placement]) -> tuple[Stuck, ...]:
    """Checks an order from scratch, forwards: everything goes in, every screw is driven once and is reached.

    Args:
        assembly: The frame with its screws.
        order: Placements in the order of building.

    Returns:
        What fails; none: the order works.
    """
    found: list[Stuck] = []
    there: frozenset[str] = frozenset()
    driven: set[str] = set()
    for placement in order:
        group = frozenset(placement.members)
        if placement.made_up:
            found += order_problems(assembly, placement.made_up)
            driven |= {fixing.name for fixing in assembly.within(group)}
        if there and assembly.way_out(group, there) is None:
            found.append(_caught(assembly, group, there))
        now = assembly.driven_with(group, there)
        for obstacle in assembly.unreached(now, group | there, coming=group):
            found.append(_not_reached(obstacle, placement.members[0]))
        driven |= {fixing.name for fixing in now}
        there |= group
    missed = [fixing.name for fixing in assembly.within(there) if fixing.name not in driven]
    found += [
        Stuck(member=name, why=f"screw {name} is never driven", fixing=name, obstacle="") for name in missed
    ]
    return tuple(found)


def singly(assembly: Assembly, names: Sequence[str]) -> tuple[Placement, ...]:
    """An order that puts in one part after another, whether or not it works."""
    there: frozenset[str] = frozenset()
    placements = []
    for name in names:
        group = frozenset((name,))
        way = assembly.way_out(group, there) or FROM_THE_BACK
        driven = tuple(fixing.name for fixing in assembly.driven_with(group, there))
        placements.append(Placement(members=(name,), from_where=where_from(way), driven=driven))
        there |= group
    return tuple(placements)


def find_order(frame: Frame, joints: Iterable[Joint], *, drill: Drill) -> BuildOrder:
    """An order of building that works, nearest to the trade's.

    Args:
        frame: The frame as it is built. In two halves each has an order of its own, the first half's first.
        joints: Its joints with their screws.
        drill: The drill that must reach them.

    Returns:
        The order; ``stuck`` says what could not be put in by any order tried.
    """
    found = [_order_of(half, joints_within(half, joints), drill=drill) for half in half_frames(frame)]
    return BuildOrder(
        placements=tuple(each for order in found for each in order.placements),
        usual=tuple(each for order in found for each in order.usual),
        usual_fails=tuple(each for order in found for each in order.usual_fails),
        stuck=tuple(each for order in found for each in order.stuck),
    )


def joints_within(frame: Frame, joints: Iterable[Joint]) -> tuple[Joint, ...]:
    """The joints that are closed while a frame, or one half of it, is put together.

    Joins within a bar are made before, a seam is bolted afterwards.
    """
    names = {member.name for member in frame.members}
    return tuple(
        joint
        for joint in joints
        if set(joint.members) & names and not joint.bolts and not joint.dowels and joint.kind not in IN_LENGTH
    )


def _order_of(frame: Frame, joints: tuple[Joint, ...], *, drill: Drill) -> BuildOrder:
    assembly = Assembly(frame, joints, drill=drill)
    usual = usual_order(frame)
    fails = order_problems(assembly, singly(assembly, usual))
    placements, stuck = _apart(assembly, usual, frozenset(usual))
    return BuildOrder(placements=placements, usual=usual, usual_fails=fails, stuck=stuck)


def _apart(
    assembly: Assembly, usual: tuple[str, ...], parts: frozenset[str]
) -> tuple[tuple[Placement, ...], tuple[Stuck, ...]]:
    """Takes parts away one after another; the reverse is the order of building."""
    there = parts
    taken: list[Placement] = []
    while there:
        placement = _next_out(assembly, usual, there)
        if placement is None:
            return tuple(reversed(taken)), _why_stuck(assembly, usual, there)
        taken.append(placement)
        there -= frozenset(placement.members)
    return tuple(reversed(taken)), ()


def _next_out(assembly: Assembly, usual: tuple[str, ...], there: frozenset[str]) -> Placement | None:
    """What can go: the last of the usual order that is still held; a few together before the outer frame is opened."""
    latest_first = [name for name in reversed(usual) if name in there]
    innermost = [name for name in latest_first if name.startswith(("middle", "cross"))]
    placement = _held_out(assembly, innermost, there)
    if placement is not None:
        return placement
    outer = [name for name in latest_first if name not in innermost]
    if not innermost:
        placement = _held_out(assembly, outer, there)
    for group in () if placement else _groups(assembly, usual, there):
        placement = _group_out(assembly, usual, group, there)
        if placement is not None:
            break
    placement = placement or _held_out(assembly, outer, there)
    if placement is not None:
        return placement
    return next((one for name in latest_first if (one := _single_out(assembly, name, there))), None)


def _held_out(assembly: Assembly, names: list[str], there: frozenset[str]) -> Placement | None:
    """The first of some parts that can go and that screws hold to the rest, so that it is not left lying loose."""
    for name in names:
        if len(there) > 1 and not assembly.is_held(name, there):
            continue
        placement = _single_out(assembly, name, there)
        if placement is not None:
            return placement
    return None


def _single_out(assembly: Assembly, name: str, there: frozenset[str]) -> Placement | None:
    group = frozenset((name,))
    rest = there - group
    driven = assembly.driven_with(group, rest)
    if assembly.unreached(driven, there, coming=group):
        return None
    way = assembly.way_out(group, rest)
    if way is None:
        return None
    return Placement(
        members=(name,), from_where=where_from(way), driven=tuple(fixing.name for fixing in driven)
    )


def _group_out(
    assembly: Assembly, usual: tuple[str, ...], group: frozenset[str], there: frozenset[str]
) -> Placement | None:
    rest = there - group
    driven = assembly.driven_with(group, rest)
    if not rest or assembly.unreached(driven, there, coming=group):
        return None
    way = assembly.way_out(group, rest)
    if way is None:
        return None
    made_up, stuck = _apart(assembly, tuple(name for name in usual if name in group), group)
    if stuck or any(not each.driven for each in made_up[1:]):
        return None
    return Placement(
        members=tuple(name for each in made_up for name in each.members),
        from_where=where_from(way),
        driven=tuple(fixing.name for fixing in driven),
        made_up=made_up,
    )


def _groups(assembly: Assembly, usual: tuple[str, ...], there: frozenset[str]) -> Iterable[frozenset[str]]:
    """Small groups that screws hold together, small ones first: inner parts, then a bar with its end rail."""
    inner = [name for name in usual if name in there and " bar" not in name]
    size: list[frozenset[str]] = [frozenset((name,)) for name in inner]
    for _ in range(LARGEST_GROUP - 1):
        grown = {
            group | {name}: None
            for group in size
            for name in inner
            if name not in group and assembly.driven_with(frozenset((name,)), group)
        }
        size = list(grown)
        yield from size
    for name in inner:
        bar = name.replace(" end rail", " bar")
        if bar != name and bar in there:
            yield frozenset((bar, name))
    if len(inner) > LARGEST_GROUP:
        yield frozenset(inner)


def _why_stuck(assembly: Assembly, usual: tuple[str, ...], there: frozenset[str]) -> tuple[Stuck, ...]:
    found: list[Stuck] = []
    # The innermost first: the rest only waits for it.
    for name in reversed(usual):
        if name not in there:
            continue
        group = frozenset((name,))
        driven = assembly.driven_with(group, there - group)
        found += [
            _not_reached(obstacle, name) for obstacle in assembly.unreached(driven, there, coming=group)
        ]
        if assembly.way_out(group, there - group) is None:
            found.append(_caught(assembly, group, there - group))
    unique = {(stuck.fixing, stuck.obstacle): stuck for stuck in reversed(found)}
    return tuple(reversed(unique.values()))


def _caught(assembly: Assembly, group: frozenset[str], rest: frozenset[str]) -> Stuck:
    blockers = [
        name
        for name in assembly.names
        if name in rest and assembly.way_out(group, frozenset((name,))) is None
    ]
    name = next(each for each in assembly.names if each in group)
    blockers += [
        piece.name
        for piece in assembly.pieces
        if piece.name in assembly.pieces_on(rest)
        and not blockers
        and assembly.way_out(group, piece.needs) is None
    ]
    by = " and ".join(blockers) or "what is there"
    return Stuck(member=name, why=f"the {name} cannot go in: {by} in the way", fixing="", obstacle=by)


def _not_reached(obstacle: Obstacle, member: str) -> Stuck:
    return Stuck(
        member=member,
        why=f"the drill does not reach screw {obstacle.fixing}: the {obstacle.member} in the way",
        fixing=obstacle.fixing,
        obstacle=obstacle.member,
    )


def where_from(way: Direction) -> str:
    """The side a part comes from, when it leaves that way."""
    names = {
        (-1, 0, 0): "left",
        (1, 0, 0): "right",
        (0, -1, 0): "bottom",
        (0, 1, 0): "top",
        (0, 0, -1): "back",
        (0, 0, 1): "front",
    }
    return names[way]
