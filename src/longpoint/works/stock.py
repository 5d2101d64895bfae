"""What timber of which section can be had: the yard, the rack, and what the timber that came really measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Literal

from longpoint.errors import Caution, Fault, Where
from longpoint.joinery.joints.joint import ScrewSize
from longpoint.joinery.screws.on_sale import sizes_on_sale
from longpoint.model.batch import Batch
from longpoint.model.cloth import Roll
from longpoint.model.hardware import Screw, Staple
from longpoint.model.shop import Rip
from longpoint.model.timber import Arrived, RackBoard, YardLength, YardTimber
from longpoint.tables.shops import Region, shop_lengths
from longpoint.units import CENT, LengthStyle
from longpoint.works.ordinary import (
    lengths_words,
    ordinary_screws,
    ordinary_staples,
    ordinary_timber,
    region_of,
    region_words,
    timber_of,
)
from longpoint.works.ripping import Ripped, rip, strip_widths, wished_widths

Use = Literal["bars", "rails"]

ASKED_FOR = Decimal("1.1")
"""Price of boards that are bought besides, over the dearest that is stated of their section; of a section that is not
stated, over a like volume of the cheapest that is. [1] Estimate: so that what is stated is taken first."""


@dataclass(frozen=True, slots=True)
class OnSale:
    """One length of one timber on sale.

    Attributes:
        name: Timber and length, unique.
        timber: Name of the yard timber.
        length: Its length. [mm]
        price: Of one board; None where no price is stated.
        how_many: How many can be had; None for as many as wanted.
        grade: What an ordinary board is good for.
        board_price: Of the board that a strip is ripped from; None where nothing is ripped or priced.
        besides: Whether it is not stated and bought at an ordinary shop besides.
    """

    name: str
    timber: str
    length: Fraction
    price: Decimal | None
    how_many: int | None
    grade: str
    board_price: Decimal | None = None
    besides: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """Timber of one section: what is on sale and at hand.

    Attributes:
        thickness: As it is named at the yard, the smaller side of the section first seen. [mm]
        depth: The other side. [mm]
        real_thickness: As the timber that came measures. [mm]
        real_depth: As the timber that came measures. [mm]
        wood: Species or strength class.
        on_sale: Lengths on sale.
        rack: Boards at hand.
        bevelled: Whether the yard delivers it bevelled.
        assumed: Whether the yard is assumed, not stated.
        timbers: Names of the yard timbers.
        ripped: How it is ripped from wider boards; None where it is bought as it is. What is on sale and at hand are
            then strips.
        like: Of timber that lies in the rack alone: what a metre of a like volume costs at the yard.
        besides: Lengths of an ordinary shop for what the boards that are stated do not give.
        boards: From how many of what is on sale one piece of this section is glued, face to face; 1: from none.
    """

    thickness: Fraction
    depth: Fraction
    real_thickness: Fraction
    real_depth: Fraction
    wood: str
    on_sale: tuple[OnSale, ...]
    rack: tuple[RackBoard, ...]
    bevelled: bool = False
    assumed: bool = False
    timbers: tuple[str, ...] = field(default=())
    ripped: Ripped | None = None
    like: Decimal | None = None
    besides: tuple[OnSale, ...] = ()
    boards: int = 1

    @property
    def per_metre(self) -> Decimal | None:
        """What a metre of a board costs at the yard, the lowest; None where no price is stated."""
        prices = [
            item.price / Decimal(float(item.length)) * 1000 for item in self.on_sale if item.price is not None
        ]
        return min(prices, default=None if self.on_sale else self.like)

    def with_besides(self) -> Section:
        """The same timber with the lengths of an ordinary shop on sale besides."""
        return replace(self, on_sale=(*self.on_sale, *self.besides), besides=())

    def glued(self) -> Section:
        """Two of it glued broad face to broad face: twice as thick, as deep. What is on sale stays the single board."""
        return self._thick_as(2)

    def single(self) -> Section:
        """The boards that it is glued from; itself where it is glued from none."""
        return self._thick_as(1)

    def _thick_as(self, boards: int) -> Section:
        times = Fraction(boards, self.boards)
        return replace(
            self,
            thickness=self.thickness * times,
            real_thickness=self.real_thickness * times,
            boards=boards,
        )

    def turned(self) -> Section:
        """The same timber turned a quarter: thickness and depth change places."""
        return replace(
            self,
            thickness=self.depth,
            depth=self.thickness,
            real_thickness=self.real_depth,
            real_depth=self.real_thickness,
        )


def metre_price(section: Section, *, rack_share: float) -> float | None:
    """What a metre of a section counts for in a choice; None where no price is stated.

    Args:
        section: The timber.
        rack_share: What timber at hand is worth, over its price at the yard. [1]
    """
    price = section.per_metre
    if price is None:
        return None
    return section.boards * float(price) * (1.0 if section.on_sale else rack_share)


@dataclass(frozen=True, eq=False, kw_only=True)
class Stock:
    """What can be had for a batch: what it states, and an ordinary shop of its region.

    Attributes:
        yard: Timber on sale, as stated.
        rack: Boards at hand.
        arrived: What timber that came really measures.
        rip: How the shop rips boards; None where it does not.
        wished: Widths that are worth ripping to. [mm]
        roll: Rolls of cloth, as stated.
        screw: Screws, as stated.
        staple: Staples, as stated.
        region: The region whose ordinary shops are assumed.
        style: How lengths are shown.
        as_stated: Whether only what is stated is planned with.
        works: How many works the batch has.
        outline: Outlines of all their copies together. [mm]
        screwed: Which places take one of the screws, by what they ask, as far as it was worked out.
    """

    yard: tuple[YardTimber, ...]
    rack: tuple[RackBoard, ...]
    arrived: tuple[Arrived, ...]
    rip: Rip | None
    wished: tuple[Fraction, ...]
    roll: tuple[Roll, ...]
    screw: tuple[Screw, ...]
    staple: tuple[Staple, ...]
    region: Region
    style: LengthStyle
    as_stated: bool
    works: int
    outline: float
    screwed: dict[tuple[object, ...], bool] = field(default_factory=dict, repr=False)
    _found: dict[tuple[Use, str], tuple[Section, ...]] = field(default_factory=dict, repr=False)

    def sections(self, use: Use, *, named: str = "auto") -> tuple[Section, ...]:
        """Sections that can be had for a use, both ways up, in the order of the batch file.

        Args:
            use: Bars or rails.
            named: Name of a yard timber to keep to; "auto": any.

        Returns:
            Sections as they may stand in the frame; none where the batch states no timber for the use.
        """
        key = use, f"named {named}"
        if key not in self._found:
            self._found[key] = _both_ways(_stated_sections(self, use, named))
        return self._found[key]

    def ordinary(self, use: Use) -> tuple[Section, ...]:
        """Sections that an ordinary shop has for a use, both ways up, priced by volume where the yard has prices.

        Args:
            use: Bars or rails.
        """
        key: tuple[Use, str] = (use, "ordinary")
        if key not in self._found:
            self._found[key] = _both_ways(
                [
                    _section(self, timber.thickness, timber.depth, timber.timber, (timber,), assumed=True)
                    for timber in ordinary_timber(self.region)
                    if use in timber.serves
                ]
            )
        return self._found[key]

    def assumed(self, *, thickness: Fraction, depth: Fraction) -> Section:
        """An ordinary yard's timber of a section, likewise."""
        plain = timber_of(self.region, thickness=thickness, depth=depth, style=self.style)
        return _section(self, thickness, depth, plain.timber, (plain,), assumed=True)

    @cached_property
    def other_screws(self) -> tuple[Screw, ...]:
        """An ordinary shop's screws, where they may be taken besides."""
        return () if self.screw and self.as_stated else ordinary_screws(self.region)

    @cached_property
    def screw_sizes(self) -> tuple[ScrewSize, ...]:
        """Sizes of all screws that can be had, those of an ordinary shop last."""
        return (*sizes_on_sale(self.screw), *sizes_on_sale(self.other_screws, assumed=True))

    @cached_property
    def staples(self) -> tuple[Staple, ...]:
        """Staples on sale; an ordinary shop's where the batch states none."""
        return self.staple or ordinary_staples(self.region)

    @cached_property
    def per_screw(self) -> float:
        """What a screw costs, the lowest; 0 where no price is stated."""
        prices = [float(screw.price) / screw.box for screw in self.screw if screw.price is not None]
        return min(prices, default=0.0)


