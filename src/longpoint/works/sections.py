"""Which timber the bars and rails of a work may be made of, on edge and flat, and where rails then lie in the bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from longpoint.model.shop import Limits
from longpoint.model.works import BarsWish, InsideWish
from longpoint.works.stock import Section, Stock

USUAL_GAP = Fraction(8)
"""Gap between rails and canvas that is wished. [mm] Estimate, within 6–20 mm from memory."""

FLAT_GAP = Fraction(12)
"""The same of rails that lie flat, which come up to it from the back: near the canvas they keep bars best from turning
in (a square of 1.5 m in 21 × 70 turns 1.3° in the long run, against 1.9° with rails at the back, computed). [mm]
Estimate, within 6–20 mm from memory."""

LEAST_GAP = Fraction(6)
"""Least gap where there is no room for more. [mm] From memory."""

USUAL_DROP = Fraction(7)
"""How far rails lie in from the back edge where there is room. [mm] Estimate."""

LEAST_DROP = Fraction(2)
"""The same where there is less: so that no rail touches the wall. [mm] Estimate."""

USUAL_DEPTH = Fraction(44)
"""Depth of bars where neither the work nor the yard says one. [mm] Common practice, no published source."""

DEEP_ENOUGH = Fraction(30), Fraction(75)
"""Depths off the wall among which one is taken where none is said, if there are such. [mm] Estimate."""

GOES_ROUND = 1.25
"""Boards in the rack, over the outlines of all works, that are taken to be enough for them. [1] Estimate."""

LEAST_ASSUMED_DEPTH = Fraction(9)
"""Rails shallower than this are not assumed. [mm] Estimate: thinner strips are not sold as timber."""


def bar_choices(stock: Stock, wish: BarsWish, *, any_depth: bool = False) -> tuple[Section, ...]:
    """Sections the bars of a work may have, the likeliest first.

    Where no depth is said it is `USUAL_DEPTH` if that is on sale, else whatever is on sale.

    Args:
        stock: What can be had.
        wish: How its bars are wished.
        any_depth: Whether all on sale is wanted where no depth is said.
    """
    if wish.glued_from == 2:
        return glued_choices(stock, wish)
    stated = bool(stock.sections("bars"))
    found = stock.sections("bars", named=wish.timber) if stated else stock.ordinary("bars")
    fitting = _as_wished(found, wish)
    if not fitting and not stated:
        return (_assumed_bars(stock, wish),)
    if not fitting and wish.thickness != "auto" and not stock.as_stated:
        fitting = _as_wished(stock.ordinary("bars"), wish)
    if not fitting and not stock.as_stated:
        fitting = _nearest(found, wish) or _nearest(stock.sections("bars"), wish)
    if wish.depth == "auto" and not any_depth:
        for least, most in ((USUAL_DEPTH, USUAL_DEPTH), DEEP_ENOUGH):
            some = [section for section in fitting if least <= section.depth <= most]
            if some:
                fitting = some
                break
    return _lasting(
        stock,
        tuple(sorted(fitting, key=lambda section: (abs(section.depth - USUAL_DEPTH), section.thickness))),
    )


def glued_choices(stock: Stock, wish: BarsWish) -> tuple[Section, ...]:
    """Bars glued from two boards of one section on edge, face to face, the likeliest first.

    A thickness that is stated is that of the glued bar; where nobody asks for glued bars it is left aside, as it is
    where other timber is bought.

    Args:
        stock: What can be had.
        wish: How its bars are wished.
    """
    stated = stock.sections("bars", named=wish.timber)
    ordinary = stock.ordinary("bars")
    fitting: list[Section] = []
    for some in (stated, ordinary) if stated and not stock.as_stated else (stated or ordinary,):
        fitting = [
            section.glued()
            for section in some
            if section.thickness <= section.depth
            and not section.bevelled
            and wish.depth in ("auto", section.depth)
            and (wish.glued_from != 2 or wish.thickness in ("auto", 2 * section.thickness))
        ]
        if fitting or wish.glued_from != 2:
            break
    return tuple(sorted(fitting, key=lambda section: (abs(section.depth - USUAL_DEPTH), section.thickness)))


def _as_wished(found: Sequence[Section], wish: BarsWish) -> list[Section]:
    return [
        section
        for section in found
        if wish.depth in ("auto", section.depth)
        and (section.thickness == wish.thickness if wish.thickness != "auto" else _stands(section, wish))
    ]


def _nearest(found: Sequence[Section], wish: BarsWish) -> list[Section]:
    """Where no timber of the stated sides is on sale: what is called so by its wide side, or what is nearest to it."""
    standing = [section for section in found if _stands(section, wish)]

    def off(section: Section) -> tuple[Fraction, Fraction]:
        pairs = (section.depth, wish.depth), (section.thickness, wish.thickness)
        deep, thick = (Fraction(0) if side == "auto" else abs(own - side) for own, side in pairs)
        return deep, thick

    named = [section for section in standing if wish.stand == "flat" and section.thickness == wish.depth]
    if named and wish.thickness == "auto":
        return named
    least = min(map(off, standing), default=None)
    return [section for section in standing if off(section) == least]


def edge_choices(stock: Stock, wish: BarsWish) -> tuple[Section, ...]:
    """Bars standing on edge for a work that says they lie flat; none where nothing else than stated is planned."""
    if wish.stand != "flat" or stock.as_stated:
        return ()
    return bar_choices(stock, wish.model_copy(update={"stand": "on edge"}))


def _assumed_bars(stock: Stock, wish: BarsWish) -> Section:
    """Bars of stated sides that no ordinary shop has: assumed to be made to measure."""
    thickness, depth = _usual_thickness(stock), USUAL_DEPTH
    if wish.stand == "flat":
        thickness, depth = depth, thickness
    return stock.assumed(
        thickness=thickness if wish.thickness == "auto" else Fraction(wish.thickness),
        depth=depth if wish.depth == "auto" else Fraction(wish.depth),
    )


def rail_choices(
    stock: Stock, wish: InsideWish, bars: Section, *, gap: Fraction, buying: bool = False
) -> tuple[Section, ...]:
    """Sections the rails of a work may have inside given bars, on edge and flat, the likeliest first.

    Where none that is stated fits, an ordinary yard's are looked at: they are bought besides.

    Args:
        stock: What can be had.
        wish: How its inside is wished.
        bars: Timber of its bars.
        gap: Least gap between rails and canvas. [mm]
        buying: Whether an ordinary yard's are looked at in any case.
    """
    most = bars.real_depth - least_taken(wish, gap=gap)
    stated = bool(stock.sections("rails"))
    found = stock.sections("rails", named=wish.timber) if stated else stock.ordinary("rails")
    fitting = [section for section in found if _rail_fits(section, wish, most)]
    if buying and stated:
        known = {(section.thickness, section.depth) for section in fitting}
        fitting += [
            section
            for section in stock.ordinary("rails")
            if _rail_fits(section, wish, most) and (section.thickness, section.depth) not in known
        ]
    if not fitting and stated and not stock.as_stated:
        fitting = _other_rails(stock, wish, most)
    if not fitting and not stated:
        return _assumed_rails(stock, wish, bars, most)
    ordered = sorted(
        fitting,
        key=lambda section: (
            section.depth < section.thickness,
            -section.depth,
            abs(section.thickness - bars.thickness),
        ),
    )
    return _lasting(stock, tuple(ordered))


def _other_rails(stock: Stock, wish: InsideWish, most: Fraction) -> list[Section]:
    """Rails where none that is stated and wished fits: of an ordinary shop, or other timber than is wished."""
    ordinary = stock.ordinary("rails")
    fitting = [section for section in ordinary if _rail_fits(section, wish, most)]
    if fitting:
        return fitting
    free = wish.model_copy(update={"timber": "auto", "thickness": "auto", "depth": "auto"})
    every = (*stock.sections("rails"), *ordinary)
    fitting = [section for section in every if _rail_fits(section, free, most)]

    def off(section: Section) -> Fraction:
        pairs = (section.depth, wish.depth), (section.thickness, wish.thickness)
        return sum((abs(own - side) for own, side in pairs if side != "auto"), Fraction(0))

    least = min(map(off, fitting), default=None)
    return [section for section in fitting if off(section) == least]


def _lasting(stock: Stock, sections: tuple[Section, ...]) -> tuple[Section, ...]:
    """Without timber that lies in the rack alone and would not go round, where other timber is on sale."""
    lasting = tuple(
        section
        for section in sections
        if section.on_sale
        or float(sum(board.length * board.how_many for board in section.rack)) >= GOES_ROUND * stock.outline
    )
    return lasting or sections


def _assumed_rails(stock: Stock, wish: InsideWish, bars: Section, most: Fraction) -> tuple[Section, ...]:
    """Rails of sides that no ordinary shop has: assumed to be made to measure."""
    # Bars lying flat are far thicker than any rail need be.
    usual = min(bars.real_thickness, _usual_thickness(stock))
    thickness = usual if wish.thickness == "auto" else Fraction(wish.thickness)
    if wish.depth != "auto":
        depth = Fraction(wish.depth)
    else:
        drop = USUAL_DROP if wish.drop == "auto" else wish.drop
        depth = Fraction(math.floor(bars.real_depth - drop - USUAL_GAP - 1))
        if depth < LEAST_ASSUMED_DEPTH:
            depth = Fraction(math.floor(most))
        if depth < LEAST_ASSUMED_DEPTH:
            return ()
    return (stock.assumed(thickness=thickness, depth=depth),)


def _usual_thickness(stock: Stock) -> Fraction:
    """Thin side of the likeliest bars of an ordinary shop. [mm]"""
    return min(
        stock.ordinary("bars"), key=lambda one: (abs(one.depth - USUAL_DEPTH), one.thickness)
    ).thickness


def least_taken(wish: InsideWish, *, gap: Fraction) -> Fraction:
    """What drop and gap take of the depth of a bar at the least, by how its inside is wished. [mm]"""
    drop = LEAST_DROP if wish.drop == "auto" else wish.drop
    return drop + gap


def least_gap(limits: Limits) -> Fraction:
    """Least gap between rails and canvas. [mm]"""
    return LEAST_GAP if limits.gap is None else limits.gap


def drop_for(wish: InsideWish, *, room: Fraction, gap: Fraction, flat: bool = False) -> Fraction:
    """How far rails lie in from the back edge: what is wished, or what the room leaves.

    Args:
        wish: How the inside is wished.
        room: What bar and rail leave for drop and gap together. [mm]
        gap: The least gap. [mm]
        flat: Whether rails lie flat.
    """
    if wish.drop != "auto":
        return wish.drop
    left = room - max(USUAL_GAP, gap)
    if left < LEAST_DROP:
        left = min(LEAST_DROP, room - gap)
    most = USUAL_DROP
    if flat:
        most = max(most, room - max(FLAT_GAP, gap))
    return max(Fraction(0), min(most, Fraction(math.floor(2 * left), 2)))


def _stands(section: Section, wish: BarsWish) -> bool:
    if wish.stand == "flat":
        return section.thickness >= section.depth
    return section.thickness <= section.depth


def _rail_fits(section: Section, wish: InsideWish, most: Fraction) -> bool:
    if wish.thickness not in ("auto", section.thickness):
        return False
    if wish.depth != "auto":
        return section.depth == wish.depth
    if wish.stand != "auto" and (section.thickness > section.depth) != (wish.stand == "flat"):
        return section.thickness == section.depth and section.real_depth <= most
    return section.real_depth <= most


def shallowest(choices: Sequence[Section]) -> Fraction:
    """Depth of the shallowest of the bars that a work may have: no design of it wants a smaller piece of cloth. [mm]"""
    return min((bars.depth for bars in choices), default=USUAL_DEPTH)
