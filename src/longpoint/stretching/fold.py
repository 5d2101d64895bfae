"""A corner folded like a parcel, as plain polygons to be drawn to scale.

Coordinates of the flat cloth: the origin is the corner of the face; u runs outwards past the clean side, v outwards
past the folded side, so the face is u < 0, v < 0 and the corner square u, v > 0. The clean side's flap is turned first
and runs round the corner; its ear is tucked flat on the folded side, and the folded side's flap comes up over it.

Folded side seen square: t runs from the corner inwards, z from the lip to the back. Back seen square: a runs inwards
from the clean side, b inwards from the folded side.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import atan2, cos, radians, sin, tan

from shapely import Polygon, box
from shapely.affinity import affine_transform

from longpoint.errors import Caution, OutOfRangeError
from longpoint.stretching.fold_lay import Lay, Patch, Point, lay_of, outline_of, patches_of
from longpoint.tables import habit

_SLANT = 1.5  # [degrees] outer fold leans in by this: about 1 mm on a 44 mm bar; estimate
_TURN_IN = 12.0  # [mm] kept beside the outer fold at the cloth's edge when the hidden layer is cut; estimate
_SHORT_OF_CORNER = (
    3.0  # [mm] where the relief cut ends, so that the weave does not open to the face; estimate
)
_LAP = 15.0  # [mm] of the clean side's flap that goes round the corner in the second way; estimate
_SHOWN = 1.6  # how much of the flaps beside the corner is drawn, in turnovers


class FoldWay(StrEnum):
    """How the corner is folded."""

    PARCEL = "parcel"
    LAPPED = "lapped"  # for thick cloth: the ear cut away, only a lap goes round the corner


@dataclass(frozen=True, slots=True)
class CornerFold:
    """One corner folded.

    Attributes:
        way: How.
        depth: Of the bars. [mm]
        turnover: Cloth beyond the face. [mm]
        flat: The cloth before folding, in u and v, with what is cut away.
        cut: What the relief cut removes, in u and v.
        folds: Lines to fold along, in u and v, each from inside to outside.
        outer_fold: The outer fold as it is seen on the folded side, from lip to back, in t and z.
        side_before: The folded side, nothing cut.
        side: The folded side, cut.
        back_before: The back, nothing cut.
        back: The back, cut.
        cloth_thickness: Of one layer. [mm]
        cautions: What a person should know.
    """

    way: FoldWay
    depth: float
    turnover: float
    flat: tuple[Patch, ...]
    cut: Patch
    folds: tuple[tuple[Point, Point], ...]
    outer_fold: tuple[Point, Point]
    side_before: Lay
    side: Lay
    back_before: Lay
    back: Lay
    cloth_thickness: float
    cautions: tuple[Caution, ...]

    @property
    def thickness_before(self) -> float:
        """Thickest place of the corner with nothing cut. [mm]"""
        return max(self.side_before.layers, self.back_before.layers) * self.cloth_thickness

    @property
    def thickness(self) -> float:
        """Thickest place of the corner as made. [mm]"""
        return max(self.side.layers, self.back.layers) * self.cloth_thickness


class CleanSides(StrEnum):
    """Which pair of sides shows no fold."""

    UPRIGHT = "left and right"
    LEVEL = "top and bottom"


@dataclass(frozen=True, slots=True)
class CornerPlace:
    """How a corner of the work takes its fold.

    Attributes:
        name: "lower left", "lower right", "upper right" or "upper left".
        clean_side: Side that stays clean.
        folded_side: Side that carries the fold.
        along_u: Direction of u in the face's x and y.
        along_v: Direction of v in the face's x and y.
    """

    name: str
    clean_side: str
    folded_side: str
    along_u: Point
    along_v: Point


def corner_places(clean: CleanSides = CleanSides.UPRIGHT) -> tuple[CornerPlace, ...]:
    """Where the folds of the four corners lie, so that one pair of sides stays clean.

    Args:
        clean: The pair that stays clean; both upright sides unless said otherwise, so the lower corners' folds lie on
            the bottom edge and the upper corners' on the top edge.

    Returns:
        The four corners, lower left first, then round by the right.
    """
    found = []
    for level, upright in (("lower", "left"), ("lower", "right"), ("upper", "right"), ("upper", "left")):
        out_x: Point = (-1.0 if upright == "left" else 1.0, 0.0)
        out_y: Point = (0.0, -1.0 if level == "lower" else 1.0)
        level_side = "bottom" if level == "lower" else "top"
        if clean is CleanSides.UPRIGHT:
            found.append(CornerPlace(f"{level} {upright}", upright, level_side, out_x, out_y))
        else:
            found.append(CornerPlace(f"{level} {upright}", level_side, upright, out_y, out_x))
    return tuple(found)


def corner_fold(
    *,
    depth: float,
    turnover: float,
    cloth_thickness: float,
    way: FoldWay | None = None,
    slant: float = radians(_SLANT),
    turn_in: float = _TURN_IN,
    short_of_corner: float = _SHORT_OF_CORNER,
) -> CornerFold:
    """The fold of one corner.

    Args:
        depth: Of the bars, off the wall. [mm]
        turnover: Cloth beyond the face when it is folded, tail trimmed. [mm]
        cloth_thickness: Of one layer, primed or not as it is when folded. [mm]
        way: How; None chooses by thickness.
        slant: The outer fold leans inwards by this towards the back, 0 to 0.15. [rad]
        turn_in: Kept beside the outer fold at the cloth's edge when the hidden layer is cut away. [mm]
        short_of_corner: Where the relief cut ends. [mm]

    Returns:
        The fold, flat and folded, before and after cutting.

    Raises:
        OutOfRangeError: If a size is not above 0, or the turn-in takes the whole tuck.
    """
    for name, value in (("Depth", depth), ("Turnover", turnover), ("Cloth thickness", cloth_thickness)):
        if value <= 0.0:
            msg = f"{name} must be above 0 mm, not {value:g}."
            raise OutOfRangeError(msg)
    if not 0.0 <= slant <= 0.15:
        msg = f"The outer fold may lean in by 0 to 0.15 rad, not {slant:g}."
        raise OutOfRangeError(msg)
    chosen = way or (FoldWay.LAPPED if cloth_thickness >= habit("thick from").value else FoldWay.PARCEL)
    if chosen is FoldWay.LAPPED:
        return _lapped(depth, turnover, cloth_thickness, slant, short_of_corner)
    crease = radians(45.0) - slant  # from the v axis into the corner square: see _onto_side
    if not 0.0 < turn_in < 0.8 * turnover * tan(crease):
        msg = f"A turn-in of {turn_in:g} mm does not fit a turnover of {turnover:g} mm; take less."
        raise OutOfRangeError(msg)
    return _parcel(depth, turnover, cloth_thickness, slant, crease, turn_in, short_of_corner)


def _parcel(
    depth: float,
    turnover: float,
    cloth_thickness: float,
    slant: float,
    crease: float,
    turn_in: float,
    short_of_corner: float,
) -> CornerFold:
    s = turnover
    reach = _SHOWN * s
    lean, out = (-s * tan(slant), s), (s * tan(crease), s)  # outer fold and crease at the cloth's edge
    tuck = Polygon([(0, 0), (s, 0), (s, s), out])
    turned = Polygon([(0, 0), out, lean])
    folded_flap = Polygon([(0, 0), lean, (-reach, s), (-reach, 0)])
    clean_flap = box(0, -reach, s, 0)
    edge_at = atan2(turn_in, s)  # direction of the second cut, from the v axis
    removed = Polygon(
        [
            (short_of_corner * sin(crease), short_of_corner * cos(crease)),
            out,
            (turn_in, s),
            (short_of_corner * sin(edge_at), short_of_corner * cos(edge_at)),
        ]
    )
    # lowest first: the tuck lies on the wood, the turn-in on it, the flap over all
    before = (("clean flap", clean_flap), ("tuck", tuck), ("turn-in", turned), ("folded flap", folded_flap))
    after = tuple((name, shape.difference(removed) if name == "turn-in" else shape) for name, shape in before)
    outer = ((0.0, 0.0), (min(depth, s) * tan(slant), min(depth, s)))
    return CornerFold(
        way=FoldWay.PARCEL,
        depth=depth,
        turnover=turnover,
        flat=patches_of(before),
        cut=Patch("relief cut", outline_of(removed)),
        folds=(((0.0, 0.0), lean), ((0.0, 0.0), out), ((0.0, 0.0), (s, 0.0))),
        outer_fold=outer,
        side_before=_side(before, depth, s, slant),
        side=_side(after, depth, s, slant),
        back_before=_back(before, depth, s, slant),
        back=_back(after, depth, s, slant),
        cloth_thickness=cloth_thickness,
        cautions=(Caution("relief-cut", facts=(("short", f"{short_of_corner:g} mm"),)),),
    )


def _lapped(
    depth: float, turnover: float, cloth_thickness: float, slant: float, short_of_corner: float
) -> CornerFold:
    s = turnover
    reach = _SHOWN * s
    lap_width = min(_LAP, 0.5 * s)
    lean = (-s * tan(slant), s)
    clean_flap = box(0, -reach, s, 0)
    lap = Polygon([(0, 0), (s, 0), (s, lap_width), (lap_width, lap_width)])
    folded_flap = Polygon([(0, 0), lean, (-reach, s), (-reach, 0)])
    corner = Polygon([(0, 0), (s, 0), (s, s), lean])
    removed = corner.difference(lap).difference(
        Polygon([(0, 0), (0, short_of_corner), (short_of_corner, short_of_corner)])
    )
    after = (("clean flap", clean_flap), ("lap", lap), ("folded flap", folded_flap))
    crease = radians(45.0) - slant
    out = (s * tan(crease), s)
    uncut = (
        ("clean flap", clean_flap),
        ("tuck", Polygon([(0, 0), (s, 0), (s, s), out])),
        ("turn-in", Polygon([(0, 0), out, lean])),
        ("folded flap", folded_flap),
    )
    return CornerFold(
        way=FoldWay.LAPPED,
        depth=depth,
        turnover=turnover,
        flat=patches_of(after),
        cut=Patch("relief cut", outline_of(removed)),
        folds=(((0.0, 0.0), (s, 0.0)),),
        outer_fold=((0.0, 0.0), (min(depth, s) * tan(slant), min(depth, s))),
        side_before=_side(uncut, depth, s, slant),
        side=_side(after, depth, s, slant),
        back_before=_back(uncut, depth, s, slant),
        back=_back(after, depth, s, slant),
        cloth_thickness=cloth_thickness,
        cautions=(Caution("raw-edge-at-corner"),),
    )


# --- where each piece comes to lie -------------------------------------------------------------------------------
# In the plane of the folded side let α be the direction from the corner line towards the inside, ψ the direction of a
# point of flat cloth from the v axis towards the face. The flap lies at α = ψ. It is folded back at ψ = slant, so the
# turn-in lies at α = 2·slant − ψ; at the crease ψ = −c it folds again, and the tuck lies at α = 2·slant + 2c + ψ. The
# tuck ends on the corner line (α = 0 where ψ = −90°), hence c = 45° − slant. Every map keeps the corner in place.


def _onto_side(name: str, shape: Polygon, slant: float) -> Polygon:
    """A flat piece as it lies in the plane of the folded side, t and z, not yet turned on to the back."""
    if name == "folded flap":
        return affine_transform(shape, [-1, 0, 0, 1, 0, 0])
    if name == "turn-in":
        # u = -r sin ψ, v = r cos ψ; t = r sin(2 slant - ψ), z = r cos(2 slant - ψ)
        c, s = cos(2.0 * slant), sin(2.0 * slant)
        return affine_transform(shape, [c, s, -s, c, 0, 0])
    # tuck and lap: α = 90° + ψ, so t = r cos ψ = v and z = -r sin ψ = u
    return affine_transform(shape, [0, 1, 1, 0, 0, 0])


def _side(pieces: tuple[tuple[str, Polygon], ...], depth: float, turnover: float, slant: float) -> Lay:
    window = box(0, 0, _SHOWN * turnover, depth)
    placed = [
        (name, _onto_side(name, shape, slant).intersection(window))
        for name, shape in pieces
        if name != "clean flap"
    ]
    return lay_of(placed)


def _back(pieces: tuple[tuple[str, Polygon], ...], depth: float, turnover: float, slant: float) -> Lay:
    on_back = turnover - depth
    if on_back <= 0.0:
        return Lay((), ())
    window = box(0, 0, _SHOWN * turnover, _SHOWN * turnover)
    placed = []
    for name, shape in pieces:
        if name == "clean flap":
            # b = -v, a = u - depth
            turned = affine_transform(shape, [1, 0, 0, -1, -depth, 0])
        else:
            # a = t, b = z - depth
            turned = affine_transform(_onto_side(name, shape, slant), [1, 0, 0, 1, 0, -depth])
        placed.append((name, turned.intersection(window)))
    return lay_of(placed)
