"""Every design that could be built for a work from what is on sale, each with its price, mass and hours."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from heapq import heapify, heappop, heappush
from math import ceil
from typing import Any

from longpoint.choosing.designs import (
    corners_for,
    corners_held,
    faults_of,
    layouts_of,
    longest_boards,
    settle,
    with_besides,
)
from longpoint.errors import Fault
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Kind, Lengths, lengths_of
from longpoint.frame.parts import GLUED_LONGER, MEASURED_EXTRA
from longpoint.strength.choice import Candidate
from longpoint.works.brief import Brief
from longpoint.works.mass import mass_of_timber
from longpoint.works.remembered import KeptWith
from longpoint.works.ripping import STRIP_SHARE
from longpoint.works.sections import drop_for
from longpoint.works.stock import Section, Use, metre_price

MOST_RAIL_SECTIONS = 3
"""Sections of rails tried standing on edge, and as many lying flat, the likeliest first."""

CORNER_HOURS = 0.15
"""To mitre, glue and screw one corner. [h] Estimate."""

CORNER_PIECE_HOURS = 0.1
"""To saw, glue and screw one gusset or glue block, or to halve one corner, more than a mitre. [h] Estimate."""

CORNER_PIECE = {"mitre with gusset": 0.06, "mitre with glue block": 0.04}
"""Timber or plywood of one corner's piece, [dm³], priced as the bars are by volume. Estimate."""

RAIL_HOURS = 0.15
"""To measure, cut, fit and screw one rail or middle piece. [h] Estimate."""

END_RAIL_HOURS = 0.25
"""To glue, clamp and screw one end rail. [h] Estimate."""

JOIN_HOURS = 0.5
"""To slope or halve both pieces, fit, glue and clamp one bar joined in length. [h] Estimate."""

SEAM_HOURS = 0.75
"""To bore and bolt two halves together and fit the butted bars with their dowels. [h] Estimate."""

GLUE_UP_HOURS = 0.4
"""To spread, clamp and clean up one bar glued from two boards. [h] Estimate."""

SCREWS_ALONG = 150.0
"""Distance between the screws of an end rail. [mm] Estimate."""


Joined = Callable[[FrameDesign], tuple[FrameDesign, ...]]
"""A layout with the joints that are looked at."""


@dataclass(frozen=True, slots=True)
class Buildable:
    """A design with its timber.

    Attributes:
        design: The design.
        bars: Timber of the bars.
        rails: Timber of the rails; None where there are none.
    """

    design: FrameDesign
    bars: Section
    rails: Section | None


Wanted = Callable[[Buildable], bool]
"""Whether a design is asked of."""


def _any(_option: Buildable) -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Price:
    """What a design takes.

    Attributes:
        money: Timber, screws and time; None where timber has no price.
        timber: Timber of all sections together. [m]
        litres: Volume of that timber, the measure where nothing is priced. [dm³]
        mass: Of the timber. [kg]
        hours: To make it. [h]
    """

    money: float | None
    timber: float
    litres: float
    mass: float
    hours: float

    @property
    def measure(self) -> float:
        """What designs are put in order by."""
        return self.litres if self.money is None else self.money


@KeptWith
def candidates_of(brief: Brief) -> tuple[tuple[Candidate[Buildable], ...], tuple[Fault, ...]]:
    """Designs for a work, and, where there is none, what stands against the first.

    Args:
        brief: The work.

    Returns:
        Candidates without faults, every one once; and faults where there is none.
    """
    bars = brief.sections
    found, faults = _found(brief, _plain, bars=bars)
    if not found and (edge := brief.edge_sections):
        # bars lying flat leave no room for rails that are asked for
        bars = edge
        found, faults = _found(brief, _plain, bars=bars)
    # what the joints are warned of is not chosen where something else can be
    held = tuple(candidate for candidate in found if corners_held(candidate.design.design))
    if held and brief.inside.end_rails == "auto":
        return held, ()
    if found and brief.bars.corner == "auto":
        return _found(brief, _held_corners, bars=bars)
    return found, faults


