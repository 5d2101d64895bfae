"""Steps of the inside: end rails, the last squaring, cross rails, middle pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.frame.members import Kind
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joint import JointKind
from longpoint.joinery.placement import Placement
from longpoint.joinery.step import GlueClock, Step
from longpoint.joinery.steps_outer import OuterSteps
from longpoint.joinery.telling import CHECK_MINUTES, CLOSE_MINUTES, CUT_MINUTES, DRIVE_MINUTES


class InnerSteps(OuterSteps):
    """Writes the steps of the inside."""

    def end_rails(
        self,
        placements: Sequence[Placement],
        before: tuple[str, ...],
        there: tuple[str, ...],
        *,
        squared: bool,
    ) -> list[Step]:
        """End rails: cut, glued, then squared with their last screws."""
        names = tuple(name for placement in placements for name in placement.members)
        driven = tuple(name for placement in placements for name in placement.driven)
        joints = [self.joint_of[each] for each in dict.fromkeys(self.fixings[name].joint for name in driven)]
        last = tuple(
            name
            for name in driven
            if self.joint_of[self.fixings[name].joint].kind in (JointKind.RAIL_END, JointKind.THROUGH_TWO)
        )
        first = tuple(name for name in driven if name not in last)
        worst = max(
            (
                spread_minutes(joint) + CLOSE_MINUTES + DRIVE_MINUTES * len(joint.fixings)
                for joint in joints
                if joint.kind is JointKind.ALONG
            ),
            default=0.0,
        )
        clock = GlueClock(
            minutes=round(worst, 1),
            open_minutes=self.needs.open_minutes,
            until="a rail's last screw",
        )
        lengths = sorted({self.needs.frame.named(name).length for name in names}, reverse=True)
        cut = replace(
            self.blank("cut-end-rails", "Cut the end rails to the inside", "FACE DOWN", before),
            members=names,
            parts=self.marks(names),
            facts=tuple(("planned", self.part(length)) for length in lengths),
            measure=f"Planned {', '.join(self.part(length) for length in lengths)}; write down what you measure at the "
            "ends, and cut to that, square.",
            do=(
                "Cut both to the same length: together they set the frame square.",
                *self.boring(names),
            ),
            minutes=CUT_MINUTES * len(names) + self.boring_minutes(names),
        )
        glued = replace(
            self.blank("end-rails", "End rails", "FACE DOWN", there),
            members=names,
            parts=self.marks(names),
            screws=first,
            joints=tuple(joint.name for joint in joints),
            facts=(
                ("drop", self.fine(self.design.drop)),
                ("packer", self.fine(self.design.gap)),
                ("screws along each", str(len(first) // max(len(names), 1))),
            ),
            do=(
                f"Glue the whole face, set the rail {self.fine(self.design.drop)} below the back edge: it rests on "
                f"packers {self.fine(self.design.gap)} thick, planed from an offcut, level with what the lips lie on.",
                f"Drive the screws from the middle to the ends. ({self.screws_said(first)})",
                "Leave out the screws through the long bars for now.",
            ),
            check="Wipe off what oozes; a finger along the joint must feel glue all the way.",
            caution=self.rail_glue(clock),
            clock=clock,
            minutes=round(sum(spread_minutes(joint) for joint in joints) + DRIVE_MINUTES * len(first), 1),
        )
        pulled = (
            "Then drive the screws through the long bars into the square-cut ends: they pull the frame square and keep "
            f"it. ({self.screws_said(last)})"
        )
        square = replace(
            self.blank("square", "Square and out of wind, then the last screws", "FACE DOWN", there),
            screws=last,
            joints=tuple(dict.fromkeys(self.fixings[name].joint for name in last)),
            do=(
                "Measure the diagonals again; push the two far corners of the longer one until they are equal."
                if self.design.seam is None
                else self.square_check("push"),
                "Sight across the corners, one pair over the other, or lay two straight battens across: where a corner "
                "stands up, pack it or clamp it down on the bench.",
                pulled,
            ),
            measure="Both diagonals; the lift of one corner when the other three lie on the bench.",
            check="This is the last time that out of square and wind can be mended: afterwards they stay in the frame."
            + ("" if squared else " The corners were not closed before."),
            while_glue_sets=f"Leave it clamped flat for {self.needs.set_minutes:.0f} min; cut the rails meanwhile.",
            minutes=round(2 * CHECK_MINUTES + DRIVE_MINUTES * len(last), 1),
        )
        return [cut, glued, square]

    def rail_glue(self, clock: GlueClock) -> str:
        """The same for an end rail."""
        if clock.holds:
            return "Do not let a screw push the rail off its line: clamp both ends before the first screw."
        return (
            f"Glue and screws of one end rail take about {clock.minutes:.0f} min (estimate), the glue is open for "
            f"{clock.open_minutes:.0f} min: clamp the rail at once, spread with a roller, or use a slower glue."
        )

    def cross_rails(self, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
        """Cross rails, one after another."""
        found: list[Step] = []
        names = tuple(name for placement in placements for name in placement.members)
        rails = tuple(name for name in names if self.needs.frame.named(name).kind is Kind.CROSS_RAIL)
        lengths = sorted({self.needs.frame.named(name).length for name in rails})
        found.append(
            replace(
                self.blank(
                    "cut-cross-rails",
                    "Cut the cross rails to one common length",
                    "FACE DOWN",
                    there[: -len(names)],
                ),
                members=rails,
                parts=self.marks(rails),
                facts=tuple(("planned", self.part(length)) for length in lengths),
                measure=f"Planned {', '.join(self.part(length) for length in lengths)}. Measure at the end rails, not "
                "in the middle, and cut all cross rails to that one length: they press a bowed bar straight again.",
                do=(
                    "Clamp them side by side and mark the centre line across all rails at once.",
                    *self.boring(rails),
                ),
                minutes=CUT_MINUTES * len(rails) + 2.0 + self.boring_minutes(rails),
            )
        )
        for index, placement in enumerate(placements):
            done = tuple(
                name
                for name in there
                if name not in {each for later in placements[index + 1 :] for each in later.members}
            )
            found += self.one_by_one(placement, done)
        return found

    def middle_pieces(
        self, placements: Sequence[Placement], there: tuple[str, ...], *, first: bool
    ) -> list[Step]:
        """Middle pieces, one after another."""
        found: list[Step] = []
        if first:
            found.append(
                replace(
                    self.blank(
                        "centre-line", "Centre line over all rails", "FACE DOWN", _without(there, placements)
                    ),
                    do=(
                        "Snap or draw one line from bar to bar over all rails, and the line of the pieces that stand "
                        "aside beside it.",
                    ),
                    measure=f"The centre line lies {self.show(self.design.breadth / 2)} from the outer face of either "
                    "long bar.",
                    minutes=3.0,
                )
            )
        for index, placement in enumerate(placements):
            done = tuple(
                name
                for name in there
                if name not in {each for later in placements[index + 1 :] for each in later.members}
            )
            found += self.one_by_one(placement, done)
        return found


def _without(there: tuple[str, ...], placements: Sequence[Placement]) -> tuple[str, ...]:
    gone = {name for placement in placements for name in placement.members}
    return tuple(name for name in there if name not in gone)
