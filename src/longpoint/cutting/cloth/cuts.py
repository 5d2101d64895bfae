"""The cuts of a lay in the order a person makes them, found from where the pieces lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress
from typing import Literal


@dataclass(frozen=True, slots=True)
class Sheet:
    """A rectangle of cloth, or a piece in it. All in whole units.

    Attributes:
        x: Left edge.
        y: Near edge.
        across: Size across the roll.
        along: Size along it; None for as far as the roll goes.
        label: What it is called; "" for a sheet.
    """

    x: int
    y: int
    across: int
    along: int | None
    label: str = ""


@dataclass(frozen=True, slots=True)
class Slice:
    """One cut through one sheet.

    Attributes:
        sheet: The sheet.
        way: Across the roll or along it.
        at: Where, as y or x.
        frees: Labels of the pieces that come free.
    """

    sheet: Sheet
    way: Literal["across", "along"]
    at: int
    frees: tuple[str, ...]


class NotStraightError(Exception):
    """No straight cut parts these pieces."""


def gaps(spans: Sequence[tuple[int, int]]) -> list[int]:
    """Places that no span crosses, at the start or end of spans.

    Args:
        spans: From, to.

    Returns:
        Places, rising.
    """
    clear = []
    reach: int | None = None
    for begin, end in sorted(spans):
        if reach is None or begin >= reach:
            if reach is not None:
                clear.append(reach)
            clear.append(begin)
        reach = end if reach is None else max(reach, end)
    if reach is not None:
        clear.append(reach)
    return sorted(set(clear))


def slices(
    sheet: Sheet, pieces: Sequence[Sheet], *, first: Literal["across", "along"] = "across", hair: int = 0
) -> list[Slice]:
    """Cuts that free the pieces from a sheet.

    Args:
        sheet: What is cut.
        pieces: What lies on it, without overlap, all with a stated ``along``.
        first: Which way to try first.
        hair: A strip as narrow as this is not cut off: it comes from rounding.

    Returns:
        Cuts in order; each names the sheet it goes through as it is at that moment.

    Raises:
        NotStraightError: If no straight cut parts the pieces.
    """
    made: list[Slice] = []
    waiting = [(sheet, list(pieces), first)]
    while waiting:
        here, inside, prefer = waiting.pop()
        if not inside or _is(here, inside, hair):
            continue
        other: Literal["across", "along"] = "along" if prefer == "across" else "across"
        for way in (prefer, other):
            at = _place(here, inside, way, hair)
            if at is not None:
                break
        else:
            msg = f"no straight cut parts the pieces on {here}"
            raise NotStraightError(msg)
        near, far = _part(here, way, at)
        is_near = [p.y < at if way == "across" else p.x < at for p in inside]
        near_inside = list(compress(inside, is_near))
        far_inside = [p for p, near_it in zip(inside, is_near, strict=True) if not near_it]
        frees = tuple(
            part[0].label
            for half, part in ((near, near_inside), (far, far_inside))
            if part and _is(half, part, hair)
        )
        made.append(Slice(here, way, at, frees))
        # The near part is cut up first; a sheet that came off across is cut along next.
        waiting.append((far, far_inside, prefer))
        waiting.append((near, near_inside, "along" if way == "across" else "across"))
    return made


def _is(sheet: Sheet, inside: Sequence[Sheet], hair: int) -> bool:
    if len(inside) != 1 or sheet.along is None:
        return False
    piece = inside[0]
    beyond = (
        piece.x - sheet.x,
        piece.y - sheet.y,
        sheet.x + sheet.across - piece.x - piece.across,
        sheet.y + sheet.along - piece.y - (piece.along or 0),
    )
    return max(beyond) <= hair


def _place(sheet: Sheet, inside: Sequence[Sheet], way: Literal["across", "along"], hair: int) -> int | None:
    if way == "across":
        begin, end = sheet.y, None if sheet.along is None else sheet.y + sheet.along
        spans = [(p.y, p.y + (p.along or 0)) for p in inside]
    else:
        begin, end = sheet.x, sheet.x + sheet.across
        spans = [(p.x, p.x + p.across) for p in inside]
    return next((at for at in gaps(spans) if at > begin + hair and (end is None or at < end - hair)), None)


def _part(sheet: Sheet, way: Literal["across", "along"], at: int) -> tuple[Sheet, Sheet]:
    if way == "across":
        rest = None if sheet.along is None else sheet.y + sheet.along - at
        return (
            Sheet(sheet.x, sheet.y, sheet.across, at - sheet.y),
            Sheet(sheet.x, at, sheet.across, rest),
        )
    return (
        Sheet(sheet.x, sheet.y, at - sheet.x, sheet.along),
        Sheet(at, sheet.y, sheet.x + sheet.across - at, sheet.along),
    )
