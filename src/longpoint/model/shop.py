"""The shop: its saw, its drill, its rates; and the climate and limits of the works."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from longpoint.model.quantities import Length, LengthAboveZero, Money, Number, Share, Stated, Whole, YesNo

NO_LIMIT = Fraction(10_000)
"""Longer than any timber is wide. [mm]"""

USUAL_SAW = Fraction(90)
"""What a usual saw mitres, high or wide. [mm] Estimate."""

USUAL_BIT = Fraction(80)
"""Free length of a usual bit. [mm] Estimate."""


class Saw(Stated):
    """The saw that cuts mitres.

    Attributes:
        kerf: Width of its cut.
        width_at_45: Widest timber it cuts through with the blade swung to 45°; left out, whatever the bars ask.
        height_at_45: Highest timber it cuts through with the blade swung to 45°; left out, whatever the bars ask.
        end_trim: Cut off each end of a board.
        shortest_held: Shortest piece that can be held safely.
    """

    kerf: Length = Fraction(3)
    width_at_45: LengthAboveZero | None = None
    height_at_45: LengthAboveZero | None = None
    end_trim: Length = Fraction(15)
    shortest_held: Length = Fraction(200)

    @property
    def widest(self) -> Fraction:
        """Widest timber it mitres; no limit where none is stated. [mm]"""
        return NO_LIMIT if self.width_at_45 is None else self.width_at_45

    @property
    def highest(self) -> Fraction:
        """Highest timber it mitres; no limit where none is stated. [mm]"""
        return NO_LIMIT if self.height_at_45 is None else self.height_at_45


class Rip(Stated):
    """A saw that rips boards along their length, and a plane for the sawn face.

    Attributes:
        kerf: Width of its cut.
        planed_off: Planed off every sawn face.
        least: Narrowest strip that is ripped.
    """

    kerf: Length = Fraction(3)
    planed_off: Length = Fraction(1, 2)
    least: LengthAboveZero = Fraction(15)


class Drill(Stated):
    """The drill and driver, for what they reach.

    Attributes:
        length: From the tip of the bit to the back of the machine.
        chuck_radius: Of chuck or body beside the bit.
        bit_length: Free length of the longest bit; left out, a usual one, or a longer one where a hole needs it.
    """

    length: LengthAboveZero = Fraction(220)
    chuck_radius: LengthAboveZero = Fraction(25)
    bit_length: LengthAboveZero | None = None

    @property
    def bit(self) -> Fraction:
        """Free length of the longest bit; a usual one where none is stated. [mm]"""
        return USUAL_BIT if self.bit_length is None else self.bit_length


class Rates(Stated):
    """What time and risk cost.

    Attributes:
        per_hour: Price of an hour of work.
        overhead: Added for the shop: rent, light, tools, driving; as a share of what ``overhead_on`` names.
        overhead_on: Of what overhead is a share; what is spoiled is not in it.
        margin: Share of the price that is profit (not a markup on cost).
        markup: Share of the cost that is added as profit; give this or ``margin``.
        material_waste: Share of material added for what is spoiled.
        learning: What is left of the time of one piece each time their number doubles; 1: the tenth takes as long as
            the first. Published: three quarters hand work 0.8, half 0.85, a quarter 0.9; the careful one is taken.
    """

    per_hour: Number = Field(default=0, ge=0, le=1e9)
    overhead: Share = 0.0
    overhead_on: Literal["material and labour", "labour", "material"] = "material and labour"
    margin: Number = Field(default=0.0, ge=0, lt=1)
    markup: Annotated[Number, Field(ge=0, le=100)] | None = None
    material_waste: Share = 0.0
    learning: Number = Field(default=0.9, ge=0.5, le=1)

    @property
    def profit(self) -> Fraction:
        """Profit as a share of the price, however it is stated."""
        if self.markup is None:
            return Fraction(str(self.margin))
        markup = Fraction(str(self.markup))
        return markup / (1 + markup)


OwnTime = Annotated[Number, Field(ge=0, le=10_000)] | None
"""A time at work as somebody measured it. [min]"""


class Minutes(Stated):
    """Your own times, measured by the clock; what is left out is estimated, from and to.

    Attributes:
        set_up: Once for the batch: saw and stops, jig, glue and clamps laid out. [min]
        cut: Measuring, cutting and marking one part. [min]
        bevel: Bevelling a metre of bar. [min]
        hole: Marking and boring one hole. [min]
        screw: Driving one screw. [min]
        cloth: Cutting and laying out a piece of cloth, folding its corners. [min]
        staple: Pulling and driving one staple. [min]
        coat: Brushing a square metre once. [min]
    """

    set_up: OwnTime = None
    cut: OwnTime = None
    bevel: OwnTime = None
    hole: OwnTime = None
    screw: OwnTime = None
    cloth: OwnTime = None
    staple: OwnTime = None
    coat: OwnTime = None


Factor = Annotated[Number, Field(gt=0, le=20)] | None
"""Measured over estimated. [1]"""


class Factors(Stated):
    """What clock and scales of this shop said over what is estimated: 1.2 is a fifth more. Left out: as estimated.

    Attributes:
        saw: Time at the saw, bevels with it, where ``[shop.minutes]`` does not state it.
        build: Time of boring, screwing, gluing.
        stretch: Time of cutting cloth and stapling.
        coat: Time of brushing.
        glue: Glue used.
        staples: Staples used.
    """

    saw: Factor = None
    build: Factor = None
    stretch: Factor = None
    coat: Factor = None
    glue: Factor = None
    staples: Factor = None


KeptShare = Annotated[Number, Field(ge=0, lt=1)]
"""A share below one: an offcut that kept its whole price would be worth buying."""


class Offcuts(Stated):
    """From what length on an offcut serves again, and what it is worth then.

    Attributes:
        bars: Shortest offcut kept for bars; of boards bevelled before cutting it keeps its bevel.
        rails: Shortest offcut kept for rails.
        middle_pieces: Shortest offcut kept for middle pieces.
        blocks: Shortest offcut kept for glue blocks and plates; left out: the shortest the saw can hold safely.
        share: What an offcut for bars is worth, as a share of the yard's lowest price per metre; below 1.
        rails_share: The same of an offcut for rails; left out: as for bars.
        middle_pieces_share: The same of an offcut for middle pieces.
        blocks_share: The same of an offcut for blocks.
        keeping: What it costs to keep a piece, whatever its length: taken off its worth.
    """

    bars: Length = Fraction(900)
    rails: Length = Fraction(600)
    middle_pieces: Length = Fraction(350)
    blocks: Length | None = None
    share: KeptShare = 0.5
    rails_share: KeptShare | None = None
    middle_pieces_share: KeptShare = 0.3
    blocks_share: KeptShare = 0.1
    keeping: Money = Decimal(0)


class Shop(Stated):
    """The shop.

    Attributes:
        region: Whose ordinary shops are assumed where nothing is stated: ``america`` (inches, feet, screws by number)
            or ``europe`` (planed metric sizes); ``auto``: as the file's units say.
        saw: The saw.
        rip: What rips boards to narrower ones; left out: nothing does.
        drill: The drill.
        rates: Rates.
        minutes: Your own times.
        factors: What was measured here over what is estimated.
        offcuts: What an offcut is worth.
        less_sorting: How much dearer than the least cost boards may be, as a share of it, where that means picking
            them up less often at the saw; 0 takes only what is free; left out, it is not sought.
        rack_share: What a board at hand is worth, as a share of the yard's lowest price per metre.
        spare: Whether one spare is added of what is easily spoiled.
        people: How many can lift together.
        hours_a_day: Hours that one person works at it on a day, for the plan of the days.
    """

    region: Literal["auto", "america", "europe"] = "auto"
    saw: Saw = Saw()
    rip: Rip | None = None
    drill: Drill = Drill()
    rates: Rates = Rates()
    minutes: Minutes = Minutes()
    factors: Factors = Factors()
    offcuts: Offcuts = Offcuts()
    less_sorting: Share | None = None
    rack_share: Share = 0.5
    spare: YesNo = False
    people: Whole = Field(default=1, ge=1, le=12)
    hours_a_day: Number = Field(default=7, ge=1, le=16)


class Climate(Stated):
    """Where the works will live.

    Attributes:
        temperature: Usual temperature. [°C]
        humidity_low: Lowest relative humidity of the year. [%]
        humidity_high: Highest relative humidity of the year. [%]
        humidity_now: In the shop now. [%]
    """

    temperature: Number = Field(default=20, ge=-10, le=45)
    humidity_low: Number = Field(default=40, ge=5, le=98)
    humidity_high: Number = Field(default=65, ge=5, le=98)
    humidity_now: Number = Field(default=55, ge=5, le=98)


class Limits(Stated):
    """Limits the user wants tightened; left out, the program's own table holds.

    Attributes:
        pulled_in: Greatest pull-in of any bay.
        gap: Least gap between rail and canvas.
        hollow: Greatest hollow.
        turning_in: Greatest turning in of a bar. [degrees]
        winding_factor: Least factor of critical over highest tension.
        tension_low: Least share of the mean that the lowest tension may be.
        touch: Least load at which canvas touches timber. [N]
        mass: Greatest mass of one work. [kg]
        choose: What the choice looks for first.
    """

    pulled_in: LengthAboveZero | None = None
    gap: LengthAboveZero | None = None
    hollow: LengthAboveZero | None = None
    turning_in: Annotated[Number, Field(gt=0, le=30)] | None = None
    winding_factor: Annotated[Number, Field(gt=1, le=50)] | None = None
    tension_low: Annotated[Number, Field(gt=0, lt=1)] | None = None
    touch: Annotated[Number, Field(gt=0, le=100)] | None = None
    mass: Annotated[Number, Field(gt=0, le=10_000)] | None = None
    choose: Literal["cheapest", "lightest", "stiffest"] = "cheapest"
