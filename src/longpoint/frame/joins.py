"""Longer than a board: where bars are joined in length, and the pieces they are made from.

A join lies in one bay, clear of rails and away from mid-bay, as near as the boards allow to a fifth of the bay from
a rail, where an even pull bends a continuous bar least.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import ceil, floor

from longpoint.errors import Fault, Where
from longpoint.frame.design import BarJoin, FrameDesign, JoinKind, Side
from longpoint.frame.halves import as_built
from longpoint.frame.members import Frame, Kind, Member
from longpoint.units import LengthStyle

SCARF_SLOPE = 8
"""Length of a scarf over the thickness it crosses; common practice, no published source (8 to 12)."""
LAP_OVER_DEPTH = 3
"""Length of a half-lap over the bar's depth; estimate."""
PLATE_BEYOND = Fraction(60)
"""How far a plate reaches beyond the lap at both ends; estimate. [mm]"""
PLATE_GAP = Fraction(8)
"""Gap a plate keeps to the canvas where no rail says how much, as rails do; estimate. [mm]"""
BEST_IN_BAY = Fraction(1, 5)
"""Where the bending of a continuous bar under an even pull is near zero: about a fifth of the bay from a rail."""
CLEAR_OF_RAIL = Fraction(40)
"""Between the end of a join and a rail's face; estimate. [mm]"""
KEEP_OUT = Fraction(1, 20)
"""Half of the stretch at mid-bay that stays whole, over the bay: there the bar bends most; estimate."""
NEARLY = Fraction(1, 20)
"""Places whose share of the bay differs by less are as good as each other; estimate."""
TRIED_EVERY = 5
"""Centres are tried this far apart. [mm]"""