def alike_candidates_of(brief: Brief, like: FrameDesign) -> tuple[Candidate[Buildable], ...]:
    """Those of the candidates that are laid out like another design of the same timber; no other is worked out.

    Args:
        brief: The work.
        like: The other design, perhaps of another size.
    """

    def joined(design: FrameDesign) -> tuple[FrameDesign, ...]:
        return tuple(dict.fromkeys((design, *_held_corners(design))))

    found: dict[FrameDesign, Candidate[Buildable]] = {}
    for bar in brief.sections or brief.edge_sections:
        if (bar.real_thickness, bar.real_depth) != (like.bar_thickness, like.bar_depth):
            continue
        choices = [
            rails
            for rails in _rails_tried(brief, bar)
            if rails is None
            or not like.has_rails
            or (rails.real_thickness, rails.real_depth) == (like.rail_thickness, like.rail_depth)
        ]
        some, _, _ = _of_rails(
            brief, joined, bar=bar, choices=choices, like=like,
            wanted=lambda option: layout_of(option.design) == layout_of(like),
        )  # fmt: skip
        found |= some
    return tuple(found.values())


def layout_of(design: FrameDesign) -> tuple[object, ...]:
    """What two designs of different sizes have in common where they are laid out alike of the same timber."""
    return (
        design.bar_thickness,
        design.bar_depth,
        design.rail_thickness,
        design.rail_depth,
        len(design.cross_rails),
        bool(design.middle_pieces),
        design.end_rails,
        design.corner,
    )


def wider_candidates_of(brief: Brief, *, wanted: Wanted = _any) -> tuple[Candidate[Buildable], ...]:
    """The same and more, where the file leaves it open: bars of any depth on sale, every corner joint that holds.

    Crossings may be halved.

    Args:
        brief: The work.
        wanted: Of which designs it is asked.
    """
    bars = brief.any_sections
    joined = _joined(brief)
    some, _, reached = _of_sections(brief, joined, bars=_whole(brief, bars), wanted=wanted)
    if reached:  # what is not asked of need not be worked out
        return tuple(some.values())
    found, _ = _found(brief, joined, bars=bars)
    return tuple(one for one in found if wanted(one.design))


def edge_candidates_of(brief: Brief) -> tuple[Candidate[Buildable], ...]:
    """The same with bars that stand on edge, for a work that says they lie flat; none where as stated is planned."""
    edge = brief.edge_sections
    return _found(brief, _joined(brief), bars=edge)[0] if edge else ()


def glued_candidates_of(brief: Brief) -> tuple[Candidate[Buildable], ...]:
    """Designs with bars glued from two boards of what is on sale; none where the work settles how bars are made.

    Args:
        brief: What the design starts from.
    """
    wish, stock = brief.bars, brief.stock
    if stock.as_stated or wish.glued_from != "auto" or wish.stand == "flat" or wish.bevel_by == "yard":
        return ()
    if wish.join != "auto" or not stock.sections("bars"):
        return ()
    found, _, reached = _of_sections(brief, _joined(brief), bars=brief.glued_sections)
    return tuple(found.values()) if reached else ()


def bought_groups_of(brief: Brief) -> Iterator[tuple[Candidate[Buildable], ...]]:
    """Designs with timber of an ordinary yard besides, whatever depth and thickness the file states.

    Args:
        brief: The work.

    Yields:
        Designs of the same timber, by price: those with the fewest kinds to be bought first, then those whose cheapest
        costs least. A group is worked out when its turn comes.
    """
    own = brief.any_sections
    stand = brief.bars.stand == "flat"
    known = {(bars.thickness, bars.depth) for bars in own}
    bars = [
        *own,
        *(
            section
            for section in brief.stock.ordinary("bars")
            if (section.thickness > section.depth) == stand
            and (section.thickness, section.depth) not in known
        ),
    ]
    for some, reaching in ((_whole(brief, bars), True), (bars, True), (bars, False)):
        groups = _bought_in_turn(brief, bars=some, reaching=reaching)
        if (first := next(groups, None)) is not None:
            yield first
            yield from groups
            return


def _bought_in_turn(
    brief: Brief, *, bars: Sequence[Section], reaching: bool
) -> Iterator[tuple[Candidate[Buildable], ...]]:
    """Groups in turn: each waits with a price that none of its designs goes below until that is the least of all."""
    joined = _joined(brief)
    waiting: list[tuple[int, float, bool, int, Callable[[], tuple[Candidate[Buildable], ...]]]] = []

    def worked_out(bar: Section, rails: Section | None, first: Section | None) -> Callable[..., Any]:
        def wanted(option: Buildable) -> bool:
            return option.rails is rails

        def group() -> tuple[Candidate[Buildable], ...]:
            found, _, reached = _of_rails(brief, joined, bar=bar, choices=[rails or first], wanted=wanted)
            some = found.values() if reached or not reaching else ()
            return tuple(sorted(some, key=lambda one: (one.cost, one.name)))

        return group

    known = set()
    for bar in bars:
        choices = _rails_tried(brief, bar, buying=True)
        least = _bare_price(brief, bar)
        for rails in (None, *(rails for rails in choices if rails is not None)):
            timber = [section for section in (bar, rails) if section is not None]
            sizes = tuple((section.real_thickness, section.real_depth) for section in timber)
            bought = {frozenset((section.thickness, section.depth)) for section in timber if section.assumed}
            if bought and sizes not in known:
                group = worked_out(bar, rails, choices[0])
                waiting.append((len(bought), least, False, len(waiting), group))
            known.add(sizes)
    heapify(waiting)
    found: dict[int, tuple[Candidate[Buildable], ...]] = {}
    while waiting:
        things, _, is_next, order, group = heappop(waiting)
        if is_next:
            yield found.pop(order)
        elif some := group():
            found[order] = some
            heappush(waiting, (things, some[0].cost, True, order, group))