def stock_of(batch: Batch) -> Stock:
    """What can be had for a batch."""
    return Stock(
        yard=batch.yard,
        rack=batch.rack,
        arrived=batch.arrived,
        rip=batch.shop.rip,
        wished=() if batch.shop.rip is None else wished_widths(batch),
        roll=batch.roll,
        screw=batch.screw,
        staple=batch.staple,
        region=region_of(batch),
        style=batch.style,
        as_stated=batch.as_stated,
        works=len(batch.work),
        outline=float(sum(2 * (work.width + work.height) * work.how_many for work in batch.work)),
    )


def _both_ways(sections: Sequence[Section]) -> tuple[Section, ...]:
    return (*sections, *(section.turned() for section in sections if section.thickness != section.depth))


def _stated_sections(stock: Stock, use: Use, named: str) -> list[Section]:
    found: dict[tuple[Fraction, Fraction, str], list[YardTimber]] = {}
    for timber in stock.yard:
        if use in timber.serves and named in ("auto", timber.name):
            found.setdefault((timber.thickness, timber.depth, timber.timber), []).append(timber)
    if named == "auto":
        for board in stock.rack:
            good = board.grade == use or (use == "rails" and board.grade in ("bars", "rails"))
            sides = {board.thickness, board.depth}
            if good and not any({key[0], key[1]} == sides for key in found):
                found.setdefault((board.thickness, board.depth, board.timber), [])
    sections = [
        _section(stock, thickness, depth, wood, tuple(timbers))
        for (thickness, depth, wood), timbers in found.items()
    ]
    return sections + _ripped_sections(stock, sections)


