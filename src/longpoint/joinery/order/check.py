"""Checks an order of building from scratch, forwards, and says what is in the way."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.joinery.order.assembly import Assembly
from longpoint.joinery.order.placement import Placement, Stuck
from longpoint.joinery.order.reach import Obstacle


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


def why_stuck(assembly: Assembly, usual: tuple[str, ...], there: frozenset[str]) -> tuple[Stuck, ...]:
    """What keeps the parts that are left from being taken apart, the innermost first.

    Args:
        assembly: The frame with its screws.
        usual: Its members in the trade's order.
        there: Those that could not be taken away.
    """
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
