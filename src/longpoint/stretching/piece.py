"""The piece of cloth for one work: how big it is cut and what of it ends up where.

Measured outwards from the face edge, the cloth goes over the side, on to the back if it is fastened there, then under
itself if it is hemmed. A tail for the pliers is added only where it will be trimmed off afterwards; where it stays, it
is part of the turnover.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from longpoint.errors import Caution, Fault, FaultsError, OutOfRangeError, Where
from longpoint.tables import habit
from longpoint.units import LengthStyle

_MILLIMETRES = LengthStyle()


class Fastening(StrEnum):
    """Where cloth is stapled."""

    BACK = "back"
    SIDE = "side"
    HEM = "hem"  # on the back, raw edge turned under


@dataclass(frozen=True, slots=True)
class Zone:
    """A strip of cloth, measured outwards from the face edge.

    Attributes:
        name: "side", "back", "hem", "tail" or "thread allowance".
        start: Inner edge of the strip. [mm]
        stop: Outer edge. [mm]
        stays: Whether it is still there when the work is done.
    """

    name: str
    start: float
    stop: float
    stays: bool


@dataclass(frozen=True, slots=True)
class ClothPiece:
    """The piece for one work.

    Attributes:
        width: Cut size along the face's width. [mm]
        height: Cut size along the face's height. [mm]
        fastened: Where it is stapled.
        beyond_face: Cloth beyond the face on each side, as cut. [mm]
        turnover: What of it stays: over the side, on to the back, hem. [mm]
        staple_line: From the face edge to the middle of the staple row, along the cloth. [mm]
        row: The same from the nearest edge of the face it is stapled on: the outer arris of the back, or the lip. [mm]
        past_bar: Cloth on the back that hangs over the bar's inner edge. [mm]
        zones: Strips outwards from the face edge, without gaps.
        spare: More cloth on one side, in the cut size besides. [mm]
        spare_side: The side it lies on.
        cautions: What a person should know.
    """

    width: float
    height: float
    fastened: Fastening
    beyond_face: float
    turnover: float
    staple_line: float
    row: float
    past_bar: float
    zones: tuple[Zone, ...]
    cautions: tuple[Caution, ...]
    spare: float = 0.0
    spare_side: str = "bottom"

    @property
    def middles(self) -> tuple[float, float]:
        """Middle of the face along the cloth's width and height, from the edges without spare cloth. [mm]"""
        level = self.spare if self.spare_side in ("left", "right") else 0.0
        upright = self.spare - level
        return (0.5 * (self.width - level), 0.5 * (self.height - upright))

    @property
    def area(self) -> float:
        """Area as cut. [m²]"""
        return self.width * self.height * 1e-6

    @property
    def tail(self) -> float:
        """What is trimmed off after stapling. [mm]"""
        return sum(zone.stop - zone.start for zone in self.zones if zone.name == "tail")


def least_turnover(*, depth: float, fastened: Fastening, tail_trimmed: bool) -> float:
    """The least cloth beyond the face that the fastening can work with.

    Args:
        depth: Of the bar, off the wall. [mm]
        fastened: Where it is stapled.
        tail_trimmed: Whether the pliers hold a tail of their own.

    Returns:
        Turnover. [mm]
    """
    edge = habit("staple to edge of bar").value
    # past the staple row: enough that threads do not pull out, or enough for the jaws where they hold this cloth
    past_row = habit("staple to raw edge").value
    if not tail_trimmed:
        past_row = max(past_row, habit("least tail").value)
    if fastened is Fastening.SIDE:
        return edge + past_row
    on_back = max(habit("least on the back").value, edge + past_row)
    hem = habit("hem").value if fastened is Fastening.HEM else 0.0
    return depth + on_back + hem


def usual_turnover(*, depth: float, thickness: float, fastened: Fastening) -> float:
    """The cloth beyond the face that people leave.

    Args:
        depth: Of the bar, off the wall. [mm]
        thickness: Of the bar, in the canvas plane: cloth does not hang over a thin bar's inner edge. [mm]
        fastened: Where it is stapled.

    Returns:
        Turnover: to the back arris when fastened on the side, else on to the back. [mm]
    """
    if fastened is Fastening.SIDE:
        return depth
    hem = habit("hem").value if fastened is Fastening.HEM else 0.0
    on_back = min(habit("left on the back").value, thickness)
    # enough for the pliers even where no tail is trimmed, though it then hangs over a very thin bar
    least = habit("staple to edge of bar").value + habit("least tail").value
    return depth + max(on_back, least) + hem


