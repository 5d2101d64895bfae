"""Hanging on a split batten: its length and screws, what they carry, and which offcut of the plan it is ripped from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from longpoint.errors import Caution
from longpoint.frame.members import Frame
from longpoint.handling.hanging import GRAVITY, Lean, place_clear
from longpoint.joinery.joints.joint import Joint
from longpoint.joinery.screws.hanger import hanger_fixings
from longpoint.stretching.staple_map import StapleMap
from longpoint.units import LengthStyle
from longpoint.works.hanging import (
    CENTRE_OFF,
    HungWork,
    SplitBatten,
    across_of,
    along_of,
    hanger_screw,
    taken_along,
)
from longpoint.works.stock import Stock
from longpoint.works.wood import Wood

SHARE = 0.6
"""Length of a batten, as a share of the face's width. [1] Estimate."""

APART = 300.0
"""Most between two of its screws. [mm] Common practice, no published source."""

FROM_END = 30.0
"""From a batten's end to its first screw. [mm] Estimate."""

NO_OFFCUT = "batten-bought"
"""Code of the caution that no offcut of the plan is long enough for a work's batten."""


@dataclass(frozen=True, slots=True)
class Offcut:
    """What is left of a board.

    Attributes:
        board: Its name.
        sides: Thin and wide side of its section. [mm]
        length: [mm]
    """

    board: str
    sides: tuple[float, float]
    length: float


def batten_work(
    stock: Stock,
    *,
    work: str,
    frame: Frame,
    mass: float,
    wood: Wood,
    joints: Sequence[Joint],
    staples: StapleMap,
    sides: tuple[float, float],
) -> HungWork:
    """How one work hangs on a split batten.

    The batten's half on the frame is screwed to the back of the top bar; a strip as thick at the foot keeps the work
    upright. Its weight goes through the screws across; out of them pulls the moment of the weight about the batten.

    Args:
        stock: What can be had, for the screws.
        work: Its name.
        frame: Its frame as it is built.
        mass: Of one, finished. [kg]
        wood: Of its bars.
        joints: Its joints, whose screws the batten's keep clear of.
        staples: Its staples, which they keep clear of, too.
        sides: Thin and wide side of the timber it is ripped from. [mm]
    """
    design = frame.design
    width, height = float(design.width), float(design.height)
    thick = float(design.bar_thickness)
    thin, wide = sides
    length = float(ceil(SHARE * width))
    count = max(2, ceil((length - 2 * FROM_END) / APART) + 1)
    taken = taken_along(design, joints, staples, upright=False)
    left = (width - length) / 2
    first, last = left + FROM_END, left + length - FROM_END
    wished = [first + (last - first) * number / (count - 1) for number in range(count)]
    reach = (last - first) / (count - 1) / 3  # so no two change places
    found = [
        place_clear(at, low=max(first, at - reach), high=min(last, at + reach), screws=[0.0], taken=taken)
        for at in wished
    ]
    places = [at if clear is None else clear for at, clear in zip(wished, found, strict=True)]
    below = thick / 2
    weight = mass * GRAVITY
    push = weight * (CENTRE_OFF * float(design.bar_depth) + thin) / (height - below)
    screw = hanger_screw(stock, design, passed=thin)
    return HungWork(
        work=work,
        height=height,
        below_top=below,
        from_left=(places[0], places[-1]),
        moved=None
        if any(clear is None for clear in found)
        else max(abs(at - clear) for at, clear in zip(wished, places, strict=True)),
        wire=None,
        drop=below,
        hooks=(left, left + length),
        leaning=Lean(tilt=0.0, top_gap=thin, push=push),
        screw=screw,
        sideways=weight / count,
        pulled=push / count,
        carries=0.0 if screw is None else across_of(screw, wood, passed=thin),
        holds=0.0 if screw is None else along_of(screw, wood, passed=thin),
        on_hook=weight / 2,
        fixings=()
        if screw is None
        else hanger_fixings(
            frame,
            [(at, height - below) for at in places],
            screw,
            passed=Fraction(thin).limit_denominator(1000),
        ),
        batten=SplitBatten(length=length, thickness=thin, width=wide),
    )


def from_offcuts(
    hung: Iterable[HungWork], offcuts: Iterable[Offcut], counts: dict[str, int]
) -> tuple[HungWork, ...]:
    """The battens with the offcuts they are ripped from: the longest first, each from the shortest that is enough.

    A work that is made several times takes an offcut for each; where they run out it keeps none.

    Args:
        hung: How works hang.
        offcuts: What the plan's boards leave.
        counts: How many there are of each work.
    """
    listed = list(hung)
    free = sorted(offcuts, key=lambda one: (one.length, one.board))
    order = sorted(
        (index for index, one in enumerate(listed) if one.batten is not None),
        key=lambda index: -_batten(listed[index]).length,
    )
    for index in order:
        batten = _batten(listed[index])
        mine: list[Offcut] = []
        for one in free:
            fits = one.sides == (batten.thickness, batten.width) and one.length >= batten.length
            if fits and len(mine) < counts[listed[index].work]:
                mine.append(one)
        if len(mine) < counts[listed[index].work]:
            continue
        for one in mine:
            free.remove(one)
        names = ", ".join(dict.fromkeys(one.board for one in mine))
        listed[index] = replace(listed[index], batten=replace(batten, offcut=names))
    return tuple(listed)


def _batten(one: HungWork) -> SplitBatten:
    assert one.batten is not None
    return one.batten


def batten_cautions(style: LengthStyle, hung: Iterable[HungWork]) -> tuple[Caution, ...]:
    """Works whose batten no offcut of the plan gives.

    Args:
        style: How lengths are shown.
        hung: How its works hang.
    """
    return tuple(
        Caution(NO_OFFCUT, about=one.work, facts=(("length", style.show(one.batten.length)),))
        for one in hung
        if one.batten is not None and not one.batten.offcut
    )
