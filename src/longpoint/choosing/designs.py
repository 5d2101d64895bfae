"""From what is wished to a design: every dimension settled, or every fault said."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from longpoint.errors import Fault
from longpoint.frame.design import CornerJoint, FrameDesign, Side, even_rails, strings_of
from longpoint.frame.faults import design_faults
from longpoint.frame.halves import halves_faults, seam_for, with_seam
from longpoint.frame.join_places import MOST_PIECES
from longpoint.frame.joins import all_joined, join_faults, place_joins
from longpoint.frame.members import derive_frame
from longpoint.joinery import needed_shift
from longpoint.model.shop import Saw
from longpoint.model.works import BarsWish, InsideWish, Join, Work
from longpoint.works.brief import Brief
from longpoint.works.remembered import remembered
from longpoint.works.sections import drop_for
from longpoint.works.stock import Section

MOST_CROSS_RAILS = 8
"""More cross rails than this are never tried by themselves."""

SHORTEST_BAY = 250.0
"""Bays shorter than this are not tried by themselves. [mm] Estimate."""

BARE_CORNERS_UP_TO = Fraction(700)
"""Longest side up to which mitres held by end-grain glue and screws alone are chosen. [mm] Estimate: NDS does not
count screws in end grain, and glue in a mitre creeps under canvas; small faces pull little."""


def corners_held(design: FrameDesign) -> bool:
    """Whether more than end-grain glue and screws holds every corner, or the face is small enough to do without."""
    if design.corner != "mitre" or design.length <= BARE_CORNERS_UP_TO:
        return True
    return any(set(pair) <= set(design.end_rails) for pair in (design.start_sides, design.flank_sides))


def corners_for(design: FrameDesign) -> tuple[CornerJoint, ...]:
    """Corner joints that hold where plain mitres would not, the usual one first."""
    if design.bar_thickness > design.bar_depth:
        return "half-lap", "mitre with gusset"
    return "mitre with gusset", "mitre with glue block"


def with_corner(wish: BarsWish, design: FrameDesign) -> FrameDesign:
    """The design with the usual corner joint that holds, where the corner is left open and mitres would not hold."""
    if wish.corner != "auto" or corners_held(design):
        return design
    return replace(design, corner=corners_for(design)[0])


def settle(
    brief: Brief,
    *,
    bars: Section,
    rails: Section | None,
    cross_rails: int,
    middle_pieces: bool,
    end_rails: bool,
    sides: tuple[Side, ...] | None = None,
    plain: FrameDesign | None = None,
) -> FrameDesign:
    """A design from given timber, with what the work leaves open filled in.

    Args:
        brief: The work.
        bars: Timber of the bars.
        rails: Timber of the rails; None: as the bars, for frames without rails.
        cross_rails: How many, where the work leaves it open.
        middle_pieces: Whether there are any, where the work leaves it open.
        end_rails: Whether the sides that carry the strings get them, where the work leaves it open.
        sides: Sides that get end rails whatever is wished; a seam stays where it would be without; None: as wished.
        plain: What all layouts of this timber have in common, where it is known.

    Returns:
        The design; it may have faults.
    """
    inside, plain = brief.inside, plain or _without_inside(brief, bars=bars, rails=rails)
    wanted = _end_rail_sides(inside, plain.strings, wanted=end_rails, work=brief.work)
    sides = wanted if sides is None else sides
    middle = middle_pieces if inside.middle_pieces == "auto" else bool(inside.middle_pieces)
    draft = replace(plain, middle_pieces=middle, end_rails=sides)
    if isinstance(inside.cross_rails, tuple):
        draft = replace(draft, cross_rails=tuple(inside.cross_rails))
        seam = seam_for(replace(draft, end_rails=wanted)) if inside.in_halves else None
        draft = draft if seam is None else with_seam(draft, seam)
    else:
        count = cross_rails if inside.cross_rails == "auto" else inside.cross_rails
        if inside.in_halves:
            # The two doubled members count as one; an even number is raised, so that both halves are alike.
            draft, count = replace(draft, seam=draft.length / 2), 2 + 2 * (count // 2)
        if count:
            draft = replace(draft, cross_rails=even_rails(count, design=draft))
    if draft.middle_pieces and not draft.halved and draft.cross_rails:
        shift = (
            needed_shift(rail_thickness=draft.rail_thickness, drill=brief.shop.drill)
            if inside.shift == "auto"
            else Fraction(inside.shift)
        )
        draft = replace(draft, shift=shift)
    return with_joins(brief, draft, bars=bars)


def _without_inside(brief: Brief, *, bars: Section, rails: Section | None) -> FrameDesign:
    """What all layouts of given timber have in common; nothing inside."""
    work, wish, inside = brief.work, brief.bars, brief.inside
    thickness = rails.real_thickness if rails else bars.real_thickness
    depth = rails.real_depth if rails else bars.real_depth
    return FrameDesign(
        width=work.width,
        height=work.height,
        bar_thickness=bars.real_thickness,
        bar_depth=bars.real_depth,
        bevel_fall=bevel_fall(wish, bars.real_thickness),
        bevel_first=bars.boards == 1
        and (wish.bevel_when == "before cutting" or wish.bevel_by == "yard" or bars.bevelled),
        lip_radius=wish.lip_radius,
        corner="mitre" if wish.corner == "auto" else wish.corner,
        rail_thickness=thickness,
        rail_depth=depth,
        drop=drop_for(
            inside,
            gap=brief.gap,
            room=bars.real_depth - (depth if rails else 0),
            flat=rails is not None and thickness > depth,
        ),
        end_rails=(),
        cross_rails=(),
        middle_pieces=False,
        halved=inside.crossing == "halved",
        shift=Fraction(0),
        strings=strings_of(work.strings, width=work.width, height=work.height),
        bar_boards=bars.boards,
    )


def layouts_of(
    brief: Brief, *, bars: Section, rails: Section | None, like: FrameDesign | None = None
) -> tuple[FrameDesign, ...]:
    """Designs with these sections: everything that the work leaves open, in every way.

    Args:
        brief: The work.
        bars: Timber of the bars.
        rails: Timber of the rails.
        like: A design whose layout is the only one that is asked for, where the work leaves it open.
    """
    work, wish = brief.work, brief.inside
    counts: Iterable[int] = (0,)
    if wish.cross_rails == "auto":
        longest = float(max(work.width, work.height))
        counts = range(min(MOST_CROSS_RAILS, math.ceil(longest / SHORTEST_BAY) - 1) + 1)
        counts = counts if like is None else (len(like.cross_rails),)
    middles = (False, True) if wish.middle_pieces == "auto" else (bool(wish.middle_pieces),)
    strings = strings_of(work.strings, width=work.width, height=work.height)
    short = strings_of("short sides", width=work.width, height=work.height)
    every: tuple[Side, ...] = ("left", "right", "bottom", "top")
    ends: list[tuple[Side, ...] | None] = [None]
    if wish.end_rails == "auto":
        ends = list(dict.fromkeys([(), strings, short, every]))
        ends = ends if like is None else [like.end_rails]
    plain = _without_inside(brief, bars=bars, rails=rails)
    return tuple(
        settle(
            brief,
            bars=bars,
            rails=rails,
            cross_rails=count,
            middle_pieces=middle,
            end_rails=bool(sides),
            sides=sides,
            plain=plain,
        )
        for count in counts
        for middle in middles
        for sides in ends
    )


def with_inside(design: FrameDesign, brief: Brief, *, sides: tuple[Side, ...], bars: Section) -> FrameDesign:
    """The design with end rails on these sides; rails that are not placed by the user stay evenly spaced.

    Where rails move, joins of the bars move out of their way.
    """
    if sides == design.end_rails:
        return design
    moved = replace(design, end_rails=sides)
    if isinstance(brief.inside.cross_rails, tuple):
        return with_joins(brief, moved, bars=bars)
    evened = replace(moved, cross_rails=even_rails(len(design.cross_rails), design=moved))
    return with_joins(brief, evened, bars=bars)


def with_joins(brief: Brief, design: FrameDesign, *, bars: Section) -> FrameDesign:
    """The design with joins in every bar that no board gives whole, where the work wishes them.

    Joins keep clear of rails: whoever moves rails asks for them again. Where boards that are stated leave no place for
    a join, the longer ones of an ordinary shop are looked at: whole bars of them, or joined ones.

    Args:
        brief: The work.
        design: The design; the joins it has are dropped.
        bars: Timber of the bars.

    Returns:
        The design. A bar for which no place is found stays whole: `faults_of` says so.
    """
    kind = _join_of(brief, design)
    plain = replace(design, joins=()) if design.joins else design
    if kind == "none" or min(design.width, design.height) <= 0:
        return plain
    for section in (bars, with_besides(bars)):
        boards = longest_boards(brief.shop.saw, section)
        if design.length <= boards[0]:
            return plain
        found = replace(plain, joins=place_joins(derive_frame(plain), kind=kind, boards=boards))
        if all_joined(derive_frame(found), boards=boards):
            return found
    return plain


def _join_of(brief: Brief, design: FrameDesign) -> Join:
    """How a bar that no board gives whole is joined: as stated, or by a scarf."""
    stated = brief.bars.join
    if design.bar_boards > 1:
        return "none"  # a board that runs through would be joined beside one that does not
    if stated != "auto":
        return stated
    return "none" if brief.stock.as_stated else "scarf"


@remembered(512)
def longest_boards(
    saw: Saw, section: Section, *, grades: Collection[str] = ("bars",)
) -> tuple[Fraction, ...]:
    """Usable lengths of the longest boards of some grades that can be had, as many as a bar is joined from. [mm]

    The longest first; 0 for each that cannot be had.
    """
    trim = 2 * saw.end_trim
    found: list[Fraction] = [Fraction(0)] * MOST_PIECES
    for item in section.on_sale:
        if item.grade in grades:
            found += [item.length - trim] * min(
                MOST_PIECES, MOST_PIECES if item.how_many is None else item.how_many
            )
    for board in section.rack:
        if board.grade in grades:
            edges = [saw.end_trim, board.length - saw.end_trim]
            for span in board.avoid:
                edges += [span.start, span.stop]
            edges.sort()
            clear = max(
                (
                    high - low
                    for low, high in pairwise(edges)
                    if not any(span.start <= low and high <= span.stop for span in board.avoid)
                ),
                default=Fraction(0),
            )
            found += [clear] * min(MOST_PIECES, board.how_many)
    found.sort(reverse=True)
    return tuple(found[:MOST_PIECES])


@remembered(64)
def with_besides(section: Section) -> Section:
    """The timber with an ordinary shop's lengths besides: one value, so that what is known of it is kept."""
    return section.with_besides()