_TURNED: dict[Side, Side] = {"bottom": "top", "top": "bottom", "left": "right", "right": "left"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPiece:
    """One piece of a bar as it is cut from a board.

    Attributes:
        start: Where it starts along the bar, from the bar's own start, the join with it. [mm]
        stop: Where it stops. [mm]
        joins: The join at its start and at its stop; None where the bar itself ends.
    """

    start: Fraction
    stop: Fraction
    joins: tuple[BarJoin | None, BarJoin | None]

    @property
    def length(self) -> Fraction:
        """As it is cut. [mm]"""
        return self.stop - self.start


def join_length(design: FrameDesign, kind: JoinKind) -> Fraction:
    """Length of a join along the bar. [mm]"""
    return SCARF_SLOPE * design.bar_thickness if kind == "scarf" else LAP_OVER_DEPTH * design.bar_depth


def plate_size(design: FrameDesign, kind: JoinKind) -> tuple[Fraction, Fraction] | None:
    """Length and depth of the plate over a join; None for a scarf. [mm]"""
    if kind == "scarf":
        return None
    room = design.bar_depth - design.drop - max(PLATE_GAP, design.bevel_fall + 2)
    return join_length(design, kind) + 2 * PLATE_BEYOND, min(design.rail_depth, room)


def pieces_of(design: FrameDesign, bar: Member) -> tuple[BarPiece, ...]:
    """The pieces of a bar as it is built, from its start; one piece where it is not joined."""
    if bar.side is None:
        return (BarPiece(start=Fraction(0), stop=bar.length, joins=(None, None)),)
    inside = [join for join in design.joins_of(bar.side) if bar.start < join.centre < bar.stop]
    ends: list[BarJoin | None] = [None, *inside, None]
    return tuple(
        BarPiece(
            start=before.centre - before.length / 2 - bar.start if before else Fraction(0),
            stop=after.centre + after.length / 2 - bar.start if after else bar.length,
            joins=(before, after),
        )
        for before, after in pairwise(ends)
    )


def plates_of(frame: Frame) -> tuple[Member, ...]:
    """The plates over joins, in their places on the inner side of their bars."""
    design = frame.design
    found = []
    for join in design.joins:
        if join.plate is None:
            continue
        bar = next(member for member in frame.members if member.kind is Kind.BAR and member.side == join.side)
        length, depth = join.plate
        thick = design.rail_thickness
        low = bar.high if join.side in ("left", "bottom") else bar.low - thick
        back = -design.bar_depth + design.drop
        number = design.joins_of(join.side).index(join) + 1
        found.append(
            Member(
                name=f"{join.side} plate {number}",
                kind=Kind.PLATE,
                axis=bar.axis,
                start=join.centre - length / 2,
                stop=join.centre + length / 2,
                low=low,
                high=low + thick,
                back=back,
                front=back + depth,
                side=join.side,
            )
        )
    return tuple(found)


def place_joins(frame: Frame, *, kind: JoinKind, boards: tuple[Fraction, Fraction]) -> tuple[BarJoin, ...]:
    """Joins for every bar that is longer than the longest board.

    Args:
        frame: The frame, whole; joins it has already are not looked at.
        kind: How bars are joined.
        boards: Usable lengths of the two longest boards. [mm]

    Returns:
        The joins. A bar for which no place is found is left whole: `join_faults` says why. Bars that face each
        other are joined at places turned end for end where that is as good, so that they are cut alike.
    """
    found: list[BarJoin] = []
    for bar in as_built(frame).of_kind(Kind.BAR):
        if bar.length <= boards[0] or bar.side is None:
            continue
        places = _places(frame, bar, kind=kind, boards=boards)
        if not places:
            continue
        full = frame.design.width if bar.axis == "x" else frame.design.height
        partners = {full - join.centre for join in found if join.side == _TURNED[bar.side]}
        good = [place for off, place in places if off <= places[0][0] + NEARLY]
        centre = next((place for place in good if place in partners), good[0])
        found.append(
            BarJoin(
                side=bar.side,
                kind=kind,
                centre=centre,
                length=join_length(frame.design, kind),
                plate=plate_size(frame.design, kind),
            )
        )
    return tuple(found)


def join_faults(
    frame: Frame,
    *,
    kind: JoinKind,
    boards: tuple[Fraction, Fraction],
    style: LengthStyle,
    work: str,
    key: str,
) -> tuple[Fault, ...]:
    """Why bars that should be joined in length are not.

    Args:
        frame: The frame with the joins that were found.
        kind: How bars are joined.
        boards: Usable lengths of the two longest boards. [mm]
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
    """
    design = frame.design
    show = style.show
    length = join_length(design, kind)
    faults: list[Fault] = []
    for bar in as_built(frame).of_kind(Kind.BAR):
        assert bar.side is not None
        if bar.length <= boards[0]:
            continue
        if kind != "scarf" and bar.side in design.end_rails:
            faults.append(
                Fault(
                    "plate-under-end-rail",
                    f"{work}: the {bar.name} is joined under a plate, where its end rail must lie.",
                    'Use join = "scarf", or leave the end rail out there.',
                    Where(f"{key}.bars.join"),
                )
            )
            continue
        if len(pieces_of(design, bar)) > 1:
            continue
        side = Where(f"{key}.width" if bar.axis == "x" else f"{key}.height")
        if sum(boards) < bar.length + length:
            faults.append(
                Fault(
                    "two-boards-too-short",
                    f"{work}: the {bar.name} is {show(bar.length)} long and its join {show(length)}; the two longest "
                    f"boards for bars, {show(boards[0])} and {show(boards[1])} without their trimmed ends, give "
                    f"{show(max(sum(boards) - length, Fraction(0)))} at most.",
                    f"Find boards of {show((bar.length + length) / 2)} or more, make the frame in two halves "
                    "(inside.in_halves = true), or make the work smaller.",
                    side,
                )
            )
            continue
        faults.append(
            Fault(
                "no-place-for-join",
                f"{work}: the {bar.name} is {show(bar.length)} long; two boards of {show(boards[0])} and a join "
                f"{show(_taken(design, kind))} long leave no place clear of rails and away from mid-bay.",
                _what_would_do(frame, bar, kind=kind, style=style)
                + "use fewer rails or move them, or make the frame in two halves (inside.in_halves = true).",
                side,
            )
        )
    return tuple(faults)


def _what_would_do(frame: Frame, bar: Member, *, kind: JoinKind, style: LengthStyle) -> str:
    """The shortest boards with which a bar could be joined between its rails, in words; "" where none would do."""
    half = join_length(frame.design, kind) / 2
    anywhere = _places(frame, bar, kind=kind, boards=(bar.length, bar.length))
    longest = [max(centre - bar.start, bar.stop - centre) + half for _, centre in anywhere]
    return (
        f"Find boards that give {style.show(min(longest))} or more, "
        if longest
        else "Between these rails none fits: "
    )


def _taken(design: FrameDesign, kind: JoinKind) -> Fraction:
    """How much of a bay a join takes, its plate with it. [mm]"""
    plate = plate_size(design, kind)
    return plate[0] if plate else join_length(design, kind)


def _places(
    frame: Frame, bar: Member, *, kind: JoinKind, boards: tuple[Fraction, Fraction]
) -> list[tuple[Fraction, Fraction]]:
    """Where a bar may be joined, the best first: off the best share of its bay, centre from the frame's corner."""
    design = frame.design
    if kind != "scarf" and bar.side in design.end_rails:
        return []
    return list(
        _ranked(
            free_stretches(frame, bar),
            bar=(bar.start, bar.stop),
            length=join_length(design, kind),
            taken=_taken(design, kind),
            boards=boards,
        )
    )


@lru_cache(maxsize=256)
def _ranked(
    stretches: tuple[tuple[Fraction, Fraction], ...],
    *,
    bar: tuple[Fraction, Fraction],
    length: Fraction,
    taken: Fraction,
    boards: tuple[Fraction, Fraction],
) -> tuple[tuple[Fraction, Fraction], ...]:
    """Places in free stretches of a bar from ``bar[0]`` to ``bar[1]``; many layouts ask for the same."""
    ranked: list[tuple[Fraction, Fraction, Fraction]] = []
    for low, high in stretches:
        if high <= low:
            continue
        for centre in _tried(low, high, taken=taken):
            pieces = sorted((centre - bar[0] + length / 2, bar[1] - centre + length / 2))
            if pieces[1] > boards[0] or pieces[0] > boards[1]:
                continue
            share = min(centre - low, high - centre) / (high - low)
            ranked.append((abs(share - BEST_IN_BAY), pieces[1], centre))
    return tuple((off, centre) for off, _, centre in sorted(ranked))


def free_stretches(frame: Frame, bar: Member) -> tuple[tuple[Fraction, Fraction], ...]:
    """Stretches of a bar between its corners and the members that end on it or on its end rail.

    Args:
        frame: The frame.
        bar: A bar as it is built.

    Returns:
        Where each starts and stops along the bar's axis in the frame. [mm]
    """
    design = frame.design
    full = design.width if bar.axis == "x" else design.height
    inset = design.bar_thickness
    if design.corner == "mitre with gusset":
        inset = max(6 * design.bar_thickness, Fraction(120))
    elif design.corner == "mitre with glue block":
        inset += Fraction(35)
    taken = [
        (Fraction(0), inset) if bar.start == 0 else (bar.start, bar.start),
        (full - inset, full) if bar.stop == full else (bar.stop, bar.stop),
    ]
    faces = {bar.low, bar.high}
    for rail in frame.of_kind(Kind.END_RAIL):
        if rail.side == bar.side:
            faces |= {rail.low, rail.high}
    for other in frame.members:
        if other.kind is Kind.BAR or other.axis == bar.axis:
            continue
        if (other.start in faces or other.stop in faces) and bar.start <= other.centre <= bar.stop:
            taken.append((other.low, other.high))
    taken.sort()
    merged: list[tuple[Fraction, Fraction]] = []
    for low, high in taken:
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return tuple((low, high) for (_, low), (high, _) in pairwise(merged))


def _tried(low: Fraction, high: Fraction, *, taken: Fraction) -> list[Fraction]:
    """Centres in one bay, in whole millimetres: clear of the rails and not over mid-bay."""
    first, last = ceil(low + CLEAR_OF_RAIL + taken / 2), floor(high - CLEAR_OF_RAIL - taken / 2)
    middle = (low + high) / 2
    away = (high - low) * KEEP_OUT + taken / 2
    centres = {*range(first, last + 1, TRIED_EVERY), *range(last, first - 1, -TRIED_EVERY)}
    return [Fraction(centre) for centre in sorted(centres) if abs(centre - middle) >= away]