def _bare_price(brief: Brief, bar: Section) -> float:
    """What no design with these bars costs less than: the four of them."""
    bare = settle(brief, bars=bar, rails=None, cross_rails=0, middle_pieces=False, end_rails=False)
    plain = replace(
        bare, corner="mitre", end_rails=(), cross_rails=(), middle_pieces=False, joins=(), seam=None
    )
    price = price_of(brief, Buildable(plain, bar, None))
    return min(price.litres, price.measure)


def _joined(brief: Brief) -> Joined:
    corners = brief.bars.corner == "auto"
    crossing = "crossing" not in brief.inside.model_fields_set

    def joined(design: FrameDesign) -> tuple[FrameDesign, ...]:
        found = [design] if not corners or corners_held(design) else []
        if corners:
            found.append(replace(design, corner=corners_for(design)[0]))
        if crossing and design.middle_pieces and design.cross_rails and design.seam is None:
            found += [replace(each, halved=True, shift=Fraction(0)) for each in found]
        return tuple(found)

    return joined


def _plain(design: FrameDesign) -> tuple[FrameDesign, ...]:
    return (design,)


def _held_corners(design: FrameDesign) -> tuple[FrameDesign, ...]:
    """The design, its corners held in every way that holds them."""
    if corners_held(design):
        return (design,)
    return tuple(replace(design, corner=corner) for corner in corners_for(design))


def _found(
    brief: Brief, joined: Joined, *, bars: Sequence[Section]
) -> tuple[tuple[Candidate[Buildable], ...], tuple[Fault, ...]]:
    """Candidates with bars of some sections; where some give every bar whole, those that do not are not worked out."""
    whole = _whole(brief, bars)
    if len(whole) < len(bars):
        found, _, reached = _of_sections(brief, joined, bars=whole)
        if reached:
            return tuple(found.values()), ()
    found, faults, _ = _of_sections(brief, joined, bars=bars)
    return tuple(found.values()), () if found else faults


def _whole(brief: Brief, bars: Sequence[Section]) -> Sequence[Section]:
    """Sections that give every bar whole, so that a design may be one that `_bars_reach`; all where none does."""
    stated = brief.bars.join != "auto" or bool(brief.inside.in_halves)
    longest = max(brief.work.width, brief.work.height)
    return [bar for bar in bars if stated or longest <= longest_boards(brief.shop.saw, bar)[0]] or bars


def _of_sections(
    brief: Brief, joined: Joined, *, bars: Sequence[Section], wanted: Wanted = _any
) -> tuple[dict[FrameDesign, Candidate[Buildable]], tuple[Fault, ...], bool]:
    """Candidates by their designs, the first faults, and whether boards reach for those that are answered.

    A section of which no board is long enough is not chosen where another one's are.
    """
    found: dict[FrameDesign, Candidate[Buildable]] = {}
    faults: tuple[Fault, ...] = ()
    reached = False
    for bar in bars:
        choices = _rails_tried(brief, bar)
        some, against, reach = _of_rails(brief, joined, bar=bar, choices=choices, wanted=wanted)
        faults = faults or against
        if reach and not reached:
            found, reached = {}, True
        if reach or not reached:
            found |= {design: candidate for design, candidate in some.items() if design not in found}
    return found, faults, reached


def _rails_tried(brief: Brief, bar: Section, *, buying: bool = False) -> Sequence[Section | None]:
    """Sections of rails that are tried with these bars, the likeliest first; None where there are none."""
    choices = brief.rails_in(bar, buying=buying)
    flat = [rails for rails in choices if rails.thickness > rails.depth][:MOST_RAIL_SECTIONS]
    edge = [rails for rails in choices if rails.thickness <= rails.depth][:MOST_RAIL_SECTIONS]
    return [*edge, *flat] or [None]