def _ripped_sections(stock: Stock, sections: Sequence[Section]) -> list[Section]:
    """What the shop can rip from the boards there are, beside what can be had as it is."""
    can = stock.rip
    if can is None:
        return []
    known = {frozenset((section.thickness, section.depth)) for section in sections}
    found: list[Section] = []
    for section in sections:
        thin, wide = sorted((section.thickness, section.depth))
        if section.bevelled:
            continue
        for strip in strip_widths(can, stock.wished, wide=wide):
            how = rip(can, thickness=thin, wide=wide, strip=strip)
            if how is None or frozenset((thin, strip)) in known:
                continue
            found.append(_strips(section, how, real=min(section.real_thickness, section.real_depth)))
    return found


def _strips(section: Section, how: Ripped, *, real: Fraction) -> Section:
    thin, strip = sorted((how.thickness, how.strip))
    real_sides = sorted((real, how.strip))
    return replace(
        section,
        thickness=thin,
        depth=strip,
        real_thickness=real_sides[0],
        real_depth=real_sides[1],
        on_sale=tuple(_strips_of(item, how) for item in section.on_sale),
        besides=tuple(_strips_of(item, how) for item in section.besides),
        rack=tuple(
            board.model_copy(
                update={"how_many": board.how_many * how.strips, "worth": how.share(board.worth)}
            )
            for board in section.rack
        ),
        ripped=how,
    )


def _strips_of(item: OnSale, how: Ripped) -> OnSale:
    return replace(
        item,
        price=how.share(item.price),
        board_price=item.price,
        how_many=None if item.how_many is None else item.how_many * how.strips,
    )


def stock_faults(yard: Sequence[YardTimber]) -> tuple[Fault, ...]:
    """Timber, cloth and hardware whose prices do not go together: all are stated, or none is."""
    priced: list[tuple[int, str]] = []
    unpriced: list[tuple[int, str]] = []
    for index, timber in enumerate(yard):
        for item in timber.lengths:
            own = item.price if isinstance(item, YardLength) else None
            has = own is not None or timber.rate is not None
            (priced if has else unpriced).append((index, timber.name))
    faults = []
    if priced:
        for index in sorted({index for index, _ in unpriced}):
            name = yard[index].name
            faults.append(
                Fault(
                    "price-missing",
                    f"{name!r} has no price for every length, while other timber has one.",
                    "Give per_metre, or a price with each length; or leave out all prices of timber.",
                    Where(f"yard[{index + 1}].lengths"),
                )
            )
    return tuple(faults)


def stock_cautions(stock: Stock, sections: tuple[Section, ...]) -> tuple[Caution, ...]:
    """What a person should know about the timber that the plan is made with."""
    cautions = []
    region = stock.region
    if assumed := [section for section in sections if section.assumed]:
        priced = any(section.per_metre is not None for section in assumed)
        cautions.append(
            Caution(
                "yard-assumed-priced" if priced else "yard-assumed",
                facts=(("region", region_words(region)), ("lengths", lengths_words(region))),
            )
        )
    named = [timber for timber in stock.yard if timber.nominal]
    if named:
        show = LengthStyle("in", 16).show
        listed = "; ".join(
            f"{timber.nominal} is {show(timber.thickness)} × {show(timber.depth)}" for timber in named
        )
        cautions.append(
            Caution(
                "nominal-read", about=", ".join(timber.name for timber in named), facts=(("sizes", listed),)
            )
        )
    for arrived in stock.arrived:
        for word, readings in (("thickness", arrived.thickness), ("depth", arrived.depth)):
            spread = max(readings) - min(readings)
            if spread > 1:
                cautions.append(
                    Caution(
                        "uneven-timber",
                        about=arrived.timber,
                        facts=(("side", word), ("spread", f"{float(spread):.1f} mm")),
                    )
                )
    return tuple(cautions)