def bevel_fall(wish: BarsWish, thickness: Fraction) -> Fraction:
    """The bevel's fall over the bar's thickness, from a length or an angle. [mm]"""
    if isinstance(wish.bevel, Fraction):
        return wish.bevel
    return Fraction(round(math.tan(wish.bevel) * float(thickness) * 10), 10)


def faults_of(brief: Brief, design: FrameDesign) -> tuple[Fault, ...]:
    """Everything that stands against a design in this shop."""
    work, key, saw, style = brief.work, brief.key, brief.shop.saw, brief.style
    faults = design_faults(
        design,
        style=style,
        key=key,
        work=work.name,
        width_at_45=saw.widest,
        height_at_45=saw.highest,
        least_gap=brief.limits.gap or Fraction(0),
    )
    if brief.inside.in_halves or design.seam is not None:
        faults += halves_faults(design, style=style, work=work.name, key=key)
    kind = _join_of(brief, design)
    if kind == "none" or faults:
        return faults
    bars = _section_of(brief, design)
    if bars is None:
        return ()
    boards = longest_boards(saw, with_besides(bars))
    if design.length <= boards[0]:
        return ()
    frame = derive_frame(design)
    if all_joined(frame, boards=boards):
        return ()
    return join_faults(frame, kind=kind, boards=boards, style=style, work=work.name, key=key)


def _section_of(brief: Brief, design: FrameDesign) -> Section | None:
    """The timber that a design's bars are made of."""
    measures = (design.bar_thickness, design.bar_depth)
    return next(
        (bars for bars in brief.sections if (bars.real_thickness, bars.real_depth) == measures),
        None,
    )


def _end_rail_sides(
    inside: InsideWish, strings: tuple[Side, Side], *, wanted: bool, work: Work
) -> tuple[Side, ...]:
    short = strings_of("short sides", width=work.width, height=work.height)
    match inside.end_rails:
        case "none":
            return ()
        case "all":
            return ("left", "right", "bottom", "top")
        case "short sides":
            return short
        case "string sides":
            return strings
        case _:
            if inside.in_halves:
                # End rails along the long bars would run through the seam.
                return short if wanted else ()
            return strings if wanted else ()
