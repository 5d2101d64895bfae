"""Diagonals turned round: measured sides and diagonals in, which corner to push how far out.

The frame is measured as it lies in front of you: left and right, near (bottom) and far (top) as seen. Before the
glue sets a frame is a linkage of four bars; of all its shapes one has equal diagonals, and that is the one to push
to. For equal opposite sides d₁² − d₂² = 4·a·b·sin γ (law of cosines), and equal diagonals mean square corners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from longpoint.errors import Fault, FaultsError, OutOfRangeError, Where
from longpoint.tables.limits import limit
from longpoint.units import LengthStyle

Corner = Literal["bottom left", "bottom right", "top right", "top left"]
Verdict = Literal["accept", "push", "a side is wrong"]

FINE = LengthStyle().finer()
"""Tenths of a millimetre."""
READING = 1.0
"""How far a careful reading with a tape may be out; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredFrame:
    """Six measures of a frame, long point to long point. [mm]

    Attributes:
        bottom: The near side.
        top: The far side.
        left: The left side.
        right: The right side.
        rising: Diagonal from bottom left to top right.
        falling: Diagonal from top left to bottom right.
    """

    bottom: float
    top: float
    left: float
    right: float
    rising: float
    falling: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongSide:
    """A side that does not agree with the one opposite, or with the plan.

    Attributes:
        side: The side: bottom, top, left or right.
        by: How much longer it is than it should be; negative: shorter. [mm]
        against: What it was compared with.
    """

    side: str
    by: float
    against: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SquareAnswer:
    """What to do with a frame before its glue sets.

    Attributes:
        verdict: accept, push, or a side is wrong (then pushing alone makes no rectangle).
        difference: Rising less falling diagonal. [mm]
        skew: How far the corners are from square, the mean of the four. [rad]
        lean: How far the far side stands out sideways over the frame's height. [mm]
        limit: Difference that is accepted. [mm]
        limit_source: Where the limit comes from.
        push: The corner to push; None where nothing is pushed.
        towards: The corner it is pushed towards, which is held against a stop.
        by: How far the corner moves along its diagonal. [mm]
        until: What both diagonals then read. [mm]
        wrong: Sides that were cut, or measured, wrong.
        said: The answer in sentences.
    """

    verdict: Verdict
    difference: float
    skew: float
    lean: float
    limit: float
    limit_source: str
    push: Corner | None
    towards: Corner | None
    by: float
    until: float
    wrong: tuple[WrongSide, ...]
    said: tuple[str, ...]


def skew_of(*, width: float, height: float, rising: float, falling: float) -> float:
    """How far a parallelogram is from square.

    Args:
        width: Of the face, above 0. [mm]
        height: Of the face, above 0. [mm]
        rising: Diagonal from bottom left to top right. [mm]
        falling: The other. [mm]

    Returns:
        The angle; positive where the top leans to the right. [rad]

    Raises:
        OutOfRangeError: If no parallelogram has these measures.
    """
    if width <= 0.0 or height <= 0.0:
        msg = "Width and height must be above 0."
        raise OutOfRangeError(msg)
    sine = (rising - falling) * (rising + falling) / (4.0 * width * height)
    if abs(sine) > 1.0:
        msg = f"No frame {width:g} × {height:g} has diagonals {rising:g} and {falling:g}."
        raise OutOfRangeError(msg)
    return math.asin(sine)


