"""What a frame is made of: members, joints where they meet, seams where they lie side by side, breaks in them.

Axes: x right, y up, z out of the wall; see ``beam`` for a section's own axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from longpoint.errors import Fault, FaultsError, Where
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.joint_stiffness import JointStiffness, SeamStiffness
from longpoint.strength.beams.section import Point, Section
from longpoint.strength.beams.timber import Timber

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One straight piece of timber.

    Attributes:
        name: Its name, one per piece.
        start: Where its node line begins. [mm]
        end: Where it ends. [mm]
        section: Its section.
        across: Direction of the section's ``across``, square to the piece (for a bar: inward).
        timber: Its timber.
        line: Point of the section (across, front) that lies on the node line; the centroid where None. [mm]
        pieces: Least number of elements.
    """

    name: str
    start: Place
    end: Place
    section: Section
    across: Place
    timber: Timber
    line: Point | None = None
    pieces: int = 4

    @property
    def length(self) -> float:
        """Length of the node line. [mm]"""
        return math.dist(self.start, self.end)

    def point(self, at: float) -> Floats:
        """Place on the node line, shape (3,).

        Args:
            at: Distance from the start. [mm]

        Returns:
            x y z. [mm]
        """
        start = np.asarray(self.start, dtype=float)
        return np.asarray(start + np.subtract(self.end, self.start) * (at / self.length))

    def triad(self) -> Floats:
        """Rows along, across, front, right-handed, shape (3, 3)."""
        length = self.length
        a, b, c = ((q - p) / length for p, q in zip(self.start, self.end, strict=True))
        d, e, f = self.across
        lean = a * d + b * e + c * f
        d, e, f = d - a * lean, e - b * lean, f - c * lean
        size = math.hypot(d, e, f)
        d, e, f = d / size, e / size, f / size
        return np.array([(a, b, c), (d, e, f), (b * f - c * e, c * d - a * f, a * e - b * d)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Where one member holds another.

    Attributes:
        first: Name of the member that runs through (or either, at a corner).
        first_at: Distance from its start. [mm]
        second: Name of the member that ends there; the springs follow its axes.
        second_at: Distance from its start. [mm]
        stiffness: The springs.
        point: Where the joint acts; the second member's place on its node line where None. [mm]
    """

    first: str
    first_at: float
    second: str
    second_at: float
    stiffness: JointStiffness
    point: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Two members side by side, held along the second one's whole length.

    Attributes:
        first: Name of the longer member.
        second: Name of the member laid along it.
        stiffness: The springs per length, in the second member's axes.
        face_across: Where the touching face lies in the second's section axes, from its node line. [mm]
    """

    first: str
    second: str
    stiffness: SeamStiffness
    face_across: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Springs between the two sides of a break, in the member's axes.

    Attributes:
        stiffness: The springs.
        across: Where they act, from the node line. [mm]
        front: [mm]
    """

    stiffness: JointStiffness
    across: float = 0.0
    front: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A place where a member is cut through and held together again.

    Attributes:
        member: Its name.
        at: Distance from its start, inside its length. [mm]
        holds: What holds its two sides together, one at least.
    """

    member: str
    at: float
    holds: tuple[Hold, ...]

    def in_the_long_run(self, creep: float) -> Break:
        """The break after years: every hold as a joint of timber with this creep."""
        return replace(
            self,
            holds=tuple(
                replace(hold, stiffness=hold.stiffness.in_the_long_run(creep)) for hold in self.holds
            ),
        )


def check_parts(
    members: tuple[Member, ...],
    joints: tuple[Joint, ...],
    seams: tuple[Seam, ...],
    breaks: tuple[Break, ...] = (),
) -> None:
    """Refuses parts that do not make a frame.

    Args:
        members: The members.
        joints: The joints.
        seams: The seams.
        breaks: The breaks.

    Raises:
        FaultsError: Every fault: a name used twice or unknown, a place beyond an end, a piece without length.
    """
    faults = []
    lengths: dict[str, float] = {}
    for i, member in enumerate(members):
        where = Where(key=f"members[{i}]")
        if member.name in lengths:
            faults.append(Fault("member-named-twice", f"Two members are named {member.name!r}.", where=where))
        lengths[member.name] = member.length
        if not member.length > 0:
            faults.append(Fault("member-no-length", f"{member.name!r} has no length.", where=where))
        elif not _stands_square(member):
            what = f"The section of {member.name!r} points along the piece."
            faults.append(Fault("member-across", what, "Give a direction square to it.", where))
    for i, joint in enumerate(joints):
        for name, at in ((joint.first, joint.first_at), (joint.second, joint.second_at)):
            where = Where(key=f"joints[{i}]")
            if name not in lengths:
                faults.append(Fault("joint-no-member", f"There is no member {name!r}.", where=where))
            elif not -1e-6 <= at <= lengths[name] + 1e-6:
                what = f"{at:g} mm lies beyond {name!r}, which is {lengths[name]:g} mm long."
                faults.append(Fault("joint-beyond-member", what, "Move the joint on to the member.", where))
    for i, seam in enumerate(seams):
        for name in (seam.first, seam.second):
            if name not in lengths:
                what = f"There is no member {name!r}."
                faults.append(Fault("seam-no-member", what, where=Where(key=f"seams[{i}]")))
    for i, cut in enumerate(breaks):
        where = Where(key=f"breaks[{i}]")
        if cut.member not in lengths:
            faults.append(Fault("break-no-member", f"There is no member {cut.member!r}.", where=where))
        elif not cut.holds:
            faults.append(Fault("break-not-held", f"Nothing holds the break in {cut.member!r}.", where=where))
        elif not 1.0 < cut.at < lengths[cut.member] - 1.0:
            what = (
                f"{cut.at:g} mm does not lie inside {cut.member!r}, which is {lengths[cut.member]:g} mm long."
            )
            faults.append(Fault("break-beyond-member", what, "Move the break into the member.", where))
    if faults:
        raise FaultsError(faults)


def _stands_square(member: Member) -> bool:
    along = [b - a for a, b in zip(member.start, member.end, strict=True)]
    size = math.hypot(*member.across)
    lean = abs(sum(a * b for a, b in zip(along, member.across, strict=True))) / member.length
    return lean < size * (1 - 1e-9)
