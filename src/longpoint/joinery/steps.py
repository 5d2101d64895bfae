"""The steps of building one frame, made from its order of building.

Minutes are estimates throughout. The order of checks is fixed by what can still be mended: diagonals while the
corners' glue is open, wind before the end rails' last screws, the bay before its piece is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from longpoint.frame.halves import half_frames
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.assembly import joints_within
from longpoint.joinery.joint import Fixing
from longpoint.joinery.placement import Placement
from longpoint.joinery.step import Lying, Step
from longpoint.joinery.steps_seam import SeamSteps
from longpoint.joinery.telling import StepNeeds

__all__ = ["StepNeeds", "screws_of_steps", "steps_of"]


def steps_of(needs: StepNeeds) -> tuple[Step, ...]:
    """The steps of one frame, numbered from 1; in two halves each half is put together on its own."""
    whole = _Writer(needs)
    halves = half_frames(needs.frame)
    names = tuple(member.name for member in needs.frame.members)
    found = [*whole.joining(), *whole.preparing()]
    if len(halves) == 1:
        steps, lies = whole.together()
        found += [*steps, *whole.finishing(names, lies)]
    else:
        found += whole.boring_the_seam()
        for number, half in enumerate(halves, start=1):
            steps, _ = _Writer(_needs_of(needs, half)).together()
            found += [replace(step, half=number) for step in steps]
        found += [*whole.bolting(names), *whole.finishing(names, "FACE DOWN")]
    return tuple(replace(step, number=index) for index, step in enumerate(found, start=1))


def _needs_of(needs: StepNeeds, half: Frame) -> StepNeeds:
    names = {member.name for member in half.members}
    order = replace(
        needs.order,
        placements=tuple(each for each in needs.order.placements if names & set(each.members)),
    )
    return replace(needs, frame=half, joints=joints_within(half, needs.joints), order=order)


class _Writer(SeamSteps):
    """Turns an order into steps."""

    def together(self) -> tuple[list[Step], Lying]:
        """The steps that put a frame, or one half, together, and how it lies then."""
        steps: list[Step] = []
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
                squared = {bar.name for bar in self.needs.frame.of_kind(Kind.BAR)} <= set(there)
                continue
            if lies == "FACE UP":
                steps.append(self.turn_over(there=before))
                lies = "FACE DOWN"
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
        if late:
            # Last: a gusset reaches over the inside of its corner, where end rails come in.
            if lies == "FACE UP":
                steps.append(self.turn_over(there=there))
                lies = "FACE DOWN"
            steps.append(self.gussets(tuple(late), there))
        return steps, lies

    def finishing(self, there: tuple[str, ...], lies: Lying) -> list[Step]:
        """What is done when all parts are in."""
        heads = sum(fixing.under_canvas for fixing in self.fixings.values())
        size = f"{self.show(self.design.width)} × {self.show(self.design.height)}"
        halves = ("On each half its number as well.",) if self.design.seam is not None else ()
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
            do=(
                f"In pencil on the back: “{self.needs.work}”, {size}, an arrow to the top, the date.",
                *halves,
            ),
            check="Once more: diagonals, and lay it on the bench: does it rock? Write both down.",
            while_glue_sets="Full strength takes about a day: do not stretch before.",
            minutes=3.0,
        )
        if lies == "FACE UP":
            return [clean, name]
        return [clean, name]


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


def screws_of_steps(steps: Iterable[Step], fixings: Iterable[Fixing]) -> tuple[Fixing, ...]:
    """The screws that steps drive for good; the dry run's are taken out again and not counted."""
    driven = {name for step in steps if step.key != "dry" for name in step.screws}
    return tuple(fixing for fixing in fixings if fixing.name in driven)
