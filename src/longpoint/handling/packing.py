"""Packs: what lies in them, what they are made of, what they weigh, what fits a load space. Lengths in mm, mass in kg.

Soft corners of 50 mm and more that keep everything clear of the face, works face to face and back to back, are habits
of those who ship pictures (from memory: CCI Technical Bulletin 34, Notes 10/16 and 20/3). Thicknesses are estimates
that may be stated otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

CARDBOARD = 4.0
"""Thickness of a cardboard sleeve. [mm] Estimate."""

CARDBOARD_MASS = 0.7
"""Of a square metre of corrugated cardboard. [kg/m²] Estimate."""

SHEET_DENSITY = 500.0
"""Of plywood. [kg/m³] Estimate."""

TIMBER_DENSITY = 450.0
"""Of softwood battens. [kg/m³] Estimate."""

BRACE = 1200.0
"""A crate's face that is longer is braced across in its middle. [mm] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """A work to be packed.

    Attributes:
        name: Its name.
        width: Of its face. [mm]
        height: Of its face. [mm]
        depth: Of its bars, with its hangers. [mm]
        mass: Finished. [kg]
    """

    name: str
    width: float
    height: float
    depth: float
    mass: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Pieces of one size.

    Attributes:
        what: "rim", "rim across", "corner", "skid", "brace", "face", "long side" or "short side".
        length: Of the piece. [mm]
        width: Of a sheet; 0 for timber. [mm]
        how_many: How many.
    """

    what: str
    length: float
    width: float
    how_many: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One pack.

    Attributes:
        works: Names of what lies in it, in order; first and second face to face.
        inside: Clear width, height and depth. [mm]
        outside: Width, height and depth. [mm]
        timber: Its battens.
        sheets: Its sheets.
        mass: Of all together. [kg]
    """

    works: tuple[str, ...]
    inside: tuple[float, float, float]
    outside: tuple[float, float, float]
    timber: tuple[Pieces, ...]
    sheets: tuple[Pieces, ...]
    mass: float

    def dimensional_mass(self, divisor: float) -> float:
        """What a carrier counts for its size: its volume over a divisor. [kg]

        Args:
            divisor: Above 0. [cm³/kg]
        """
        width, height, depth = (side / 10 for side in self.outside)
        return width * height * depth / divisor


def stack_depth(depths: Sequence[float], *, clearance: float, back: float) -> float:
    """What works take one behind the other: face to face, then back to back; each end keeps its own clearance. [mm]

    Args:
        depths: Of the works, in order; the first lies with its back to the outside.
        clearance: Before a face. [mm]
        back: Behind a back. [mm]
    """
    faces = ceil(len(depths) / 2)  # two faces share one; a single one looks at the cover
    backs = len(depths) // 2 + 1 if len(depths) % 2 == 0 else faces
    return sum(depths) + faces * clearance + backs * back


def pack(
    works: Sequence[Packed],
    *,
    kind: str,
    clearance: float,
    back: float,
    corner: float,
    sheet: float,
    batten: tuple[float, float],
) -> Pack:
    """One pack of works.

    Args:
        works: What lies in it, in order.
        kind: "sleeve", "travel frame", "box" or "crate".
        clearance: Before a face. [mm]
        back: Behind a back. [mm]
        corner: Soft corners round the edges. [mm]
        sheet: Thickness of sheets. [mm]
        batten: Thickness and depth of the timber. [mm]
    """
    inside = (
        max(work.width for work in works) + 2 * corner,
        max(work.height for work in works) + 2 * corner,
        stack_depth([work.depth for work in works], clearance=clearance, back=back),
    )
    width, height, depth = inside
    thick, wide = min(batten), max(batten)
    timber: list[Pieces] = []
    sheets: list[Pieces] = []

    def add(to: list[Pieces], what: str, count: int, length: float, across: float = 0.0) -> None:
        if count and length > 0:
            to.append(Pieces(what=what, length=length, width=across, how_many=count))

    if kind == "sleeve":
        outside = (width + 2 * CARDBOARD, height + 2 * CARDBOARD, depth + 2 * CARDBOARD)
        # one sheet folded round: both faces and both long edges, and flaps at the ends
        around = 2 * (min(outside[:2]) + outside[2])
        add(sheets, "face", 1, max(outside[:2]) + outside[2], around)
        own = sum(one.length * one.width * one.how_many for one in sheets) * 1e-6 * CARDBOARD_MASS
    else:
        layers = ceil(depth / wide) if kind == "travel frame" else 2
        rim = thick if kind == "travel frame" else thick + sheet
        deep = layers * wide if kind == "travel frame" else depth
        skids = wide if kind == "crate" else 0.0
        outside = (width + 2 * rim, height + 2 * rim, deep + 2 * sheet)
        long, short = max(width, height) + 2 * thick, min(width, height)
        add(timber, "rim", 2 * layers, long)
        add(timber, "rim across", 2 * layers, short)
        add(sheets, "face", 2, max(outside[:2]), min(outside[:2]))
        if kind != "travel frame":
            add(sheets, "long side", 2, max(outside[:2]), deep)
            add(sheets, "short side", 2, min(outside[:2]) - 2 * sheet, deep)
            add(timber, "corner", 4, deep - 2 * thick)
        if kind == "crate":
            add(timber, "skid", 2, outside[2])
            add(timber, "brace", 2 if max(outside[:2]) > BRACE else 0, min(outside[:2]))
            braced = thick if max(outside[:2]) > BRACE else 0.0
            outside = (outside[0], outside[1] + skids, outside[2] + 2 * braced)
        own = (
            sum(one.length * one.how_many for one in timber) * thick * wide * 1e-9 * TIMBER_DENSITY
            + sum(one.length * one.width * one.how_many for one in sheets) * sheet * 1e-9 * SHEET_DENSITY
        )
    return Pack(
        works=tuple(work.name for work in works),
        inside=inside,
        outside=outside,
        timber=tuple(timber),
        sheets=tuple(sheets),
        mass=sum(work.mass for work in works) + own,
    )


def grouped(works: Sequence[Packed], together: int) -> tuple[tuple[Packed, ...], ...]:
    """Works that go into one pack each time: the largest first, so that neighbours are nearly alike.

    Args:
        works: All of them, every copy.
        together: Most in one.
    """
    rising = sorted(works, key=lambda work: (-work.width * work.height, work.name))
    return tuple(tuple(rising[at : at + together]) for at in range(0, len(rising), together))


def standing(
    packs: Sequence[tuple[float, float, float]], *, width: float, height: float, depth: float
) -> tuple[int, float]:
    """How many packs stand upright in a load space, side by side in rows, by first fit; more may fit laid otherwise.

    Args:
        packs: Width, height and depth of each. [mm]
        width: Of the space. [mm]
        height: Of the space. [mm]
        depth: Of the space. [mm]

    Returns:
        How many, and the width that is left beside the widest row. [mm]
    """
    rows: list[tuple[float, float]] = []  # length along the space, width left
    count = 0
    for one in sorted(packs, key=lambda sides: -max(sides[:2])):
        thick = one[2]
        lies = [
            (along, up)
            for along, up in ((one[0], one[1]), (one[1], one[0]))
            if up <= height and along <= depth
        ]
        if not lies or thick > width:
            continue
        along = min(along for along, _ in lies)
        for number, (long, left) in enumerate(rows):
            if along <= long and thick <= left:
                rows[number] = (long, left - thick)
                count += 1
                break
        else:
            if sum(long for long, _ in rows) + along <= depth:
                rows.append((along, width - thick))
                count += 1
    return count, min((left for _, left in rows), default=width)