def _section(
    stock: Stock,
    thickness: Fraction,
    depth: Fraction,
    wood: str,
    timbers: tuple[YardTimber, ...],
    *,
    assumed: bool = False,
) -> Section:
    rack = tuple(board for board in stock.rack if {board.thickness, board.depth} == {thickness, depth})
    names = {timber.name for timber in timbers} | {board.name for board in rack}
    real = [thickness, depth]
    for arrived in stock.arrived:
        if arrived.timber in names:
            means = [
                Fraction(round(sum(readings) / len(readings) * 10), 10)
                for readings in (arrived.thickness, arrived.depth)
            ]
            # Readings are named by the person as the board lies in hand: pair the small ones with the small side.
            small_first = sorted(means)
            real = small_first if thickness <= depth else small_first[::-1]
    on_sale = tuple(item for timber in timbers for item in _lengths(timber, several=len(timbers) > 1))
    bevelled = any(timber.bevelled for timber in timbers)
    like = None if timbers and not assumed else _like(stock, thickness * depth)
    if assumed and like is not None:
        on_sale = tuple(
            replace(item, price=(like / 1000 * ASKED_FOR * Decimal(float(item.length))).quantize(CENT))
            for item in on_sale
        )
    plain = not (assumed or bevelled or stock.as_stated)
    return Section(
        thickness=thickness,
        depth=depth,
        real_thickness=real[0],
        real_depth=real[1],
        wood=wood,
        on_sale=on_sale,
        rack=rack,
        bevelled=bevelled,
        assumed=assumed,
        timbers=tuple(timber.name for timber in timbers),
        like=like,
        besides=_besides(stock, thickness, depth, on_sale, like=like) if plain else (),
    )


def _besides(
    stock: Stock, thickness: Fraction, depth: Fraction, on_sale: Sequence[OnSale], *, like: Decimal | None
) -> tuple[OnSale, ...]:
    """Boards of an ordinary shop beside those on sale, at a price like theirs and more by `ASKED_FOR`."""
    rates = [item.price / Decimal(float(item.length)) for item in on_sale if item.price is not None]
    rate = max(rates) if rates else None if like is None else like / 1000
    ordinary = timber_of(stock.region, thickness=thickness, depth=depth, style=stock.style)
    return tuple(
        OnSale(
            name=f"{float(length):.4f}",  # another name than of a stated board as long
            timber=ordinary.name,
            length=length,
            price=None if rate is None else (rate * ASKED_FOR * Decimal(float(length))).quantize(CENT),
            how_many=None,
            grade="bars",
            besides=True,
        )
        for length in shop_lengths(stock.region)
        if not any(item.length == length and item.how_many is None for item in on_sale)
    )


def _like(stock: Stock, area: Fraction) -> Decimal | None:
    """What a metre of timber of a section costs by volume, as the cheapest of the yard. [money/m]"""
    per_area = [
        item.price / Decimal(float(item.length * timber.thickness * timber.depth)) * 1000
        for timber in stock.yard
        for item in _lengths(timber, several=False)
        if item.price is not None
    ]
    return min(per_area) * Decimal(float(area)) if per_area else None


def _lengths(timber: YardTimber, *, several: bool) -> list[OnSale]:
    items = []
    for item in timber.lengths:
        stated = item if isinstance(item, YardLength) else YardLength(length=item)
        price = stated.price
        if price is None and timber.rate is not None:
            length = Decimal(stated.length.numerator) / Decimal(stated.length.denominator)
            price = (timber.rate * length / 1000).quantize(CENT)  # as it is charged
        items.append(
            OnSale(
                name=f"{timber.name}, {float(stated.length):g}" if several else f"{float(stated.length):g}",
                timber=timber.name,
                length=stated.length,
                price=price,
                how_many=stated.how_many,
                grade=timber.quality,
            )
        )
    return items
