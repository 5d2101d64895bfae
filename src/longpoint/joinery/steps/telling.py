"""What the writers of steps share: the needs of a frame, how its parts are marked, and estimates of time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.frame.members import Frame
from longpoint.frame.parts import Part, marks_of_members
from longpoint.joinery.joints.joint import HoleMark, Joint
from longpoint.joinery.order.placement import BuildOrder
from longpoint.joinery.steps.step import GlueClock, Lying, Step
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

Facts = list[tuple[str, str]]


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
    """The needs of one frame with what is looked up in them again and again; set once and only read."""

    def __init__(self, needs: StepNeeds) -> None:
        self.needs = needs
        self.frame = needs.frame
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

    def planned(self, names: Sequence[str], *, longest_first: bool) -> tuple[str, str]:
        """The different lengths of members, as a fact."""
        lengths = sorted({self.frame.named(name).length for name in names}, reverse=longest_first)
        return "planned", ", ".join(self.part(length) for length in lengths)

    def marks(self, names: Iterable[str]) -> tuple[str, ...]:
        """Marks of the parts that members are made from, each once."""
        return tuple(dict.fromkeys(self.mark_of[name] for name in names if name in self.mark_of))

    def joints_of(self, screws: Iterable[str]) -> tuple[str, ...]:
        """Names of the joints that screws belong to, each once."""
        return tuple(dict.fromkeys(self.fixings[name].joint for name in screws))

    def joints_in(self, group: frozenset[str]) -> list[Joint]:
        """Joints all of whose members are in a group."""
        return [joint for joint in self.needs.joints if set(joint.members) <= group]

    def step(self, key: str, lies: Lying, there: tuple[str, ...], *, members: Sequence[str] = ()) -> Step:
        """A step with nothing in it but its place and what is worked on."""
        return Step(
            number=0,
            key=key,
            title=f"{key}.title",
            lies=lies,
            members=tuple(members),
            parts=self.marks(members),
            in_place=there,
        )

    def clock(self, minutes: float, until: str) -> GlueClock:
        """The glue's clock of a step."""
        return GlueClock(minutes=round(minutes, 1), open_minutes=self.needs.open_minutes, until=until)

    def boring(self, names: Sequence[str]) -> tuple[tuple[str, ...], Facts, float]:
        """Parts bored once they are cut: sentences, facts, minutes (estimate); nothing where they have no holes."""
        marks = [
            mark
            for mark in self.needs.holes
            if mark.member in names and mark.purpose == "clearance hole" and not mark.face.endswith("end")
        ]
        if not marks:
            return (), [], 0.0
        heights = ", ".join(self.fine(height) for height in sorted({mark.from_back for mark in marks}))
        facts = [("bored", str(len(marks))), ("heights", heights)]
        return ("any.boring",), facts, (MARK_MINUTES + BORE_MINUTES) * len(marks)

    def square_check(self, verb: str) -> str:
        """Key of the check of the diagonals: while the glue is open (``nip-up``), or later (``push``)."""
        return f"any.square-{'seam-' if self.design.seam is not None else ''}{verb}"


def glue_facts(clock: GlueClock) -> Facts:
    """The figures of a clock."""
    return [("takes", f"{clock.minutes:.0f}"), ("open", f"{clock.open_minutes:.0f}")]
