"""The steps of building one frame, made from its order of building.

Minutes are estimates throughout. The order of checks is fixed by what can still be mended: diagonals while the
corners' glue is open, wind before the end rails' last screws, the bay before its piece is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.frame.members import Frame, Kind
from longpoint.frame.parts import Part
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joint import Fixing, HoleMark, Joint, JointKind
from longpoint.joinery.order import BuildOrder, Placement
from longpoint.joinery.reach import bench_lift
from longpoint.joinery.step import GlueClock, Lying, Step
from longpoint.model.shop import Drill
from longpoint.units import LengthStyle

MARK_MINUTES = 0.5  # per hole
BORE_MINUTES = 0.7  # per hole
DRIVE_MINUTES = 0.6  # per screw, pilot bored through the clearance hole
PULL_UP_MINUTES = 0.25  # per screw that was in before, dry
CUT_MINUTES = 4.0  # per piece measured on the frame and cut
CLOSE_MINUTES = 0.4  # per joint brought together
CHECK_MINUTES = 2.0  # two diagonals, or two sightings
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


def steps_of(needs: StepNeeds) -> tuple[Step, ...]:
    """The steps of one frame, numbered from 1."""
    writer = _Writer(needs)
    found = writer.all()
    return tuple(replace(step, number=index) for index, step in enumerate(found, start=1))


class _Writer:
    """Turns an order into steps; what it holds is set once and only read."""

    def __init__(self, needs: StepNeeds) -> None:
        self.needs = needs
        self.design = needs.frame.design
        self.mark_of = {name: part.mark for part in needs.parts for name in part.members}
        self.fixings = {fixing.name: fixing for joint in needs.joints for fixing in joint.fixings}
        self.joint_of = {joint.name: joint for joint in needs.joints}

    # ---- texts -------------------------------------------------------------------------------------------

    def show(self, length: Fraction | float) -> str:
        return self.needs.style.show(length)

    def fine(self, length: Fraction | float) -> str:
        return self.needs.style.finer().show(length)

    def called(self, names: Iterable[str]) -> str:
        return ", ".join(f"{name} ({self.mark_of[name]})" if name in self.mark_of else name for name in names)

    def marks(self, names: Iterable[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.mark_of[name] for name in names if name in self.mark_of))

    def screws_said(self, names: Iterable[str]) -> str:
        counts: dict[str, int] = {}
        for name in names:
            counts[self.fixings[name].screw.name] = counts.get(self.fixings[name].screw.name, 0) + 1
        return ", ".join(f"{count} × {screw}" for screw, count in counts.items())

    # ---- the whole ---------------------------------------------------------------------------------------

    def all(self) -> list[Step]:
        steps = [*self.preparing()]
        runs = _runs(self.needs.frame, self.needs.order.placements)
        there: tuple[str, ...] = ()
        lies: Lying = "FACE UP"
        squared = False
        late: list[str] = []
        for index, (kind, placements) in enumerate(runs):
            before = there
            there = (*there, *(name for placement in placements for name in placement.members))
            if kind is Kind.BAR and lies == "FACE UP":
                steps += [self.make_up(each, before) for each in placements if each.made_up]
                gussets = self.late_screws(placements)
                late += gussets
                steps += self.bars(placements, before, there, leave=tuple(gussets))
                if not self.design.end_rails:
                    steps.append(self.wind(there))
                squared = len(self.needs.frame.of_kind(Kind.BAR)) == sum(
                    name.endswith(" bar") for name in there
                )
                continue
            if lies == "FACE UP":
                steps.append(self.turn_over(there=before))
                lies = "FACE DOWN"
                if late:
                    steps.append(self.gussets(tuple(late), before))
            if kind is Kind.BAR:
                steps += self.late_bars(placements, there)
            elif kind is Kind.END_RAIL:
                steps += self.end_rails(placements, before, there, squared=squared)
            elif kind is Kind.CROSS_RAIL:
                steps += self.cross_rails(placements, there)
            else:
                steps += self.middle_pieces(
                    placements, there, first=not _had(runs[:index], Kind.MIDDLE_PIECE)
                )
        if lies == "FACE UP" and late:
            steps += [self.turn_over(there=there), self.gussets(tuple(late), there)]
            lies = "FACE DOWN"
        steps += self.finishing(there, lies)
        return steps

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

    def blank(self, key: str, title: str, lies: Lying, there: tuple[str, ...]) -> Step:
        return Step(number=0, key=key, title=title, lies=lies, members=(), parts=(), in_place=there)

    # ---- before anything is glued ------------------------------------------------------------------------

    def preparing(self) -> list[Step]:
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
            "Lay the rod of each part against it, reference end to reference end, and mark every hole at once."
        ]
        if self.design.has_rails:
            facts.append(("hole line from the back edge", self.fine(line)))
            do.append(
                f"Set the gauge to {self.fine(line)} and run it from the back edge: that is the drop "
                f"{self.fine(self.design.drop)} and half of the rail's {self.fine(self.design.rail_depth)}, so the "
                "screws enter the middle of the rails."
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
        clearance = [mark for mark in outer if mark.purpose == "clearance hole"]
        holes = replace(
            self.blank("holes", "Mark and bore the holes", "APART", ()),
            members=tuple(dict.fromkeys(mark.member for mark in clearance)),
            parts=tuple(dict.fromkeys(mark.part for mark in clearance if mark.part)),
            facts=tuple(facts),
            do=tuple(do),
            check="Hold two facing parts side by side: their marks must stand in line before a hole is bored.",
            caution="Bore over waste wood so that the far side does not break out; hold short parts in a vice, eyes "
            "covered. The drill's manual comes first.",
            minutes=MARK_MINUTES * len(outer) + BORE_MINUTES * len(clearance),
        )
        return [bow, holes] if outer else [bow]

    # ---- bars --------------------------------------------------------------------------------------------

    def bars(
        self,
        placements: Sequence[Placement],
        before: tuple[str, ...],
        there: tuple[str, ...],
        *,
        leave: tuple[str, ...],
    ) -> list[Step]:
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
            until="the diagonals are equal",
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
            while_glue_sets="Cut the end rails to the inside as measured; ease the lip; fill the heads on the sides.",
            clock=clock,
            minutes=round(clock.minutes, 1),
        )
        return [dry, glued]

    def square_check(self, verb: str) -> str:
        start = (
            "While the glue is open, measure the two diagonals from long point to long point: they must be equal. "
            if verb == "nip up"
            else "Measure the two diagonals: they must be equal. "
        )
        end = "then nip up the corners once more." if verb == "nip up" else "and measure again."
        return start + "If not, push the two far corners of the longer one towards each other, " + end

    def late_glue(self, clock: GlueClock) -> str:
        if clock.holds:
            return "Over-tightened screws push the joint open again at its other side."
        return (
            f"This takes about {clock.minutes:.0f} min (estimate) and the glue is open for "
            f"{clock.open_minutes:.0f} min: ask for a second pair of hands, glue two opposite corners first, or use a "
            "slower glue."
        )

    def late_screws(self, placements: Sequence[Placement]) -> list[str]:
        """Screws that are driven from the back, so after turning over."""
        names = [name for placement in placements for name in placement.driven]
        return [
            name for name in names if self.fixings[name].axis[2] and "gusset" in self.fixings[name].through
        ]

    def late_bars(self, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
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

    # ---- turning over ------------------------------------------------------------------------------------

    def turn_over(self, *, there: tuple[str, ...]) -> Step:
        width, height = self.design.width, self.design.height
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

    # ---- inside ------------------------------------------------------------------------------------------

    def end_rails(
        self,
        placements: Sequence[Placement],
        before: tuple[str, ...],
        there: tuple[str, ...],
        *,
        squared: bool,
    ) -> list[Step]:
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
            until="the rail's last screw along the bar",
        )
        lengths = sorted({self.needs.frame.named(name).length for name in names}, reverse=True)
        cut = replace(
            self.blank("cut-end-rails", "Cut the end rails to the inside", "FACE DOWN", before),
            members=names,
            parts=self.marks(names),
            facts=tuple(("planned", self.show(length)) for length in lengths),
            measure=f"Planned {', '.join(self.show(length) for length in lengths)}; write down what you measure at the "
            "ends, and cut to that, square.",
            do=("Cut both to the same length: together they set the frame square.",),
            minutes=CUT_MINUTES * len(names),
        )
        glued = replace(
            self.blank("end-rails", "End rails", "FACE DOWN", there),
            members=names,
            parts=self.marks(names),
            comes_from="back",
            screws=first,
            joints=tuple(joint.name for joint in joints),
            facts=(
                ("drop", self.fine(self.design.drop)),
                ("screws along each", str(len(first) // max(len(names), 1))),
            ),
            do=(
                f"Glue the whole face, set the rail {self.fine(self.design.drop)} below the back edge (gauge it with a "
                "scrap planed to that thickness, flush with the back edge).",
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
                "Measure the diagonals again; push the two far corners of the longer one until they are equal.",
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
        if clock.holds:
            return "Do not let a screw push the rail off its line: clamp both ends before the first screw."
        return (
            f"Glue and screws of one end rail take about {clock.minutes:.0f} min (estimate), the glue is open for "
            f"{clock.open_minutes:.0f} min: clamp the rail at once, spread with a roller, or use a slower glue."
        )

    def cross_rails(self, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
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
                facts=tuple(("planned", self.show(length)) for length in lengths),
                measure=f"Planned {', '.join(self.show(length) for length in lengths)}. Measure at the end rails, not "
                "in the middle, and cut all cross rails to that one length: they press a bowed bar straight again.",
                do=("Clamp them side by side and mark the centre line across all rails at once.",),
                minutes=CUT_MINUTES * len(rails) + 2.0,
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

    def one_by_one(self, placement: Placement, there: tuple[str, ...]) -> list[Step]:
        if not placement.made_up:
            return [self.closing(placement, there, "put-in", "Put in the ")]
        made = self.make_up(placement, tuple(name for name in there if name not in placement.members))
        return [made, self.closing(placement, there, "put-in", "Put in the made-up ")]

    def make_up(self, placement: Placement, there: tuple[str, ...]) -> Step:
        """Parts that are screwed together before they go into the frame."""
        names = placement.members
        group = frozenset(names)
        inside = tuple(name for each in placement.made_up for name in each.driven)
        to_bay = [name for name in names if self.needs.frame.named(name).kind is Kind.MIDDLE_PIECE]
        glue = sum(spread_minutes(joint) + CLOSE_MINUTES for joint in self.joints_in(group))
        clock = GlueClock(
            minutes=round(glue + DRIVE_MINUTES * len(inside), 1),
            open_minutes=self.needs.open_minutes,
            until="its last screw",
        )
        return replace(
            self.blank("make-up", f"On the bench: {self.called(names)}", "APART", there),
            members=names,
            parts=self.marks(names),
            screws=inside,
            joints=tuple(dict.fromkeys(self.fixings[name].joint for name in inside)),
            do=(
                f"Glue and screw {self.called(names)} together before they go into the frame: once they are in, the "
                "drill does not reach these screws.",
                f"({self.screws_said(inside)})",
            ),
            check="Hold a square to both sides of the joint while the glue is open.",
            caution="" if clock.holds else self.late_glue(clock),
            measure="Cut to the bay as measured between the marks." if to_bay else "",
            clock=clock,
            minutes=round(CUT_MINUTES * len(to_bay) + clock.minutes + 2, 1),
        )

    def joints_in(self, group: frozenset[str]) -> list[Joint]:
        """Joints all of whose members are in a group."""
        return [joint for joint in self.needs.joints if set(joint.members) <= group]

    def closing(self, placement: Placement, there: tuple[str, ...], key: str, title: str) -> Step:
        """Putting in one part, or a few made up."""
        frame = self.needs.frame
        names = placement.members
        joints = tuple(dict.fromkeys(self.fixings[name].joint for name in placement.driven))
        piece = frame.named(names[-1])
        is_piece = piece.kind is Kind.MIDDLE_PIECE and not placement.made_up
        has_bar = any(frame.named(name).kind is Kind.BAR for name in names)
        measure = ""
        facts: list[tuple[str, str]] = []
        if is_piece:
            facts.append(("planned", self.show(piece.length)))
            measure = (
                f"Measure the bay where the piece will stand (planned {self.show(piece.length)}) and cut it tight: it "
                "goes in with a light tap."
            )
        do = []
        if is_piece and piece.shifted:
            facts.append(("aside", self.show(abs(piece.shifted))))
            do.append(
                f"It stands {self.show(abs(piece.shifted))} aside of the line, so that the drill passes its neighbour."
            )
        do.append(
            f"Glue the ends, bring it in from the {placement.from_where}"
            + ("" if has_bar else f", {self.fine(self.design.drop)} below the back edge")
            + "."
        )
        if placement.driven:
            do.append(
                f"Pilot through the clearance holes, then the screws. ({self.screws_said(placement.driven)})"
            )
            do += self.from_sides(placement.driven)
        glue = sum(spread_minutes(self.joint_of[name]) + CLOSE_MINUTES for name in joints)
        clock = GlueClock(
            minutes=round(glue + DRIVE_MINUTES * len(placement.driven), 1),
            open_minutes=self.needs.open_minutes,
            until="its last screw",
        )
        return replace(
            self.blank(key, f"{title}{self.called(names)}", "FACE DOWN", there),
            members=names,
            parts=self.marks(names),
            comes_from=placement.from_where,
            screws=placement.driven,
            joints=joints,
            facts=tuple(facts),
            do=tuple(do),
            measure=measure,
            check=(
                "The rails must stay straight: sight along them. A piece that is too long bows them, a short one does "
                "nothing."
                if piece.kind is Kind.MIDDLE_PIECE
                else "Flush on its marks, the drop the same at both ends."
            ),
            caution="" if clock.holds else self.late_glue(clock),
            clock=clock if joints else None,
            minutes=round(clock.minutes + (CUT_MINUTES if is_piece else 1.0), 1),
        )

    def from_sides(self, names: Sequence[str]) -> list[str]:
        """From where each screw of a piece is driven, in words."""
        said = []
        for name in names:
            fixing = self.fixings[name]
            kind = self.joint_of[fixing.joint].kind
            if kind is JointKind.TO_RAIL:
                said.append(f"{name}: through the {fixing.through[0]}, from the next bay, into its end.")
            elif kind is JointKind.THROUGH_TWO:
                said.append(
                    f"{name}: the long one ({fixing.screw.name}), from outside through bar and end rail into its end."
                )
        return said

    # ---- the end -----------------------------------------------------------------------------------------

    def finishing(self, there: tuple[str, ...], lies: Lying) -> list[Step]:
        heads = sum(fixing.under_canvas for fixing in self.fixings.values())
        size = f"{self.show(self.design.width)} × {self.show(self.design.height)}"
        clean = replace(
            self.blank("ease", "Burrs off, heads filled, lip and corners eased", "ON EDGE", there),
            facts=(("heads under canvas", str(heads)), ("lip radius", self.fine(self.design.lip_radius))),
            do=(
                f"Fill the {heads} sunk heads on the outer sides and rub them flush."
                if heads
                else "No heads to fill.",
                f"Ease the lip to about {self.fine(self.design.lip_radius)} and round the four corners a little more: "
                "sharp ones tear the cloth.",
                "Take off every burr and bead of glue wherever canvas will lie.",
            ),
            check="Pull a rag or an old stocking over lip and corners: where it catches, the cloth will tear.",
            caution="Sanding dust: mask and dust extraction; see the paper's and the filler's notes.",
            minutes=6.0 + 0.3 * heads + float(2 * (self.design.width + self.design.height)) / 1000.0,
        )
        name = replace(
            self.blank("name", "Name, size, top and date on the back", "FACE DOWN", there),
            facts=(("size", size),),
            do=(f"In pencil on the back: “{self.needs.work}”, {size}, an arrow to the top, the date.",),
            check="Once more: diagonals, and lay it on the bench: does it rock? Write both down.",
            while_glue_sets="Full strength takes about a day: do not stretch before.",
            minutes=3.0,
        )
        if lies == "FACE UP":
            return [clean, name]
        return [clean, name]


_ON_THE_LINE = frozenset((JointKind.RAIL_END, JointKind.THROUGH_TWO, JointKind.TO_RAIL))
_CORNERS = frozenset(
    (JointKind.MITRE, JointKind.GUSSET, JointKind.GLUE_BLOCK, JointKind.HALF_LAP, JointKind.KEYED)
)


def _runs(frame: Frame, placements: Sequence[Placement]) -> list[tuple[Kind, list[Placement]]]:
    """Neighbouring placements of one kind together; what is made up counts as its first member."""
    runs: list[tuple[Kind, list[Placement]]] = []
    for placement in placements:
        kind = frame.named(placement.members[0]).kind
        if runs and runs[-1][0] is kind:
            runs[-1][1].append(placement)
        else:
            runs.append((kind, [placement]))
    return runs


def _had(runs: Sequence[tuple[Kind, list[Placement]]], kind: Kind) -> bool:
    return any(each is kind for each, _ in runs)


def _without(there: tuple[str, ...], placements: Sequence[Placement]) -> tuple[str, ...]:
    gone = {name for placement in placements for name in placement.members}
    return tuple(name for name in there if name not in gone)


def screws_of_steps(steps: Iterable[Step], fixings: Iterable[Fixing]) -> tuple[Fixing, ...]:
    """The screws that steps drive for good; the dry run's are taken out again and not counted."""
    driven = {name for step in steps if step.key != "dry" for name in step.screws}
    return tuple(fixing for fixing in fixings if fixing.name in driven)
