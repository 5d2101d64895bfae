"""What the writers of steps share: the needs of a frame, how things are called, and estimates of time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.frame.members import Frame
from longpoint.frame.parts import Part, marks_of_members
from longpoint.joinery.joint import HoleMark, Joint
from longpoint.joinery.placement import BuildOrder
from longpoint.joinery.step import GlueClock, Lying, Step
from longpoint.model.shop import Drill
from longpoint.units import LengthStyle

MARK_MINUTES = 0.5  # per hole; estimate
BORE_MINUTES = 0.7  # per hole; estimate
DRIVE_MINUTES = 0.6  # per screw, pilot bored through the clearance hole; estimate
PULL_UP_MINUTES = 0.25  # per screw that was in before, dry; estimate
CUT_MINUTES = 4.0  # per piece measured on the frame and cut; estimate
CLOSE_MINUTES = 0.4  # per joint brought together; estimate
CHECK_MINUTES = 2.0  # two diagonals, or two sightings; estimate
TURN_MINUTES = 2.0
TWO_PEOPLE_FROM = 1500
"""Longest side from which turning over takes two; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepNeeds:
    """What the steps are made from.

    Attributes:
        frame: The frame.
        joints: Its joints.
        order: Its order of building.
        parts: Its parts.
        holes: Its hole marks.
        drill: The drill.
        style: How lengths are shown.
        work: Name of the work.
        open_minutes: Open time of the glue. [min]
        set_minutes: Time under pressure. [min]
        people: How many can lift together.
    """

    frame: Frame
    joints: tuple[Joint, ...]
    order: BuildOrder
    parts: Sequence[Part]
    holes: tuple[HoleMark, ...]
    drill: Drill
    style: LengthStyle
    work: str
    open_minutes: float
    set_minutes: float
    people: int


class Telling:
    """Holds the needs of one frame and says how its things are called; set once and only read."""

    def __init__(self, needs: StepNeeds) -> None:
        self.needs = needs
        self.design = needs.frame.design
        self.mark_of = marks_of_members(tuple(needs.parts))
        self.fixings = {fixing.name: fixing for joint in needs.joints for fixing in joint.fixings}
        self.joint_of = {joint.name: joint for joint in needs.joints}
        rails = self.design.seam_rails or ()
        self.doubled = frozenset(f"cross rail {index + 1}" for index in rails)

    def show(self, length: Fraction | float) -> str:
        """A length as the user reads it."""
        return self.needs.style.show(length)

    def part(self, length: Fraction | float) -> str:
        """A part's length as every list of parts has it: rounded up."""
        return self.needs.style.show(length, rounding="up")

    def fine(self, length: Fraction | float) -> str:
        """A small length, finer."""
        return self.needs.style.finer().show(length)

    def called(self, names: Iterable[str]) -> str:
        """Members with the marks of their parts."""
        return ", ".join(f"{name} ({self.mark_of[name]})" if name in self.mark_of else name for name in names)

    def marks(self, names: Iterable[str]) -> tuple[str, ...]:
        """Marks of the parts that members are made from, each once."""
        return tuple(dict.fromkeys(self.mark_of[name] for name in names if name in self.mark_of))

    def screws_said(self, names: Iterable[str]) -> str:
        """Screws by size, in words."""
        counts: dict[str, int] = {}
        for name in names:
            counts[self.fixings[name].screw.name] = counts.get(self.fixings[name].screw.name, 0) + 1
        return ", ".join(f"{count} × {screw}" for screw, count in counts.items())

    def boring(self, names: Sequence[str]) -> tuple[str, ...]:
        """That parts are bored once they are cut, with how many holes and how high; nothing where they have none."""
        marks = [
            mark
            for mark in self.needs.holes
            if mark.member in names and mark.purpose == "clearance hole" and not mark.face.endswith("end")
        ]
        if not marks:
            return ()
        heights = ", ".join(self.fine(height) for height in sorted({mark.from_back for mark in marks}))
        return (
            f"Then mark them from their rods and bore and countersink the clearance holes, {len(marks)} in all, "
            f"{heights} from their own back edge.",
        )

    def boring_minutes(self, names: Sequence[str]) -> float:
        """Marking and boring parts once they are cut; estimate. [min]"""
        return (MARK_MINUTES + BORE_MINUTES) * sum(
            mark.member in names and mark.purpose == "clearance hole" and not mark.face.endswith("end")
            for mark in self.needs.holes
        )

    def blank(self, key: str, title: str, lies: Lying, there: tuple[str, ...]) -> Step:
        """A step with nothing in it but its place."""
        return Step(number=0, key=key, title=title, lies=lies, members=(), parts=(), in_place=there)

    def joints_in(self, group: frozenset[str]) -> list[Joint]:
        """Joints all of whose members are in a group."""
        return [joint for joint in self.needs.joints if set(joint.members) <= group]

    def square_check(self, verb: str) -> str:
        """The check of the diagonals, in words."""
        if self.design.seam is not None:
            when = "While the glue is open, clamp" if verb == "nip up" else "Clamp"
            return (
                f"{when} a straight batten across the sawn ends of the two long bars, as far apart as their long "
                "points. From each long point to the sawn end of the other long bar must be equal. If not, push the "
                "two far corners of the longer one towards each other and measure again."
            )
        start = (
            "While the glue is open, measure the two diagonals from long point to long point: they must be equal. "
            if verb == "nip up"
            else "Measure the two diagonals: they must be equal. "
        )
        end = "then nip up the corners once more." if verb == "nip up" else "and measure again."
        return start + "If not, push the two far corners of the longer one towards each other, " + end

    def late_glue(self, clock: GlueClock) -> str:
        """What to mind when the glue may set too soon."""
        if clock.holds:
            return "Over-tightened screws push the joint open again at its other side."
        return (
            f"This takes about {clock.minutes:.0f} min (estimate) and the glue is open for "
            f"{clock.open_minutes:.0f} min: ask for a second pair of hands, glue two opposite corners first, or use a "
            "slower glue."
        )
