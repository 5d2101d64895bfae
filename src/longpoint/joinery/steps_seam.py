"""Steps for what is longer than a board or wider than a door: joining bars, boring and bolting a seam."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from longpoint.frame.joins import SCARF_SLOPE
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joint import JointKind
from longpoint.joinery.long_bars import IN_LENGTH
from longpoint.joinery.step import Step
from longpoint.joinery.steps_inner import InnerSteps
from longpoint.joinery.telling import BORE_MINUTES, CHECK_MINUTES, CLOSE_MINUTES, DRIVE_MINUTES

SCARF_MINUTES = 25.0
"""Two slopes sawn and planed true to each other; estimate. [min]"""
LAP_MINUTES = 20.0
"""Two halves sawn and cleaned up, a plate bored; estimate. [min]"""
FLUSH_MINUTES = 8.0
"""Sides, lip and bevel planed through one join; estimate. [min]"""
BOLT_MINUTES = 2.0
"""A bolt with its washers and nut put in and tightened; estimate. [min]"""


class SeamSteps(InnerSteps):
    """Writes the steps of joins and of a seam."""

    def joining(self) -> list[Step]:
        """The day before: bars joined in length, then planed through."""
        joints = [joint for joint in self.needs.joints if joint.kind in IN_LENGTH]
        if not joints:
            return []
        bars = tuple(dict.fromkeys(joint.members[0] for joint in joints))
        length = max(join.length for join in self.design.joins)
        scarf = joints[0].kind is JointKind.SCARF
        screws = tuple(fixing.name for joint in joints for fixing in joint.fixings)
        facts = [("bars", str(len(bars))), ("join", self.fine(length))]
        if scarf:
            facts.append(("slope", str(SCARF_SLOPE)))
            do = [
                f"Saw and plane both ends to a slope of 1 in {SCARF_SLOPE} across the thickness, {self.fine(length)} "
                "long: clamp the two pieces on each other, one set back by that length, and plane both slopes as one.",
                "Size the slopes with a thin coat of glue, then coat both. Lay the bar flat on a straight board with "
                "paper under the join, its outer side against a straight edge; pin or stop the pieces so that they "
                "cannot slide, and clamp between waxed boards.",
            ]
        else:
            plate = max((join.plate for join in self.design.joins if join.plate), default=None)
            assert plate is not None
            half = self.design.bar_thickness / 2
            facts += [
                ("half", self.fine(half)),
                ("plate", f"{self.fine(plate[0])} × {self.fine(plate[1])}"),
            ]
            do = [
                f"Halve both ends across the thickness over {self.fine(length)}: {self.fine(half)} stays on each.",
                "Glue the lap, the bar flat on a straight board with paper under it, its outer side against a straight "
                "edge; clamp.",
                f"Glue and screw the plate {self.fine(plate[0])} × {self.fine(plate[1])} over the lap on the inner "
                f"side, its back edge {self.fine(self.design.drop)} from the bar's. ({self.screws_said(screws)})",
            ]
        glue = sum(spread_minutes(joint) + CLOSE_MINUTES for joint in joints)
        made = (SCARF_MINUTES if scarf else LAP_MINUTES) * len(joints)
        glued = replace(
            self.blank(
                "join-scarf" if scarf else "join-lap", "The day before: join the bars in length", "APART", ()
            ),
            members=bars,
            parts=self.marks(bars),
            screws=screws,
            joints=tuple(joint.name for joint in joints),
            facts=tuple(facts),
            do=tuple(do),
            measure="From long point to long point, before the clamps go on: "
            + ", ".join(self._lengths(bars))
            + ".",
            check="Sight along the outer side and over the face: a bar glued with a bend keeps it.",
            caution="Short, steep pieces are planed clamped down, never held by hand; the plane's and the glue's own "
            "notes come first.",
            while_glue_sets="A join carries nothing before the glue has its full strength, about a day. Cut the other "
            "parts meanwhile.",
            minutes=round(made + glue + DRIVE_MINUTES * len(screws), 1),
        )
        fall = self.design.bevel_fall
        flush = replace(
            self.blank("join-flush", "Plane lip and bevel through the joins", "APART", ()),
            members=bars,
            parts=self.marks(bars),
            facts=(("bevel", self.fine(fall)),),
            do=(
                "Take the thin ends and the glue off the outer side until a straight edge lies on it without light.",
                (
                    "Make the bevel now, in one piece through the join."
                    if not self.design.bevel_first
                    else "The pieces were bevelled before: take the last shavings off bevel and lip through the join, "
                    f"until both run on without a step and the bevel falls {self.fine(fall)} here as elsewhere."
                )
                if fall
                else "Plane front and back through the join until they run on without a step.",
                "From now on it is one bar: mark and bore it as one, from its reference end.",
            ),
            check="A fingernail drawn along the lip must not catch: canvas shows every step as a line.",
            caution="Plane from the thick piece towards the thin end, so that it is not lifted.",
            minutes=FLUSH_MINUTES * len(joints),
        )
        return [glued, flush]

    def _lengths(self, bars: tuple[str, ...]) -> list[str]:
        lengths: dict[Fraction, None] = {}
        for name in bars:
            lengths.setdefault(self.needs.frame.named(name).length)
        return [self.show(length) for length in lengths]

    def boring_the_seam(self) -> list[Step]:
        """Before the halves: both doubled members bored as one, the bars' sawn ends for their dowels."""
        bolts = [bolt for joint in self.needs.joints for bolt in joint.bolts]
        dowels = [dowel for joint in self.needs.joints for dowel in joint.dowels]
        rails, ends = bolts[0].members, tuple(name for dowel in dowels for name in dowel.members)
        size, hole = self.fine(dowels[0].diameter), self.fine(bolts[0].hole)
        deep = self.fine(dowels[0].length / 2 + 2)
        high = self.fine(dowels[0].centre[2] + self.design.bar_depth)
        bored = replace(
            self.blank("seam-bore", "Bore the seam before anything is put together", "APART", ()),
            members=(*rails, *ends),
            parts=self.marks((*rails, *ends)),
            facts=(
                ("bolts", str(len(bolts))),
                ("hole", hole),
                ("dowel", size),
                ("deep", deep),
                ("from the back edge", high),
            ),
            do=(
                "Saw the butting ends of the long bars a hair under square, a paper's thickness off at the back: they "
                "must meet at the lip, where the canvas pulls, and never gape there.",
                f"Clamp the doubled members {self.called(rails)} face to face, edges flush, still as long as they came "
                f"from the saw, and bore {len(bolts)} holes of {hole} through both at once, measured from the middle. "
                "Draw a triangle over both, so that they find each other again.",
                f"In the sawn end of each long bar bore one hole of {size}, {deep} deep, in the middle of the "
                f"thickness and {high} from the back edge: prick it through one card for all four.",
            ),
            check="Put the bolts through and turn one member end for end: they must go in one way only, the way of the "
            "triangle.",
            caution="Bore over waste wood; long parts held in a vice, eyes covered. The drill's manual comes first.",
            minutes=BORE_MINUTES * (len(bolts) + 2 * len(dowels)) + 8.0,
        )
        return [bored]

    def bolting(self, names: tuple[str, ...]) -> list[Step]:
        """The two halves bolted together, squared as one, numbered."""
        seam = next(joint for joint in self.needs.joints if joint.bolts)
        butts = [joint for joint in self.needs.joints if joint.dowels]
        bolts = seam.bolts
        people = 2
        size = bolts[0].size.removeprefix("bolt ")
        bolted = replace(
            self.blank("seam-bolt", "Bolt the two halves together", "FACE DOWN", names),
            members=bolts[0].members,
            parts=self.marks(bolts[0].members),
            joints=(seam.name, *(joint.name for joint in butts)),
            bolts=tuple(bolt.name for bolt in bolts),
            facts=(
                ("bolts", str(len(bolts))),
                ("size", size),
                ("face", f"{self.show(self.design.width)} × {self.show(self.design.height)}"),
            ),
            do=(
                "When the glue of both halves has set, lay them face down on a flat floor, sawn ends towards each "
                "other. Glue the dowels into the first half only; chamfer and wax what stands out.",
                f"Push the halves together over the dowels and put in the {len(bolts)} bolts {size}, a washer at "
                "either end; turn the nuts until the members touch.",
                "Square the whole frame by its two diagonals, look across it for wind, then tighten the nuts, the "
                "middle ones first.",
                "Number the halves 1 and 2 on their backs beside the seam, with an arrow from one to the other.",
            ),
            measure="Both diagonals of the whole frame, and the two long sides over the seam.",
            check="The butts touch at the lips: no slip of paper goes in there. Draw a fingernail over them: flush, or "
            "the canvas shows the seam as a line. Plane the higher one bolted together.",
            caution="Two people: a half that tips breaks its open corners. Canvas goes on when the halves are bolted "
            "together and comes off, rolled, before they are taken apart; nip the nuts up after stretching and again "
            "after some weeks, when the timber has given.",
            minutes=round(
                BOLT_MINUTES * len(bolts)
                + sum(spread_minutes(joint) for joint in butts)
                + 2 * CHECK_MINUTES
                + 6.0,
                1,
            ),
            people=people,
        )
        return [bolted]
