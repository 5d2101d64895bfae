"""What the design of one work starts from: its wishes, and what it can be made of. Made once, and passed on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from longpoint.model.batch import Batch
from longpoint.model.hardware import Glue, Primer, Size
from longpoint.model.order import OrderWish
from longpoint.model.shop import Climate, Limits, Shop
from longpoint.model.ways import Way
from longpoint.model.works import BarsWish, ClothWish, InsideWish, Work
from longpoint.units import LengthStyle
from longpoint.works.cloth import WorkCloth, cloth_of
from longpoint.works.sections import (
    bar_choices,
    edge_choices,
    glued_choices,
    least_gap,
    rail_choices,
    shallowest,
)
from longpoint.works.stock import Section, Stock, stock_of


@dataclass(frozen=True, eq=False, kw_only=True)
class Brief:
    """What one work's design starts from; two briefs are never taken for one, since equal batches are planned unlike.

    Attributes:
        index: Which work of the batch, from 0.
        work: The work, as stated.
        bars: How its bars are wished, with what the batch says for all.
        inside: How its inner members are wished, likewise.
        cloth: How its cloth is wished, likewise.
        in_set: Name of the set it hangs in; "" for none.
        stock: What can be had; one for all works of a batch.
        shop: The shop.
        limits: Tightened limits.
        climate: The climate.
        glue: Glue.
        size: Size, as stated.
        primer: Primer.
        orders: Orders of stapling of the user's own.
        ways: Ways out, as stated, for whichever works.
        stands_off: How far its hangers stand off the back. [mm]
    """

    index: int
    work: Work
    bars: BarsWish
    inside: InsideWish
    cloth: ClothWish
    in_set: str
    stock: Stock
    shop: Shop
    limits: Limits
    climate: Climate
    glue: Glue
    size: Size | None
    primer: Primer
    orders: Sequence[OrderWish]
    ways: Sequence[Way]
    stands_off: Fraction

    @property
    def key(self) -> str:
        """Where it stands in the batch file."""
        return f"work[{self.index + 1}]"

    @property
    def style(self) -> LengthStyle:
        """How lengths are shown."""
        return self.stock.style

    @cached_property
    def gap(self) -> Fraction:
        """Least gap between rails and canvas. [mm]"""
        return least_gap(self.limits)

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """Sections its bars may have, the likeliest first."""
        return bar_choices(self.stock, self.bars)

    @cached_property
    def any_sections(self) -> tuple[Section, ...]:
        """The same of any depth, where no depth is said."""
        return bar_choices(self.stock, self.bars, any_depth=True)

    @cached_property
    def edge_sections(self) -> tuple[Section, ...]:
        """Bars standing on edge, where they are wished to lie flat; none where nothing else than stated is planned."""
        return edge_choices(self.stock, self.bars)

    @cached_property
    def glued_sections(self) -> tuple[Section, ...]:
        """Bars glued from two boards that are on sale."""
        return glued_choices(self.stock, self.bars)

    def rails_in(self, bars: Section, *, buying: bool = False) -> tuple[Section, ...]:
        """Sections its rails may have inside given bars, the likeliest first.

        Args:
            bars: Timber of its bars.
            buying: Whether an ordinary yard's are looked at in any case.
        """
        return rail_choices(self.stock, self.inside, bars, gap=self.gap, buying=buying)

    @cached_property
    def shallowest(self) -> Fraction:
        """Depth of the shallowest bars it may have. [mm]"""
        return shallowest(self.sections)

    @cached_property
    def work_cloth(self) -> WorkCloth:
        """What is true of its cloth."""
        return cloth_of(
            self.stock, self.work, self.cloth, depth=self.shallowest, size=self.size, primer=self.primer
        )


def briefs_of(batch: Batch) -> tuple[Brief, ...]:
    """What every work's design starts from, in the order of the batch file."""
    stock = stock_of(batch)
    sets = {name: group.name for group in reversed(batch.set) for name in group.members}
    return tuple(
        Brief(
            index=index,
            work=work,
            bars=batch.bars_of(work),
            inside=batch.inside_of(work),
            cloth=batch.cloth_of(work),
            in_set=sets.get(work.name, ""),
            stock=stock,
            shop=batch.shop,
            limits=batch.limits,
            climate=batch.climate,
            glue=batch.glue,
            size=batch.size,
            primer=batch.primer,
            orders=batch.order,
            ways=batch.way,
            stands_off=batch.hanger.stands_off,
        )
        for index, work in enumerate(batch.work)
    )
