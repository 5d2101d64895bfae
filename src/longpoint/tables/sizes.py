"""Sizes, tolerances and straightness of timber as it is sold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Protocol, TypeVar

from longpoint.errors import OutOfRangeError, Where, refuse
from longpoint.tables.reading import Source, pick, plain, rows

INCH = 25.4  # [mm] exact


@dataclass(frozen=True, slots=True)
class DressedSize:
    """What is left of a nominal inch size once planed and dried.

    Attributes:
        nominal: Size it is called by. [in]
        dressed: Size it has. [in]
        source: Where it comes from.
    """

    nominal: float
    dressed: float
    source: Source


@dataclass(frozen=True, slots=True)
class SizeTolerance:
    """How far a size may be off.

    Attributes:
        name: Class, "T1" sawn or "T2" planed.
        up_to: For sizes up to. [mm]
        minus: May be less by. [mm]
        plus: May be more by. [mm]
        source: Where it comes from.
    """

    name: str
    up_to: float
    minus: float
    plus: float
    source: Source


@dataclass(frozen=True, slots=True)
class PlaningLoss:
    """What planing takes off a sawn size.

    Attributes:
        up_to: For sawn sizes up to. [mm]
        loss: Taken off. [mm]
        source: Where it comes from.
    """

    up_to: float
    loss: float
    source: Source


@dataclass(frozen=True, slots=True)
class LengthsSold:
    """Lengths that boards come in.

    Attributes:
        name: Where.
        shortest: Shortest. [mm]
        longest: Longest. [mm]
        step: In steps of. [mm]
        source: Where it comes from.
    """

    name: str
    shortest: float
    longest: float
    step: float
    source: Source


@dataclass(frozen=True, slots=True)
class WarpLimit:
    """How crooked graded timber may be: far too much for bars.

    Attributes:
        name: Grade.
        bow: Bend across the thin way over 2 m. [mm]
        spring: Bend across the wide way (crook) over 2 m. [mm]
        twist: Over 2 m, for each 25 mm of width. [mm]
        source: Where it comes from.
    """

    name: str
    bow: float
    spring: float
    twist: float
    source: Source


class _Banded(Protocol):
    @property
    def up_to(self) -> float: ...


BandedRow = TypeVar("BandedRow", bound=_Banded)


def dressed_size(*, nominal: float, where: Where | None = None) -> float:
    """Size of a board called by its nominal inches.

    Args:
        nominal: Size it is called by. [in]
        where: Place it was written, for the message.

    Returns:
        Size it has, dry. [mm]

    Raises:
        FaultsError: If the table has no such size.
    """
    every = rows("sizes", "dressed_sizes", DressedSize)
    for row in every:
        if row.nominal == nominal:
            return row.dressed * INCH
    known = ", ".join(f"{row.nominal:g}" for row in every)
    what = f"The tables know no nominal size of {nominal:g} in."
    code = "unknown-nominal-size"
    raise refuse(code, what, f"Known: {known}; or give the size it has.", where)


@cache
def size_tolerance(name: str, *, size: float) -> SizeTolerance:
    """How far a size may be off.

    Args:
        name: "T1" or "T2".
        size: Size stated. [mm]

    Returns:
        The row.
    """
    every = tuple(r for r in rows("sizes", "size_tolerances", SizeTolerance) if plain(r.name) == plain(name))
    if not every:
        code = "unknown-tolerance-class"
        raise refuse(code, f"The tables know no tolerance class “{name}”.", "Known: T1, T2.")
    return _band(every, size, "tolerance")


@cache
def planing_loss(*, size: float) -> PlaningLoss:
    """What planing takes off a sawn size.

    Args:
        size: Sawn size. [mm]

    Returns:
        The row.
    """
    return _band(rows("sizes", "planing", PlaningLoss), size, "planing loss")


def _band(candidates: tuple[BandedRow, ...], size: float, what: str) -> BandedRow:
    for row in candidates:
        if 0.0 < size <= row.up_to:
            return row
    msg = f"The table of {what} runs from 0 to {candidates[-1].up_to:g} mm, not {size:g} mm."
    raise OutOfRangeError(msg)


def lengths_sold(name: str, *, where: Where | None = None) -> LengthsSold:
    """Lengths that boards come in.

    Args:
        name: Where, e.g. "United Kingdom".
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    return pick(rows("sizes", "lengths_sold", LengthsSold), name, what="place for lengths sold", where=where)


def warp_limit(name: str) -> WarpLimit:
    """How crooked timber of a grade may be.

    Args:
        name: Grade as in the table.

    Returns:
        The row.
    """
    return pick(rows("sizes", "warp_limits", WarpLimit), name, what="grade for straightness")