def _of_rails(
    brief: Brief,
    joined: Joined,
    *,
    bar: Section,
    choices: Sequence[Section | None],
    wanted: Wanted = _any,
    like: FrameDesign | None = None,
) -> tuple[dict[FrameDesign, Candidate[Buildable]], tuple[Fault, ...], bool]:
    """The same with bars of one section: every layout with every section of rails, or those like another design."""
    found: dict[FrameDesign, Candidate[Buildable]] = {}
    reached: dict[FrameDesign, Candidate[Buildable]] = {}
    made: dict[FrameDesign, Candidate[Buildable]] = {}
    faults: tuple[Fault, ...] = ()
    for rails in choices:
        layouts = layouts_of(brief, bars=bar, rails=rails, like=like)
        for design in (each for layout in layouts for each in joined(layout)):
            if design.has_rails and rails is None:
                continue
            if not design.has_rails:  # the same whatever rails there might have been
                drop = drop_for(brief.inside, room=bar.real_depth, gap=brief.gap)
                design = replace(
                    design, rail_thickness=bar.real_thickness, rail_depth=bar.real_depth, drop=drop
                )
            option = Buildable(design, bar, rails if design.has_rails else None)
            if design in found or not wanted(option):
                continue
            against = faults_of(brief, design)
            if against:
                faults = faults or against
                continue
            found[design] = candidate_of(brief, option)
            if rails_reach(brief, option) and _bars_reach(brief, option):
                reached[design] = found[design]
            elif rails_reach(brief, option, besides=True):
                made[design] = found[design]
    return reached or made or found, faults, bool(reached)


def _bars_reach(brief: Brief, option: Buildable) -> bool:
    """Whether every bar comes whole from a board of its section, or was given a place to be joined."""
    design = option.design
    longest = longest_boards(brief.shop.saw, option.bars)[0]
    if design.bar_boards > 1:
        longest -= GLUED_LONGER
    if design.joins:  # a join that is not asked for is a way out, not a choice
        return brief.bars.join != "auto"
    if design.seam is not None:
        return max(design.seam, design.length - design.seam) <= longest
    return design.length <= longest


_GOOD_FOR = (
    (Kind.END_RAIL, ("bars",)),
    (Kind.CROSS_RAIL, ("bars", "rails")),
    (Kind.MIDDLE_PIECE, ("bars", "rails", "short")),
)
"""Grades of the boards that rails of each kind are cut from."""


def rails_reach(brief: Brief, option: Buildable, *, besides: bool = False) -> bool:
    """Whether every rail comes whole from a board of its section, those of an ordinary shop with them if so asked."""
    if option.rails is None:
        return True
    rails = with_besides(option.rails) if besides else option.rails
    lengths = lengths_of(option.design)
    for kind, grades in _GOOD_FOR:
        longest = max((length for own, length in lengths if own is kind), default=Fraction(0))
        if longest and longest + MEASURED_EXTRA > longest_boards(brief.shop.saw, rails, grades=grades)[0]:
            return False
    return True


def candidate_of(brief: Brief, option: Buildable) -> Candidate[Buildable]:
    """A design, priced."""
    price = price_of(brief, option)
    return Candidate(option, name_of(option), price.measure, price.mass, price.hours)


def name_of(option: Buildable) -> str:
    """A name that is the same wherever the design is the same."""
    design = option.design
    rails = f"{float(design.rail_thickness):g}x{float(design.rail_depth):g}" if option.rails else "-"
    wood = option.rails.wood if option.rails else "-"
    return (
        f"{float(design.bar_thickness):g}x{float(design.bar_depth):g} {option.bars.wood}, {rails} {wood}, "
        f"{len(design.cross_rails)} cross, {'middle' if design.middle_pieces else 'no middle'}, "
        f"end {'+'.join(design.end_rails) or 'none'}, "
        f"fall {float(design.bevel_fall):g}, drop {float(design.drop):g}"
        f"{'' if design.corner == 'mitre' else ', ' + design.corner}{', halved' if design.halved else ''}"
        f"{', in halves' if design.seam is not None else ''}"
        f"{', glued' if design.bar_boards > 1 else ''}"
    )


