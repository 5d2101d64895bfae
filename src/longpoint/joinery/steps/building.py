"""The steps of building one frame, made from its order of building.

Minutes are estimates throughout. The order of checks is fixed by what can still be mended: diagonals while the
corners' glue is open, wind before the end rails' last screws, the bay before its piece is cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from longpoint.frame.halves import half_frames
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.joint import Fixing
from longpoint.joinery.order.assembly import joints_within
from longpoint.joinery.order.placement import Placement
from longpoint.joinery.steps.closing import make_up
from longpoint.joinery.steps.glue_up import glueing_up
from longpoint.joinery.steps.inner import cross_rails, end_rails, middle_pieces
from longpoint.joinery.steps.outer import corners, gussets, late_bars, late_screws, preparing, turn_over, wind
from longpoint.joinery.steps.seam import bolting, boring_the_seam, joining
from longpoint.joinery.steps.step import Lying, Step
from longpoint.joinery.steps.telling import StepNeeds, Telling


def steps_of(needs: StepNeeds) -> tuple[Step, ...]:
    """The steps of one frame, numbered from 1; in two halves each half is put together on its own."""
    whole = Telling(needs)
    halves = half_frames(needs.frame)
    names = tuple(member.name for member in needs.frame.members)
    found = [*glueing_up(whole), *joining(whole), *preparing(whole)]
    if len(halves) == 1:
        found += _together(whole)
    else:
        found += boring_the_seam(whole)
        for number, half in enumerate(halves, start=1):
            found += [replace(step, half=number) for step in _together(Telling(_needs_of(needs, half)))]
        found += bolting(whole, names)
    found += _finishing(whole, names)
    return tuple(replace(step, number=index) for index, step in enumerate(found, start=1))


def _needs_of(needs: StepNeeds, half: Frame) -> StepNeeds:
    names = {member.name for member in half.members}
    order = replace(
        needs.order,
        placements=tuple(each for each in needs.order.placements if names & set(each.members)),
    )
    return replace(needs, frame=half, joints=joints_within(half, needs.joints), order=order)


def _together(told: Telling) -> list[Step]:
    """The steps that put a frame, or one half, together."""
    steps: list[Step] = []
    runs = _runs(told.frame, told.needs.order.placements)
    bars = {bar.name for bar in told.frame.of_kind(Kind.BAR)}
    there: tuple[str, ...] = ()
    lies: Lying = "FACE UP"
    squared = False
    late: list[str] = []
    for index, (kind, placements) in enumerate(runs):
        before = there
        there = (*there, *(name for placement in placements for name in placement.members))
        if kind is Kind.BAR and lies == "FACE UP":
            steps += [make_up(told, each, before) for each in placements if each.made_up]
            leave = late_screws(told, placements)
            late += leave
            steps += corners(told, placements, before, there, leave=leave)
            if not told.design.end_rails:
                steps.append(wind(told, there))
            squared = bars <= set(there)
            continue
        if lies == "FACE UP":
            steps.append(turn_over(told, there=before))
            lies = "FACE DOWN"
        if kind is Kind.BAR:
            steps += late_bars(told, placements, there)
        elif kind is Kind.END_RAIL:
            steps += end_rails(told, placements, before, there, squared=squared)
        elif kind is Kind.CROSS_RAIL:
            steps += cross_rails(told, placements, there)
        else:
            first = not any(each is Kind.MIDDLE_PIECE for each, _ in runs[:index])
            steps += middle_pieces(told, placements, there, first=first)
    if late:
        # Last: a gusset reaches over the inside of its corner, where end rails come in.
        if lies == "FACE UP":
            steps.append(turn_over(told, there=there))
        steps.append(gussets(told, tuple(late), there))
    return steps


def _finishing(told: Telling, there: tuple[str, ...]) -> list[Step]:
    """What is done when all parts are in."""
    design = told.design
    heads = sum(fixing.under_canvas for fixing in told.fixings.values())
    clean = replace(
        told.step("ease", "ON EDGE", there),
        facts=(("heads under canvas", str(heads)), ("lip radius", told.fine(design.lip_radius))),
        do=("ease.heads" if heads else "ease.no-heads", "ease.lip", "ease.burrs"),
        check=("ease.rag",),
        caution=("ease.dust",),
        minutes=6.0 + 0.3 * heads + float(2 * (design.width + design.height)) / 1000.0,
    )
    name = replace(
        told.step("name", "FACE DOWN", there),
        facts=(
            ("work", told.needs.work),
            ("size", f"{told.show(design.width)} × {told.show(design.height)}"),
        ),
        do=("name.write", *(("name.halves",) if design.seam is not None else ())),
        check=("name.once-more",),
        meanwhile="name.a-day",
        minutes=3.0,
    )
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


def screws_of_steps(steps: Iterable[Step], fixings: Iterable[Fixing]) -> tuple[Fixing, ...]:
    """The screws that steps drive for good; the dry run's are taken out again and not counted."""
    driven = {name for step in steps if step.key != "dry" for name in step.screws}
    return tuple(fixing for fixing in fixings if fixing.name in driven)