def cloth_piece(
    *,
    face_width: float,
    face_height: float,
    depth: float,
    thickness: float,
    fastened: Fastening,
    tail_trimmed: bool,
    turnover: float | None = None,
    tail: float | None = None,
    thread_allowance: float = 0.0,
    spare: float = 0.0,
    spare_side: str = "bottom",
    where: Where | None = None,
    style: LengthStyle = _MILLIMETRES,
) -> ClothPiece:
    """The piece of cloth for one work.

    Args:
        face_width: Of the face. [mm]
        face_height: Of the face. [mm]
        depth: Of the bars, off the wall. [mm]
        thickness: Of the bars, in the canvas plane: what there is to lie on at the back. [mm]
        fastened: Where it is stapled.
        tail_trimmed: Whether a tail is left for the pliers and cut off afterwards.
        turnover: Cloth beyond the face that stays; None for the usual. [mm]
        tail: What the pliers hold, if trimmed; None for the usual. [mm]
        thread_allowance: Cut or torn away on each side to come square to the thread. [mm]
        spare: More cloth on one side, left for another time. [mm]
        spare_side: The side it lies on.
        where: The place the turnover was stated, for messages.
        style: How lengths are shown in messages.

    Returns:
        The piece with its zones.

    Raises:
        OutOfRangeError: If a size is not above 0.
        FaultsError: If the turnover or the tail is too short for the fastening, all faults together.
    """
    for name, value in (("Face width", face_width), ("Face height", face_height), ("Depth", depth)):
        if value <= 0.0:
            msg = f"{name} must be above 0 mm, not {value:g}."
            raise OutOfRangeError(msg)
    kept = (
        usual_turnover(depth=depth, thickness=thickness, fastened=fastened) if turnover is None else turnover
    )
    trimmed = (habit("tail for the pliers").value if tail is None else tail) if tail_trimmed else 0.0
    faults = list(
        _faults(
            kept=kept,
            depth=depth,
            thickness=thickness,
            fastened=fastened,
            tail_trimmed=tail_trimmed,
            trimmed=trimmed,
            where=where or Where(),
            style=style,
        )
    )
    if faults:
        raise FaultsError(faults)
    zones = tuple(
        _zones(kept=kept, depth=depth, fastened=fastened, trimmed=trimmed, thread_allowance=thread_allowance)
    )
    beyond = zones[-1].stop
    line = _staple_line(kept=kept, depth=depth, thickness=thickness, fastened=fastened)
    on_back = kept - depth - (habit("hem").value if fastened is Fastening.HEM else 0.0)
    return ClothPiece(
        width=face_width + 2.0 * beyond + (spare if spare_side in ("left", "right") else 0.0),
        height=face_height + 2.0 * beyond + (spare if spare_side in ("bottom", "top") else 0.0),
        spare=spare,
        spare_side=spare_side,
        fastened=fastened,
        beyond_face=beyond,
        turnover=kept,
        staple_line=line,
        row=line if fastened is Fastening.SIDE else line - depth,
        past_bar=0.0 if fastened is Fastening.SIDE else max(on_back - thickness, 0.0),
        zones=zones,
        cautions=tuple(
            _cautions(kept=kept, depth=depth, thickness=thickness, fastened=fastened, style=style)
        ),
    )


def _faults(
    *,
    kept: float,
    depth: float,
    thickness: float,
    fastened: Fastening,
    tail_trimmed: bool,
    trimmed: float,
    where: Where,
    style: LengthStyle,
) -> Iterator[Fault]:
    least = least_turnover(depth=depth, fastened=fastened, tail_trimmed=tail_trimmed)
    if kept < least:
        usual = usual_turnover(depth=depth, thickness=thickness, fastened=fastened)
        rest = "" if tail_trimmed else ", or leave a tail for the pliers and trim it"
        place = {"back": "on the back", "side": "on the side", "hem": "on the back with a hem"}[fastened]
        yield Fault(
            "turnover-too-short",
            f"A turnover of {style.show(kept)} is too short to be stapled {place} of a bar {style.show(depth)} deep: "
            f"it needs at least {style.show(least, rounding='up')}.",
            f"Give {style.show(usual, rounding='up')} or more{rest}.",
            where,
        )
    least_tail = habit("least tail").value
    if tail_trimmed and trimmed < least_tail:
        yield Fault(
            "tail-too-short",
            f"A tail of {style.show(trimmed)} gives the pliers nothing to hold; the jaws need "
            f"{style.show(least_tail, rounding='up')}.",
            f"Leave {style.show(habit('tail for the pliers').value, rounding='up')}.",
            where,
        )


def _zones(
    *, kept: float, depth: float, fastened: Fastening, trimmed: float, thread_allowance: float
) -> Iterator[Zone]:
    hem = habit("hem").value if fastened is Fastening.HEM else 0.0
    flat = kept - hem
    stops = [("side", min(flat, depth), True), ("back", flat, True), ("hem", kept, True)]
    stops += [("tail", kept + trimmed, False), ("thread allowance", kept + trimmed + thread_allowance, False)]
    start = 0.0
    for name, stop, stays in stops:
        if stop > start:
            yield Zone(name, start, stop, stays)
            start = stop


def _staple_line(*, kept: float, depth: float, thickness: float, fastened: Fastening) -> float:
    """The middle of the cloth that lies on the side, or on the wood at the back; never too near arris or raw edge."""
    edge = habit("staple to edge of bar").value
    if fastened is Fastening.SIDE:
        return max(edge, 0.5 * min(kept, depth))
    hem = habit("hem").value if fastened is Fastening.HEM else 0.0
    on_back = kept - depth - hem
    middle = 0.5 * min(on_back, thickness)
    return depth + max(min(edge, 0.5 * thickness), min(middle, on_back - habit("staple to raw edge").value))


def _cautions(
    *, kept: float, depth: float, thickness: float, fastened: Fastening, style: LengthStyle
) -> Iterator[Caution]:
    hem = habit("hem").value if fastened is Fastening.HEM else 0.0
    on_back = kept - depth - hem
    if fastened is not Fastening.SIDE and on_back > thickness:
        yield Caution(
            "turnover-past-bar",
            facts=(
                ("back", style.show(on_back)),
                ("bar", style.show(thickness)),
                ("past", style.show(on_back - thickness)),
            ),
        )
    if fastened is Fastening.SIDE:
        yield Caution("staples-seen")