def check_square(
    measured: MeasuredFrame,
    *,
    planned_width: float | None = None,
    planned_height: float | None = None,
    accepted: float | None = None,
    reading: float = READING,
    bar_thickness: float | None = None,
    style: LengthStyle = FINE,
) -> SquareAnswer:
    """What measured sides and diagonals say.

    Args:
        measured: The six measures.
        planned_width: What bottom and top should be; None: not compared. [mm]
        planned_height: What left and right should be; None: not compared. [mm]
        accepted: Difference of diagonals that is accepted; None: the table's limit. [mm]
        reading: How far one reading may be out. [mm]
        bar_thickness: Of the bars; only to say how far the mitres would open. [mm]
        style: How lengths are said.

    Returns:
        The answer.

    Raises:
        FaultsError: If no flat frame can have these measures.
    """
    faults = _impossible(measured, reading=reading, style=style)
    if faults:
        raise FaultsError(faults)
    row = limit("out of square")
    allowed = row.value if accepted is None else accepted
    source = str(row.source) if accepted is None else "as you stated"
    wrong = _wrong_sides(measured, planned_width, planned_height, reading)
    difference = measured.rising - measured.falling
    mean_width = (measured.bottom + measured.top) / 2.0
    mean_height = (measured.left + measured.right) / 2.0
    skew = skew_of(width=mean_width, height=mean_height, rising=measured.rising, falling=measured.falling)
    target = equal_diagonal(measured)
    if abs(difference) <= allowed:
        verdict: Verdict = "a side is wrong" if wrong else "accept"
        ends: tuple[Corner, Corner] | tuple[None, None] = (None, None)
        by = 0.0
    else:
        verdict = "push"
        ends = ("top right", "bottom left") if difference > 0 else ("top left", "bottom right")
        by = max(measured.rising, measured.falling) - target
    answer = SquareAnswer(
        verdict=verdict,
        difference=difference,
        skew=skew,
        lean=mean_height * math.sin(skew),
        limit=allowed,
        limit_source=source,
        push=ends[0],
        towards=ends[1],
        by=by,
        until=target,
        wrong=wrong,
        said=(),
    )
    return replace(answer, said=_said(answer, bar_thickness, style))


def equal_diagonal(measured: MeasuredFrame) -> float:
    """The length both diagonals have when the linkage of the four sides is pushed until they are equal. [mm]

    Bisection on the rising diagonal: as it grows the falling one shrinks.
    """
    low = max(abs(measured.bottom - measured.right), abs(measured.top - measured.left)) + 1e-9
    high = min(measured.bottom + measured.right, measured.top + measured.left) - 1e-9
    for _ in range(200):
        middle = (low + high) / 2.0
        if middle < _other_diagonal(measured, middle):
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _other_diagonal(measured: MeasuredFrame, rising: float) -> float:
    """The falling diagonal of a flat frame whose sides and rising diagonal are known. [mm]"""
    # A at the origin, C on the x axis; B below, D above.
    bx, by = _apex(measured.bottom, measured.right, rising)
    dx, dy = _apex(measured.left, measured.top, rising)
    return math.hypot(bx - dx, by + dy)


def _apex(first: float, second: float, base: float) -> tuple[float, float]:
    """Third corner of a triangle on a base from 0 to ``base``: how far along, how far off."""
    along = (first * first - second * second + base * base) / (2.0 * base)
    return along, math.sqrt(max(first * first - along * along, 0.0))


_TRIANGLES = (
    ("rising", "bottom", "right"),
    ("rising", "left", "top"),
    ("falling", "bottom", "left"),
    ("falling", "right", "top"),
)


