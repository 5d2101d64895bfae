"""The cloth of one work: from which roll, what is brushed on it, how stiff and heavy it is at each stage.

Whoever asks about a work's cloth asks here. A work that names no roll takes the first that is wide enough, and rolls
of the same cloth serve it alike: a batch is never painted on two cloths because nobody said otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from longpoint.errors import Caution
from longpoint.model.cloth import Roll
from longpoint.model.hardware import Primer, Size
from longpoint.model.works import ClothWish, Work
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.pull_limits import MEASURED_APART
from longpoint.stretching.ranges import Range
from longpoint.tables import ClothState, Source, Tag, cloth_state, coating
from longpoint.units import N_PER_METRE
from longpoint.works.ordinary import ordinary_roll
from longpoint.works.piece import turnover_of, warp_of
from longpoint.works.stock import Stock

_SOLD = {
    "raw": "raw, stretched",
    "glue-sized": "glue-sized",
    "primed": "acrylic-primed",
    "oil-primed": "oil- or gesso-primed",
}
"""Row of the tables for cloth as it is sold."""

_BRUSHED = {
    "glue size": "glue-sized",
    "acrylic size": "acrylic-primed",  # a film of the same polymer; estimate
    "acrylic primer": "acrylic-primed",
    "oil primer": "oil- or gesso-primed",
    "lead white primer": "oil- or gesso-primed",
}
"""Row of the tables for cloth once this is brushed on it, the last coat deciding."""


@dataclass(frozen=True, slots=True)
class WorkCloth:
    """What is true of one work's cloth.

    Attributes:
        roll: The roll, or the first of several of the same cloth.
        rolls: All rolls of that cloth that may serve it; () where none is stated and one is assumed.
        warp: Way the warp runs on the work.
        coats: Size and primer brushed on it, in order; cloth bought primed takes none.
        stretched: Its row in the tables while it is stretched.
        sized: Its row once the size is dry; the same as before where none is brushed on.
        settled: Its row in service.
        dry: What the coats weigh once dry. [kg/m²]
    """

    roll: Roll
    rolls: tuple[Roll, ...]
    warp: Literal["x", "y"]
    coats: tuple[Size | Primer, ...]
    stretched: ClothState
    sized: ClothState
    settled: ClothState
    dry: Range

    @property
    def raw(self) -> bool:
        """Whether it is stretched raw."""
        return self.roll.state == "raw"

    @property
    def pulled(self) -> ClothState:
        """Its row at the first pull, for what a pull may be."""
        return cloth_state("raw, first pull") if self.raw else self.stretched

    @property
    def wetted(self) -> bool:
        """Whether water wets raw cloth."""
        return self.raw and any(coating(item.kind).water_borne for item in self.coats)

    @property
    def bare(self) -> float:
        """Mass as it is sold. [kg/m²]"""
        return self.roll.mass / 1000

    def membrane(self, row: ClothState) -> Cloth:
        """The cloth in one state as a membrane, at the middle of its bands; bare before its coats.

        Args:
            row: `stretched`, `sized` or `settled`.
        """
        mass = self.bare + (self.dry.middle if row is self.settled else 0.0)
        return Cloth(
            warp_stiffness=row.warp,
            weft_stiffness=row.weft,
            poisson_warp=row.poisson_warp,
            shear_stiffness=row.shear,
            warp_along=self.warp,
            areal_mass=mass * 1e-6,
        )


def cloth_of(
    stock: Stock, work: Work, wish: ClothWish, *, depth: Fraction, size: Size | None, primer: Primer
) -> WorkCloth:
    """The cloth of one work.

    Args:
        stock: What can be had.
        work: The work.
        wish: How its cloth is wished.
        depth: Of the shallowest bars it may have. [mm]
        size: Size that is put on raw cloth.
        primer: Primer.
    """
    rolls = rolls_of(stock, work, wish, depth=depth)
    roll = rolls[0] if rolls else ordinary_roll(stock.region)
    coats = _coats(roll, size, primer)
    stretched = cloth_state(_SOLD[roll.state])
    sized, settled = stretched, stretched
    for item in coats:
        settled = cloth_state(_BRUSHED[item.kind])
        sized = settled if isinstance(item, Size) else sized
    if roll.stiffness is not None:
        settled = _measured(settled, roll.stiffness / N_PER_METRE)
    rows = [(coating(item.kind), item.coats) for item in coats]
    return WorkCloth(
        roll=roll,
        rolls=rolls,
        warp=warp_of(work, wish),
        coats=coats,
        stretched=stretched,
        sized=sized,
        settled=settled,
        dry=Range(
            sum(row.dry_low * count for row, count in rows) / 1000,
            sum(0.5 * (row.dry_low + row.dry_high) * count for row, count in rows) / 1000,
            sum(row.dry_high * count for row, count in rows) / 1000,
        ),
    )


def _measured(row: ClothState, warp: float) -> ClothState:
    """A row of the tables with a stiffness that was measured along the warp; weft and shear in the table's proportion.

    Strips that were cut beside one another differ; the band is that of a canvas and its strips. Estimate.
    """
    ratio = warp / row.warp
    return replace(
        row, warp_low=warp / MEASURED_APART, warp_high=warp * MEASURED_APART, weft_low=row.weft_low * ratio,
        weft_high=row.weft_high * ratio, shear_low=row.shear_low * ratio, shear_high=row.shear_high * ratio,
        source=Source("measured on strips of this cloth", Tag.COMPUTED),
    )  # fmt: skip


def rolls_of(stock: Stock, work: Work, wish: ClothWish, *, depth: Fraction) -> tuple[Roll, ...]:
    """Rolls that may serve a work: the named one, or the first that is wide enough and all of the same cloth.

    Args:
        stock: What can be had.
        work: The work.
        wish: How its cloth is wished.
        depth: Of the shallowest bars it may have. [mm]

    Returns:
        The rolls in the order of the batch file; none where none is stated.
    """
    named = tuple(roll for roll in stock.roll if roll.name == wish.roll)
    if named or not stock.roll:
        return named
    first = next((roll for roll in stock.roll if _wide_enough(roll, work, wish, depth)), stock.roll[0])
    return tuple(roll for roll in stock.roll if same_cloth(roll, first))


def same_cloth(one: Roll, other: Roll) -> bool:
    """Whether two rolls are of the same cloth, so that it does not matter which one serves a work."""
    said = ("state", "fibre", "mass", "water_tension", "stiffness")
    return all(getattr(one, key) == getattr(other, key) for key in said)


def _wide_enough(roll: Roll, work: Work, wish: ClothWish, depth: Fraction) -> bool:
    beyond = 2 * (turnover_of(wish, depth=depth) + wish.edge_allowance)
    size = {"x": work.width + beyond, "y": work.height + beyond}
    warp = warp_of(work, wish)
    across = size["y" if warp == "x" else "x"]
    narrow = min(across, size[warp]) if wish.may_turn else across
    return narrow <= roll.width - 2 * roll.selvedge


def _coats(roll: Roll, size: Size | None, primer: Primer) -> tuple[Size | Primer, ...]:
    """Size goes on raw cloth, primer on cloth that is not primed."""
    on = (size if roll.state == "raw" else None, primer if roll.state in ("raw", "glue-sized") else None)
    return tuple(item for item in on if item is not None and item.coats)


def coat_cautions(
    size: Size | None, primer: Primer | None, cloths: Iterable[WorkCloth]
) -> tuple[Caution, ...]:
    """What of size and primer stated is brushed on no work, and why.

    Args:
        size: Size, as stated.
        primer: Primer, as stated; None where it is the usual one.
        cloths: The cloth of every work.
    """
    used = {item.kind for cloth in cloths for item in cloth.coats}
    found = []
    if size is not None and size.coats and size.kind not in used:
        found.append(Caution("size-unused"))
    if primer is not None and primer.coats and primer.kind not in used:
        found.append(Caution("primer-unused"))
    return tuple(found)
