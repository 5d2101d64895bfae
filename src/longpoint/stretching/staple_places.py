"""Places of staples along one side, and the runs they are driven in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import TypeVar

from longpoint.errors import OutOfRangeError

_Place = TypeVar("_Place")


def side_places(*, length: float, widest: float, closest: float, last: float) -> tuple[float, ...]:
    """Evenly spaced places along a side, the same from either end.

    Args:
        length: Of the side. [mm]
        widest: Widest spacing. [mm]
        closest: Closest spacing that is wished; kept where a whole number of spacings allows it. [mm]
        last: From the corner to the last staple. [mm]

    Returns:
        Places from one end, rising; one in the middle where the spacing allows. [mm]

    Raises:
        OutOfRangeError: If the side is too short for two staples.
    """
    between = length - 2.0 * last
    if between <= 0.0 or widest <= 0.0:
        msg = f"A side of {length:g} mm leaves no room between two last staples {last:g} mm from the corners."
        raise OutOfRangeError(msg)
    # a hair of slack, so that 450.0000001 / 50 is nine spacings and not ten
    least = max(1, ceil(between / widest - 1e-9))
    even = least + least % 2
    spaces = even if between / even >= closest - 1e-9 else least
    return tuple(last + between * step / spaces for step in range(spaces + 1))


@dataclass(frozen=True, slots=True)
class SideGroups:
    """The places of one side as runs, from the middle outwards.

    Attributes:
        middle: The run in the middle, nearest to the middle first. [mm]
        towards_start: Runs towards the left or lower end. [mm]
        towards_end: Runs towards the right or upper end. [mm]
    """

    middle: tuple[float, ...]
    towards_start: tuple[tuple[float, ...], ...]
    towards_end: tuple[tuple[float, ...], ...]


def side_groups(places: tuple[float, ...], in_run: int) -> SideGroups:
    """The places of one side as runs.

    Args:
        places: Along the side, rising. [mm]
        in_run: Staples in a run.

    Returns:
        The runs from the middle outwards.
    """
    # an odd row has a staple in the middle, an even one two beside it: the middle run must suit, to stay symmetric
    size = min(in_run if (len(places) - in_run) % 2 == 0 else in_run - 1, len(places))
    size = max(size, 1)
    first = (len(places) - size) // 2
    middle = places[first : first + size]
    by_nearness = sorted(middle, key=lambda along: abs(along - 0.5 * (places[0] + places[-1])))
    low, high = places[:first][::-1], places[first + size :]
    return SideGroups(tuple(by_nearness), _tuples(in_runs(low, in_run)), _tuples(in_runs(high, in_run)))


def in_runs(places: Sequence[_Place], size: int) -> list[Sequence[_Place]]:
    """Places in a row as runs of about ``size``, never a single one left over at the corner."""
    if not places:
        return []
    count = max(1, round(len(places) / size))
    edges = [round(index * len(places) / count) for index in range(count + 1)]
    return [places[start:stop] for start, stop in pairwise(edges)]


def _tuples(runs: list[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(run) for run in runs)