def _impossible(measured: MeasuredFrame, *, reading: float, style: LengthStyle) -> list[Fault]:
    show = style.show
    faults = []
    for name in ("bottom", "top", "left", "right", "rising", "falling"):
        value = getattr(measured, name)
        if not (math.isfinite(value) and value > 0.0):
            faults.append(
                Fault("not-a-measure", f"{name} reads {value:g} mm.", "Measure it again.", Where(name))
            )
    if faults:
        return faults
    for diagonal, one, other in _TRIANGLES:
        d, a, b = getattr(measured, diagonal), getattr(measured, one), getattr(measured, other)
        if d >= a + b or d <= abs(a - b):
            faults.append(
                Fault(
                    "diagonal-impossible",
                    f"the {diagonal} diagonal reads {show(d)}; between sides of {show(a)} ({one}) and {show(b)} "
                    f"({other}) it lies between {show(abs(a - b))} and {show(a + b)}.",
                    "Measure it again, long point to long point, with the tape tight.",
                    Where(diagonal),
                )
            )
    if faults:
        return faults
    expected = _other_diagonal(measured, measured.rising)
    # How far the falling diagonal may be out when every reading is out by ``reading``, all the worst way.
    worst = reading
    for name in ("bottom", "top", "left", "right", "rising"):
        nudged = replace(measured, **{name: getattr(measured, name) + 0.01})
        worst += reading * abs(_other_diagonal(nudged, nudged.rising) - expected) / 0.01
    gap = measured.falling - expected
    if abs(gap) > worst:
        faults.append(
            Fault(
                "diagonals-impossible",
                f"with these sides and a rising diagonal of {show(measured.rising)} the falling one of a flat frame "
                f"is {show(expected)}; it reads {show(measured.falling)}, {show(abs(gap))} "
                f"{'more' if gap > 0 else 'less'}, and careful readings explain at most {show(worst)}.",
                "No frame of these sides has these diagonals: measure all six again, long point to long point.",
                Where("falling"),
            )
        )
    return faults


def _wrong_sides(
    measured: MeasuredFrame, planned_width: float | None, planned_height: float | None, reading: float
) -> tuple[WrongSide, ...]:
    found: list[WrongSide] = []
    for planned, names in ((planned_width, ("bottom", "top")), (planned_height, ("left", "right"))):
        if planned is not None:
            found += [
                WrongSide(side=name, by=getattr(measured, name) - planned, against="the plan")
                for name in names
                if abs(getattr(measured, name) - planned) > 2.0 * reading
            ]
    for one, other in (("bottom", "top"), ("left", "right")):
        by = getattr(measured, one) - getattr(measured, other)
        known = any(wrong.side in (one, other) for wrong in found)
        if abs(by) > 2.0 * reading and not known:
            longer, shorter = (one, other) if by > 0 else (other, one)
            found.append(WrongSide(side=longer, by=abs(by), against=f"the {shorter}"))
    return tuple(found)


def _said(answer: SquareAnswer, bar_thickness: float | None, style: LengthStyle) -> tuple[str, ...]:
    show = style.show
    said = []
    out = abs(answer.difference)
    degrees = math.degrees(abs(answer.skew))
    if answer.push is None:
        said.append(
            f"The diagonals differ by {show(out)}: within {show(answer.limit)} ({answer.limit_source}). "
            "Nothing to push."
        )
    else:
        said.append(
            f"Out of square by {show(out)} between the diagonals, {degrees:.2f}°: the far side stands "
            f"{show(abs(answer.lean))} too far {'right' if answer.lean > 0 else 'left'}."
        )
        said.append(
            f"Hold the {answer.towards} corner against a stop and push the {answer.push} corner {show(answer.by)} "
            f"towards it, along the diagonal, until both diagonals read {show(answer.until)}. It springs back a "
            "little: let go, measure again, then nip up the corners."
        )
    for wrong in answer.wrong:
        said.append(
            f"The {wrong.side} side is {show(abs(wrong.by))} {'longer' if wrong.by > 0 else 'shorter'} than "
            f"{wrong.against}: it was cut or measured wrong. Pushing cannot cure that; measure it again and, before "
            "the glue sets, take the frame apart and recut the longer bar of the pair."
        )
    if bar_thickness is not None and answer.push is not None:
        gap = bar_thickness * math.sqrt(2.0) * abs(answer.skew)
        if gap > limit("mitre gap, glue").value:
            said.append(
                f"As it is, a mitre cut true stands open by up to {show(gap)}: more than the glue bridges."
            )
    return tuple(said)


def mitre_gap(*, error: float, bar_thickness: float) -> float:
    """Gap at the open end of a mitre when each of its two cuts is out by an angle: 2·W·√2·e. [mm]

    Args:
        error: Of each cut. [rad]
        bar_thickness: Seen from the front. [mm]
    """
    return 2.0 * bar_thickness * math.sqrt(2.0) * abs(error)