def price_of(brief: Brief, option: Buildable) -> Price:
    """What a design takes of timber, screws and time; differences between designs are what it is for."""
    lengths = lengths_of(option.design)
    metres = _metres(option.design, lengths)
    pieces = 4 * CORNER_PIECE.get(option.design.corner, 0.0) * 1e6
    pieces /= float(option.design.bar_thickness * option.design.bar_depth) * 1000  # as metres of bar
    hours = _hours(option.design, lengths)
    # rails of what falls off are paid with the bars
    paid = metres["rails"] - (1 - float(STRIP_SHARE)) * _fallen_for_rails(option, metres)
    share = brief.shop.rack_share
    bars = metre_price(option.bars, rack_share=share)
    rails = 0.0 if option.rails is None else metre_price(option.rails, rack_share=share)
    money = None
    if bars is not None and (rails is not None or metres["rails"] == 0):
        money = (metres["bars"] + pieces) * bars + paid * (rails or 0.0)
        money += _screws(lengths) * brief.stock.per_screw + hours * brief.shop.rates.per_hour
    design = option.design
    mass = mass_of_timber(design, lengths, bars=option.bars.wood, rails=(option.rails or option.bars).wood)
    rail_volume = float(design.rail_thickness * design.rail_depth) * paid * 1e-6
    bought = float(design.bar_thickness * design.bar_depth) * (metres["bars"] + pieces) * 1e-6 + rail_volume
    return Price(money, design.bar_boards * metres["bars"] + metres["rails"], bought * 1000, mass, hours)


@dataclass(frozen=True, slots=True)
class BoughtTimber:
    """Timber of one frame that is not stated.

    Attributes:
        use: What it is for.
        sides: Its thin and its wide side. [mm]
        metres: How much one frame takes, without waste. [m]
        money: What that is at an ordinary yard, estimated by volume from what is stated; None where nothing is priced.
    """

    use: Use
    sides: tuple[Fraction, Fraction]
    metres: float
    money: float | None


def bought_timber(option: Buildable) -> tuple[BoughtTimber, ...]:
    """Timber of a design that is an ordinary yard's and not stated, bars first."""
    metres = _metres(option.design, lengths_of(option.design))
    uses: tuple[tuple[Use, Section | None], ...] = (("bars", option.bars), ("rails", option.rails))
    found = []
    for use, section in uses:
        if section is not None and section.assumed:
            single = section.single()
            thin, wide = sorted((single.real_thickness, single.real_depth))
            rate = section.per_metre
            metres_of = metres[use] * section.boards
            money = None if rate is None else metres_of * float(rate)
            found.append(BoughtTimber(use, (thin, wide), metres_of, money))
    return tuple(found)


def _fallen_for_rails(option: Buildable, metres: dict[Use, float]) -> float:
    """How much of its rails a frame gets from what falls off while its own bars are ripped, as when it is cut. [m]

    By length, as every price here: never more than falls off the boards that its bars take.
    """
    rails, ripped = option.rails, option.bars.ripped
    if rails is None or ripped is None or rails.wood != option.bars.wood:
        return 0.0
    if {rails.thickness, rails.depth} != {ripped.thickness, ripped.falls}:
        return 0.0
    return min(metres["rails"], option.bars.boards * metres["bars"] / ripped.strips)


def _metres(design: FrameDesign, lengths: Lengths) -> dict[Use, float]:
    """Timber of a frame by its use, without waste. [m]"""
    metres: dict[Use, float] = {"bars": 0.0, "rails": 0.0}
    for kind, length in lengths:
        metres["bars" if kind is Kind.BAR else "rails"] += float(length) / 1000
    for join in design.joins:  # both pieces reach through the join; its plate is of rail timber
        metres["bars"] += float(join.length) / 1000
        metres["rails"] += float(join.plate[0]) / 1000 if join.plate else 0.0
    return metres


def _inner(lengths: Lengths) -> int:
    return sum(kind in (Kind.CROSS_RAIL, Kind.MIDDLE_PIECE) for kind, _ in lengths)


def _screws(lengths: Lengths) -> int:
    along = sum(ceil(float(length) / SCREWS_ALONG) + 4 for kind, length in lengths if kind is Kind.END_RAIL)
    return 8 + 4 * _inner(lengths) + along


def _hours(design: FrameDesign, lengths: Lengths) -> float:
    corners = CORNER_HOURS + (CORNER_PIECE_HOURS if design.corner != "mitre" else 0.0)
    hours = GLUE_UP_HOURS * 4 * (design.bar_boards - 1) + 4 * corners + RAIL_HOURS * _inner(lengths)
    hours += END_RAIL_HOURS * len(design.end_rails)
    return hours + JOIN_HOURS * len(design.joins) + (SEAM_HOURS if design.seam is not None else 0.0)
