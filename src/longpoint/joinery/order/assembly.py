"""A frame with its screws, asked what can be put where and what a driver reaches while other parts stand."""

from __future__ import annotations

from collections.abc import Iterable

from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.corner_pieces import corner_pieces
from longpoint.joinery.joints.joint import Direction, Fixing, Joint
from longpoint.joinery.joints.long_bars import ON_THE_BENCH
from longpoint.joinery.order.reach import Obstacle, obstacles
from longpoint.joinery.order.solid import Prism, is_blocked, solids_of
from longpoint.model.shop import Drill

FROM_THE_BACK: Direction = (0, 0, -1)
FROM_THE_FRONT: Direction = (0, 0, 1)


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

    def kind(self, name: str) -> Kind:
        """What a member is."""
        return self._frame.named(name).kind

    def bar_beside(self, end_rail: str) -> str:
        """The bar an end rail lies along."""
        side = self._frame.named(end_rail).side
        return next(bar.name for bar in self._frame.of_kind(Kind.BAR) if bar.side == side)

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
        bars = [name for name in self.names if name in group and self.kind(name) is Kind.BAR]
        # A bar with its end rail comes from outside, as the bar does.
        ways = self.ways_out(bars[0] if bars else first)
        return next((way for way in ways if not is_blocked(moving, others, way)), None)


def joints_within(frame: Frame, joints: Iterable[Joint]) -> tuple[Joint, ...]:
    """The joints that are closed while a frame, or one half of it, is put together.

    Joins within a bar are made before, a seam is bolted afterwards.
    """
    names = {member.name for member in frame.members}
    return tuple(
        joint
        for joint in joints
        if set(joint.members) & names
        and not joint.bolts
        and not joint.dowels
        and joint.kind not in ON_THE_BENCH
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
