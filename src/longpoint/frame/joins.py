"""Longer than a board: where bars are joined in length, and the pieces they are made from.

Every join lies in one bay, clear of rails and away from mid-bay, as near as the boards allow to a fifth of the bay
from a rail, where an even pull bends a continuous bar least.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from longpoint.errors import Fault, Where
from longpoint.frame.design import BarJoin, FrameDesign, JoinKind, Side
from longpoint.frame.halves import as_built
from longpoint.frame.join_places import MOST_PIECES, LongBar, as_good, best_places, shortest_boards
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


def place_joins(frame: Frame, *, kind: JoinKind, boards: tuple[Fraction, ...]) -> tuple[BarJoin, ...]:
    """Joins for every bar that is longer than the longest board, as few in each as the boards let it.

    Args:
        frame: The frame, whole; joins it has already are not looked at.
        kind: How bars are joined.
        boards: Usable lengths of the longest boards, the longest first. [mm]

    Returns:
        The joins. A bar for which no places are found is left whole: `join_faults` says why. Bars that face each
        other are joined at places turned end for end where that is as good, so that they are cut alike.
    """
    found: list[BarJoin] = []
    for bar in as_built(frame).of_kind(Kind.BAR):
        if bar.length <= boards[0] or bar.side is None:
            continue
        long = _long_bar(frame, bar, kind=kind)
        if long is None:
            continue
        full = frame.design.width if bar.axis == "x" else frame.design.height
        turned = [full - join.centre for join in found if join.side == _TURNED[bar.side]]
        alike = tuple(sorted(centre for centre in turned if bar.start < centre < bar.stop))
        centres = alike if alike and as_good(long, boards, alike) else best_places(long, boards)
        found += (
            BarJoin(
                side=bar.side,
                kind=kind,
                centre=centre,
                length=join_length(frame.design, kind),
                plate=plate_size(frame.design, kind),
            )
            for centre in centres
        )
    return tuple(found)


def all_joined(frame: Frame, *, boards: tuple[Fraction, ...]) -> bool:
    """Whether every bar that is longer than the longest board is joined.

    Args:
        frame: The frame with the joins that were found.
        boards: Usable lengths of the longest boards, the longest first. [mm]
    """
    bars = as_built(frame).of_kind(Kind.BAR)
    return all(bar.length <= boards[0] or len(pieces_of(frame.design, bar)) > 1 for bar in bars)


def join_faults(
    frame: Frame,
    *,
    kind: JoinKind,
    boards: tuple[Fraction, ...],
    style: LengthStyle,
    work: str,
    key: str,
) -> tuple[Fault, ...]:
    """Why bars that should be joined in length are not.

    Args:
        frame: The frame with the joins that were found.
        kind: How bars are joined.
        boards: Usable lengths of the longest boards, the longest first. [mm]
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
    """
    design = frame.design
    show = style.show
    length = join_length(design, kind)
    most = tuple(board for board in boards if board > length)[:MOST_PIECES]
    give = max(
        (sum(most[:count]) - (count - 1) * length for count in range(1, len(most) + 1)), default=length
    )
    faults: list[Fault] = []
    for bar in as_built(frame).of_kind(Kind.BAR):
        assert bar.side is not None
        if bar.length <= boards[0]:
            continue
        long = _long_bar(frame, bar, kind=kind)
        if long is None:
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
        shortest = shortest_boards(long)
        halves = "make the frame in two halves (inside.in_halves = true)"
        have = ", ".join(dict.fromkeys(show(board) for board in most or boards[:1]))
        if give < bar.length:
            longer = max(shortest or Fraction(0), (bar.length + (MOST_PIECES - 1) * length) / MOST_PIECES)
            faults.append(
                Fault(
                    "boards-too-short",
                    f"{work}: the {bar.name} is {show(bar.length)} long and each join {show(length)}; the longest "
                    f"boards for bars, {have} without their trimmed ends, give {show(give)} at most, joined from "
                    f"{max(len(most), 1)} pieces.",
                    f"Find boards of {show(longer)} or more, {halves}, or make the work smaller.",
                    side,
                )
            )
            continue
        find = (
            f"Find boards that give {show(shortest)} or more, "
            if shortest
            else "Between these rails none fits: "
        )
        faults.append(
            Fault(
                "no-place-for-join",
                f"{work}: the {bar.name} is {show(bar.length)} long; boards of {have} and joins {show(long.taken)} "
                "long leave no places clear of rails and away from mid-bay.",
                f"{find}use fewer rails or move them, or {halves}.",
                side,
            )
        )
    return tuple(faults)


def _long_bar(frame: Frame, bar: Member, *, kind: JoinKind) -> LongBar | None:
    """What decides where a bar is joined; None where an end rail lies where its plates would."""
    design = frame.design
    if kind != "scarf" and bar.side in design.end_rails:
        return None
    plate, length = plate_size(design, kind), join_length(design, kind)
    return LongBar(
        start=bar.start,
        stop=bar.stop,
        free=free_stretches(frame, bar),
        length=length,
        taken=plate[0] if plate else length,
    )


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
