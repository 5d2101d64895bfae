"""Steps that put one part in, or a few made up beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.frame.members import Kind
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joint import JointKind
from longpoint.joinery.placement import Placement
from longpoint.joinery.step import GlueClock, Step
from longpoint.joinery.telling import CLOSE_MINUTES, CUT_MINUTES, DRIVE_MINUTES, Telling


class ClosingSteps(Telling):
    """Writes the steps that close joints one part at a time."""

    def one_by_one(self, placement: Placement, there: tuple[str, ...]) -> list[Step]:
        """Putting in one part, made up beforehand where it must be."""
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
            facts.append(("planned", self.part(piece.length)))
            measure = (
                f"Measure the bay where the piece will stand (planned {self.part(piece.length)}) and cut it tight: it "
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
        if any(name in self.doubled for name in names):
            do.append(
                "It is one of the two doubled members: its open face flush with the sawn ends of the long bars, its "
                "triangle towards the seam. Screw heads on that face are sunk."
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
                said.append(f"Through the {fixing.through[0]}, from the next bay, into its end.")
            elif kind is JointKind.THROUGH_TWO:
                said.append(
                    f"The long one ({fixing.screw.name}) from outside through bar and end rail into its end."
                )
        return list(dict.fromkeys(said))
