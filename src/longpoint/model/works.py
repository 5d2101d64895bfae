"""What is to be made: works, sets of works, and how their frames are wished."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, field_serializer

from longpoint.model.order import USUAL_ORDERS
from longpoint.model.price import PaintingHours
from longpoint.model.quantities import (
    Auto,
    Count,
    Fall,
    Length,
    LengthAboveZero,
    Money,
    Name,
    Number,
    OneLine,
    Stated,
    Text,
    Whole,
    YesNo,
)
from longpoint.units import N_PER_METRE

Corner = Literal["mitre", "mitre with gusset", "mitre with glue block", "half-lap", "keyed mitre"]
Join = Literal["none", "scarf", "half-lap with plate"]
Sides = Literal["left and right", "top and bottom", "short sides", "long sides"]


class BarsWish(Stated):
    """How the outer bars are wished.

    Attributes:
        thickness: Seen from the front, in the canvas plane; ``auto`` lets the program choose among what is
            on sale at that depth.
        depth: Off the wall; ``auto``: 44 mm where that is on sale or nothing is stated, else what is on sale.
        stand: Whether the timber stands on edge (deeper than thick) or lies flat.
        bevel: How far the low inner edge falls below the lip, as a length or an angle.
        bevel_by: Who makes the bevel.
        bevel_when: Whether it is made before or after the bars are cut.
        lip_radius: How far the lip is eased.
        corner: The corner joint; ``auto``: a plain mitre where end rails hold it or the face is small, else with a
            gusset.
        timber: Name of the yard timber; ``auto`` takes what fits.
        join: How a bar longer than every board it may come from is joined in length, from two pieces or more;
            ``auto``: by a scarf; ``none``: such a bar is refused.
        glued_from: From how many boards each bar is glued, face to face: 2 makes bars twice as thick as the timber;
            ``auto``: from two where nothing on sale holds and that costs no more than thicker timber bought besides.
    """

    thickness: LengthAboveZero | Auto = "auto"
    depth: LengthAboveZero | Auto = "auto"
    stand: Literal["on edge", "flat"] = "on edge"
    bevel: Fall = Fraction(6)
    bevel_by: Literal["yard", "hand plane", "power plane"] = "hand plane"
    bevel_when: Literal["before cutting", "after cutting"] = "before cutting"
    lip_radius: Length = Fraction(2)
    corner: Corner | Auto = "auto"
    timber: OneLine = "auto"
    join: Join | Auto = "auto"
    glued_from: Literal[1, 2] | Auto = "auto"


class InsideWish(Stated):
    """How the inner members are wished.

    Attributes:
        cross_rails: How many, or where their centre lines lie from the left (or lower) outer corner along
            the long direction, or ``auto``.
        middle_pieces: Whether there is a line of middle pieces.
        end_rails: Along which bars end rails lie.
        thickness: Of rails, seen from the front; ``auto``: as the bars where that is on sale.
        depth: Of rails, off the wall; ``auto``: what is on sale and keeps the gap.
        drop: How far rails lie in from the back edge; ``auto``: 7 mm, less where rail and gap need the room; rails that
            lie flat come up to 12 mm behind the canvas, where they keep bars best from turning in.
        stand: Whether rails stand on edge or lie flat, thick as seen from the front and shallow off the wall; ``auto``
            looks at both.
        crossing: Whether middle pieces are cut per bay or halved over the cross rails.
        shift: How far a middle piece is moved sideways where a drill must reach; ``auto``: as the shop's
            drill needs.
        timber: Name of the yard timber; ``auto`` takes what fits.
        end_rail_screws: Screws along an end rail; ``auto``: near each end and at most 300 mm apart, which is five on
            1.2 m.
        in_halves: Whether the frame is made in two halves that bolt together through two cross rails lying face to
            face. A number of cross rails then counts these two as one, and an even number is raised by one, so that
            both halves are alike. Left out: in one piece, or in halves where in one piece it does not get out of a
            stated [[way]] or no board gives its bars.
    """

    cross_rails: Annotated[Whole, Field(ge=0, le=60)] | tuple[LengthAboveZero, ...] | Auto = "auto"
    middle_pieces: YesNo | Auto = "auto"
    end_rails: Literal["auto", "string sides", "short sides", "all", "none"] = "auto"
    thickness: LengthAboveZero | Auto = "auto"
    depth: LengthAboveZero | Auto = "auto"
    drop: Length | Auto = "auto"
    stand: Literal["on edge", "flat"] | Auto = "auto"
    crossing: Literal["butt", "halved"] = "butt"
    shift: Length | Auto = "auto"
    timber: OneLine = "auto"
    end_rail_screws: Annotated[Whole, Field(ge=2, le=40)] | Auto = "auto"
    in_halves: YesNo = False


class ClothWish(Stated):
    """How cloth is cut and fastened.

    Attributes:
        turnover: Cloth beyond the face on each side: over the side and on to the back.
        fasten: Where it is stapled.
        folds: On which edges the corners' folds lie; the other pair stays clean.
        warp: Which way the warp runs on the work.
        may_turn: Whether pieces may be turned across the warp.
        roll: Name of the roll; ``auto``: the first that is wide enough, and rolls of the same cloth (state, fibre,
            mass) as what is cheapest.
        edge_allowance: Extra on each side for tearing to the thread.
        spare: More cloth on one side, left hanging and folded in behind the bar, to stretch it again one day.
        spare_side: On which side of the work the spare cloth lies.
        seam: Whether cloth that is too narrow may be seamed.
        seam_allowance: Cloth lost on each side of a seam.
        tension_left: The mean tension that shall be left, N/m.
        order: In which order it is stapled: ``middles outward``, ``pinwheel``, ``corners first``, ``round the
            frame``, ``side after side``, the name of an ``[[order]]``, or a file (``.toml``, beside the batch file) as
            ``longpoint rehearse`` writes it.
    """

    turnover: Length | Auto = "auto"
    fasten: Literal["back", "side", "hem"] = "back"
    folds: Literal["bottom and top", "left and right"] = "bottom and top"
    warp: Literal["long side", "up", "across"] = "long side"
    may_turn: YesNo = False
    roll: OneLine = "auto"
    edge_allowance: Length = Fraction(0)
    spare: Length = Fraction(0)
    spare_side: Literal["bottom", "top", "left", "right"] = "bottom"
    seam: YesNo = False
    seam_allowance: Length = Fraction(15)
    tension_left: Number = Field(default=200, ge=20, le=1000)
    order: OneLine = USUAL_ORDERS[0]

    @property
    def tension(self) -> float:
        """The mean tension that shall be left, as engines take it. [N/mm]"""
        return self.tension_left / N_PER_METRE


class Work(Stated):
    """A painting to be made.

    Attributes:
        name: Its name, unique in the batch; left out, it is numbered.
        width: Of the face, side to side as it hangs.
        height: Of the face, up and down as it hangs.
        how_many: How many are made.
        strings: Which two sides carry the strings or hangers.
        notes: Free text, printed on the work's page.
        price: What one is sold for, before discount and tax; left out: as ``[price]`` and ``[shop.rates]`` say.
        painting_hours: Hours of painting that one takes, beside what is planned here. [h]
        bars: Keys that differ from the batch's ``[bars]``.
        inside: Keys that differ from the batch's ``[inside]``.
        cloth: Keys that differ from the batch's ``[cloth]``.
    """

    name: Name = ""
    width: LengthAboveZero
    height: LengthAboveZero
    how_many: Count = 1
    strings: Sides = "left and right"
    notes: Text = ""
    price: Money | None = None
    painting_hours: PaintingHours = 0.0
    bars: BarsWish = BarsWish()
    inside: InsideWish = InsideWish()
    cloth: ClothWish = ClothWish()

    @field_serializer("bars", "inside", "cloth")
    def _what_differs(self, wish: Stated) -> dict[str, Any]:
        # What a work leaves unsaid follows the head of the file, so defaults must not be written out here.
        return wish.model_dump(mode="json", exclude_unset=True)


class WorkSet(Stated):
    """Works hung as one: panels with a gap between them.

    Attributes:
        name: Its name; left out, it is numbered.
        members: Names of the works, left to right.
        gap: Between neighbours on the wall.
    """

    name: Name = ""
    members: tuple[Name, ...] = Field(min_length=2)
    gap: Length = Fraction(20)
