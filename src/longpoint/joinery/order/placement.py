"""An order of building as values: what is put in, from where, which screws are driven then, and what cannot go."""

from __future__ import annotations

from dataclasses import dataclass


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
