"""Steps of the outer frame: bow, holes, corners, wind, turning over, gussets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.frame.halves import extent_of
from longpoint.frame.members import Kind
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joint import JointKind
from longpoint.joinery.placement import Placement
from longpoint.joinery.reach import bench_lift
from longpoint.joinery.step import GlueClock, Step
from longpoint.joinery.steps_closing import ClosingSteps
from longpoint.joinery.telling import (
    BORE_MINUTES,
    CHECK_MINUTES,
    CLOSE_MINUTES,
    DRIVE_MINUTES,
    MARK_MINUTES,
    PULL_UP_MINUTES,
    TURN_MINUTES,
    TWO_PEOPLE_FROM,
)

_ON_THE_LINE = frozenset((JointKind.RAIL_END, JointKind.THROUGH_TWO, JointKind.TO_RAIL))
_CORNERS = frozenset(
    (JointKind.MITRE, JointKind.GUSSET, JointKind.GLUE_BLOCK, JointKind.HALF_LAP, JointKind.KEYED)
)


class OuterSteps(ClosingSteps):
    """Writes the steps of the outer frame."""

    def preparing(self) -> list[Step]:
        """Before anything is glued: the bow of the bars, and the holes."""
        bars = tuple(member.name for member in self.needs.frame.of_kind(Kind.BAR))
        outer = self.needs.holes
        bow = replace(
            self.blank("bow", "Mark the bow of each bar", "APART", ()),
            members=bars,
            parts=self.marks(bars),
            do=(
                "Sight along every bar and draw an arrow on its back towards the side that bulges.",
                "Let every arrow point outwards in the frame: the cloth then pulls the bar straight.",
            ),
            caution="A bar that bulges towards the face, or is twisted, is not for a bar: use it for short rails.",
            minutes=2.0 * len(bars),
        )
        line = self.design.drop + self.design.rail_depth / 2
        facts: list[tuple[str, str]] = [("holes", str(len(outer)))]
        do = [
            "Lay opposite bars side by side, hook the tape on the long points and mark every place from the drawn rod, "
            "without moving the tape. Prick the corner holes through the full-size gauge card."
        ]
        if self.design.has_rails:
            facts.append(("hole line from the back edge", self.fine(line)))
            do.append(
                f"For rails only, set a marking gauge to {self.fine(line)} from the back edge: the drop "
                f"{self.fine(self.design.drop)} and half of the rail's {self.fine(self.design.rail_depth)}, so their "
                "screws enter the middle of the rails. Corner holes have heights of their own, as on the rod."
            )
        off = [fixing.name for fixing in self.fixings.values() if fixing.off_depth]
        off = [name for name in off if self.joint_of[self.fixings[name].joint].kind in _ON_THE_LINE]
        if off:
            do.append(
                f"Off the gauge line, so that screws pass one another: {', '.join(off)}; the rod has their marks."
            )
        do.append(
            "Bore the clearance holes and countersink them; pilot holes are bored through them on the frame."
        )
        clearance = [mark for mark in outer if mark.purpose == "clearance hole" and mark.member in bars]
        holes = replace(
            self.blank("holes", "Mark and bore the bars", "APART", ()),
            members=tuple(dict.fromkeys(mark.member for mark in clearance)),
            parts=tuple(dict.fromkeys(mark.part for mark in clearance if mark.part)),
            facts=tuple(facts),
            do=tuple(do),
            check="Hold two facing bars side by side: their marks must stand in line before a hole is bored.",
            caution="Bore over waste wood so that the far side does not break out; hold short parts in a vice, eyes "
            "covered. The drill's manual comes first.",
            minutes=(MARK_MINUTES + BORE_MINUTES) * len(clearance),
        )
        return [bow, holes] if outer else [bow]

    def bars(
        self,
        placements: Sequence[Placement],
        before: tuple[str, ...],
        there: tuple[str, ...],
        *,
        leave: tuple[str, ...],
    ) -> list[Step]:
        """The corners: dry, then glued."""
        names = tuple(name for placement in placements for name in placement.members)
        driven = tuple(name for placement in placements for name in placement.driven if name not in leave)
        corners = [
            joint
            for joint in self.needs.joints
            if joint.kind in _CORNERS and set(joint.members) <= set(there)
        ]
        corners = [joint for joint in corners if not set(joint.members) <= set(before)]
        if self.design.corner == "keyed mitre":
            keyed = replace(
                self.blank("corners-keyed", "Put the bars together, no glue", "FACE UP", there),
                members=names,
                parts=self.marks(names),
                joints=tuple(joint.name for joint in corners),
                do=(
                    "Lay the bars on the bench with the bevel up and push the corners home by hand.",
                    "No glue, no screws: these corners must open later. Push the keys in by hand, no further.",
                ),
                check=self.square_check("push"),
                minutes=8.0,
            )
            return [keyed]
        dry = replace(
            self.blank("dry", "Pull the corners together dry", "FACE UP", there),
            members=names,
            parts=self.marks(names),
            screws=driven,
            do=(
                "Lay the bars on the bench with the bevel up and the arrows outwards.",
                "Two hands cannot hold a mitre and bore it: screw two straight offcuts of about "
                f"{self.show(300)} to a scrap board as a true inside corner, its point cut off for the glue, and clamp "
                "both bars against them, a clamp on each bar a hand's breadth from the corner.",
                "Bore the pilots through the clearance holes and drive the corner screws without glue, only until "
                "the gap closes: end grain strips easily.",
                "Look at every mitre from the front. Where it gapes, plane the end, not the frame.",
                f"Then back the screws off and keep the bars in order. ({self.screws_said(driven)})",
            ),
            check="A card must not go into the mitre anywhere, from the lip to the low edge.",
            caution="With the screws' holes made, the glueing below fits into the glue's open time.",
            minutes=DRIVE_MINUTES * len(driven) * 1.5 + 2.0 * len(corners),
        )
        glue_minutes = sum(spread_minutes(joint) + CLOSE_MINUTES for joint in corners)
        glue_minutes += PULL_UP_MINUTES * len(driven)
        clock = GlueClock(
            minutes=round(glue_minutes + CHECK_MINUTES, 1),
            open_minutes=self.needs.open_minutes,
            until="equal diagonals",
        )
        glued = replace(
            self.blank("corners", "Glue and screw the corners", "FACE UP", there),
            members=names,
            parts=self.marks(names),
            screws=driven,
            joints=tuple(
                dict.fromkeys(
                    (*(joint.name for joint in corners), *(self.fixings[name].joint for name in driven))
                )
            ),
            facts=(("corners", str(len(corners))), ("screws", str(len(driven)))),
            do=(
                "Brush glue on all mitre faces and let the end grain drink; then a second, thin coat on one face.",
                "Corner by corner: bring the faces together, lips flush, drive the screws only until the gap closes.",
                "Glue that oozes shows a close joint; wipe it off with a damp rag, first on the front.",
            ),
            check=self.square_check("nip up"),
            caution=self.late_glue(clock),
            while_glue_sets=(
                "Cut the end rails to the inside as measured; fill the heads on the sides."
                if self.needs.frame.of_kind(Kind.END_RAIL)
                else "Fill the heads on the sides; ease the lip when the glue is hard."
            ),
            clock=clock,
            minutes=round(clock.minutes, 1),
        )
        return [dry, glued]

    def late_screws(self, placements: Sequence[Placement]) -> list[str]:
        """Screws that are driven from the back, so after turning over."""
        names = [name for placement in placements for name in placement.driven]
        return [
            name for name in names if self.fixings[name].axis[2] and "gusset" in self.fixings[name].through
        ]

    def wind(self, there: tuple[str, ...]) -> Step:
        """For frames without end rails: while the corners' glue still gives."""
        return replace(
            self.blank("wind", "Out of wind", "FACE UP", there),
            do=(
                "Lay the frame on a flat bench or floor and press one corner after another: it must not rock.",
                "Sight across the corners, one bar over the one opposite. Where a corner stands up, pack the two "
                "beside it and clamp it down past flat, until the glue has set.",
            ),
            measure="The lift of one corner when the other three lie down.",
            check="Afterwards nothing cures wind: the picture would rock on the wall.",
            while_glue_sets=f"Leave it clamped flat for {self.needs.set_minutes:.0f} min.",
            minutes=CHECK_MINUTES + 1.0,
        )

    def turn_over(self, *, there: tuple[str, ...]) -> Step:
        """Turning the frame face down."""
        width, height = extent_of(self.needs.frame)
        people = 2 if max(width, height) >= TWO_PEOPLE_FROM else 1
        inner = [fixing for fixing in self.fixings.values() if not fixing.under_canvas and not fixing.axis[2]]
        lift = bench_lift(inner, drill=self.needs.drill)
        do = [
            f"Turn it over, sideways like the page of a book: {people} "
            + ("people, one at each short side." if people == 2 else "person."),
            "Now the bevel is down and the back is up: the left bar lies at your right hand.",
        ]
        facts = [
            ("people", str(people)),
            ("floor", f"{self.show(width + 1200)} × {self.show(height + 1200)}"),
        ]
        if lift > 0:
            do.append(
                f"Lay it on battens at least {self.fine(lift)} high: the drill's body needs room above the bench."
            )
            facts.append(("battens", self.fine(lift)))
        return replace(
            self.blank("turn-over", "Turn over", "FACE DOWN", there),
            facts=tuple(facts),
            do=tuple(do),
            measure="Measure the inside at both ends of each side, tight in the corners, not in the middle: "
            "there the bars bow.",
            caution="Lift, do not drag: green corners open. "
            + ("Two people. " if people > self.needs.people else "")
            + f"It needs about {facts[1][1]} of free floor (estimate).",
            minutes=TURN_MINUTES,
            people=people,
        )

    def gussets(self, screws: tuple[str, ...], there: tuple[str, ...]) -> Step:
        """Gussets, on the back."""
        joints = tuple(dict.fromkeys(self.fixings[name].joint for name in screws))
        return replace(
            self.blank("gussets", "Glue and screw the gussets", "FACE DOWN", there),
            screws=screws,
            joints=joints,
            do=(
                "Spread glue on the whole back of the corner, lay the gusset flush with or a little inside the edge.",
                f"Drive the screws from the corner outwards. ({self.screws_said(screws)})",
            ),
            check="Measure the diagonals once more before the last gusset: after it they stay as they are.",
            caution="No edge of a gusset may stand out beyond the bars: canvas lies there.",
            minutes=DRIVE_MINUTES * len(screws) + 1.5 * len(joints),
        )

    def late_bars(self, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
        """Bars that go on after parts of the inside."""
        found: list[Step] = []
        for index, placement in enumerate(placements):
            rest = {name for later in placements[index + 1 :] for name in later.members}
            now = tuple(name for name in there if name not in rest)
            if placement.made_up:
                found.append(self.make_up(placement, tuple(n for n in now if n not in placement.members)))
            found.append(
                replace(
                    self.closing(placement, now, "bar-late", "Put on the "),
                    caution="This bar comes after parts of the inside, because the drill reaches their screws only "
                    "while it is off.",
                    check=self.square_check("nip up"),
                )
            )
        return found
