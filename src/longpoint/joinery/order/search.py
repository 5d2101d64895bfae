"""The order of building, found by taking the frame apart.

What is free to leave, and whose screws can be reached while everything else stands, goes first; the reverse is an
order of building. Taking a part away never blocks another, so a greedy search over single parts is complete: if any
part-by-part order exists, this finds one, and of those the one nearest to the trade's habit. Where no single part
can go, two or three that are screwed together (a cross rail with its middle pieces) are tried as one: they are made
up on the bench beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from longpoint.frame.halves import half_frames
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.joint import Joint
from longpoint.joinery.order.assembly import FROM_THE_BACK, Assembly, joints_within, where_from
from longpoint.joinery.order.check import order_problems, why_stuck
from longpoint.joinery.order.placement import BuildOrder, Placement, Stuck
from longpoint.model.shop import Drill

LARGEST_GROUP = 4
"""Most parts that are made up together before they go in; more are unwieldy."""
INNERMOST = (Kind.CROSS_RAIL, Kind.MIDDLE_PIECE)


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
            return tuple(reversed(taken)), why_stuck(assembly, usual, there)
        taken.append(placement)
        there -= frozenset(placement.members)
    return tuple(reversed(taken)), ()


def _next_out(assembly: Assembly, usual: tuple[str, ...], there: frozenset[str]) -> Placement | None:
    """What can go: the last of the usual order that is still held; a few together before the outer frame is opened."""
    latest_first = [name for name in reversed(usual) if name in there]
    innermost = [name for name in latest_first if assembly.kind(name) in INNERMOST]
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
    inner = [name for name in usual if name in there and assembly.kind(name) is not Kind.BAR]
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
        if assembly.kind(name) is Kind.END_RAIL and (bar := assembly.bar_beside(name)) in there:
            yield frozenset((bar, name))
    if len(inner) > LARGEST_GROUP:
        yield frozenset(inner)
