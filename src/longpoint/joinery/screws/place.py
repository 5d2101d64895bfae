"""A place for a screw, before it is known which screw: what it passes, what receives it, how far it may slide."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.joinery.joints.joint import Direction, Duty, Fixing, Grain, JointKind, Point, ScrewSize
from longpoint.joinery.screws.clash import Slide
from longpoint.joinery.screws.on_sale import (
    LEAST_THREAD,
    PREFERRED_FOR_GAUGE,
    SUNK_ELSEWHERE,
    SUNK_UNDER_CANVAS,
    THICK_ENOUGH,
    THINNEST_FOR_GAUGE,
    WANTED_THREAD,
    ScrewNeed,
    choose_screw,
    holes_of,
)
from longpoint.units import LengthStyle

LEAST_THREAD_SIDE = 3
"""Least thread of a screw that only presses two side-grain faces together, in diameters; estimate."""
LEAST_BORED = 5
"""Least depth of a counterbore: the bit's point stands off so much; estimate. [mm]"""
LEFT_UNDER_HEAD = 15
"""Wood left under a head that is let in; estimate: about four diameters, as in front of any head. [mm]"""
ROUND_HEAD = 1
"""A counterbore is this much wider than the head, so that the driver goes in; estimate. [mm]"""
EDGE_WHEN_COUNTED = 6
"""A part is this many diameters thick where a screw counted on runs along its middle: twice the unloaded edge
distance of 3 d of EN 1995-1-1 Table 8.2, pre-drilled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a screw is wanted.

    Attributes:
        start: Where its axis meets the face it is driven from.
        axis: Direction it is driven.
        through: Members it passes.
        into: Member that receives it.
        passed: Timber it passes. [mm]
        room: How deep a tip may lie in the receiving member. [mm]
        middle_of: Thickness of the thinnest part it runs along the middle of. [mm]
        grain: Of the receiving member to the axis.
        duty: What it is wanted for.
        under_canvas: Whether the head lies where canvas will lie.
        slides: Where it may be moved, so that no screw meets another.
        optional: Whether the joint can do without: clamped while the glue sets.
        rank: Places of low rank keep their position, those of high rank give way.
        kept_short: Whether something else stands where a longer screw would reach: its thread is then no fault.
        lets_in: How deep the first part may be bored to let the head in; 0 where it is not. [mm]
        bored: How deep a wide hole lets the head in, so that a screw on sale reaches; 0 where none is bored. [mm]
    """

    start: Point
    axis: Direction
    through: tuple[str, ...]
    into: str
    passed: Fraction
    room: Fraction
    middle_of: Fraction
    grain: Grain
    duty: Duty
    under_canvas: bool
    slides: tuple[Slide, ...]
    optional: bool = False
    rank: int = 0
    kept_short: bool = False
    lets_in: Fraction = Fraction(0)
    bored: Fraction = Fraction(0)

    @property
    def sunk(self) -> Fraction:
        """How far the head goes below the face. [mm]"""
        if self.bored:
            return self.bored
        return SUNK_UNDER_CANVAS if self.under_canvas else SUNK_ELSEWHERE

    @property
    def asks(self) -> tuple[object, ...]:
        """What decides the screw: places that ask the same take the same."""
        return (
            *(self.passed, self.room, self.middle_of, self.grain, self.duty),
            *(self.under_canvas, self.lets_in, self.bored),
        )

    @property
    def needs(self) -> tuple[ScrewNeed, ...]:
        """What is asked of the screw; where the first cannot be met, the next is tried."""
        base = ScrewNeed(
            passed=self.passed,
            room=self.room,
            sunk=self.sunk,
            thickness=self.middle_of,
            wanted=WANTED_THREAD,
            least=LEAST_THREAD,
        )
        pressed = replace(
            base, wanted=LEAST_THREAD, least=LEAST_THREAD_SIDE, least_length=(self.room + 3) / 2
        )
        if self.duty == "counted on for strength":
            counted = replace(base, wanted=LEAST_THREAD, thinnest=EDGE_WHEN_COUNTED)
            return (counted, base, pressed) if self.grain == "side grain" else (counted, base)
        return (base, pressed) if self.grain == "side grain" else (base,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The screw chosen for the places of one joint.

    Attributes:
        size: The screw; None where none on sale fits.
        counted: Whether it meets what a screw counted on for strength must meet.
        full: Whether it has the thread that is wished, not only the least.
    """

    size: ScrewSize | None
    counted: bool
    full: bool


def choose_for(place: Place, sizes: tuple[ScrewSize, ...]) -> Choice:
    """The best screw on sale for a place."""
    for index, need in enumerate(place.needs):
        size = choose_screw(sizes, need)
        if size is not None:
            return Choice(
                size=size,
                counted=place.duty == "counted on for strength" and index == 0,
                full=size.length >= need.shortest(size.diameter, wanted=True),
            )
    return Choice(size=None, counted=False, full=False)


def bored_for(
    group: tuple[Place, ...], sizes: tuple[ScrewSize, ...], hardest: Place
) -> tuple[tuple[Place, ...], Choice]:
    """Places of a joint counterbored, where no screw on sale reaches from the face.

    As little as gives the thread wanted; where none gives that, as little as gives the least.

    Args:
        group: The places.
        sizes: Screws on sale.
        hardest: The most demanding of them.

    Returns:
        The places and the screw; unchanged and none where wood enough is not left under the head.
    """
    depths = [Fraction(deep) for deep in range(LEAST_BORED, int(hardest.lets_in) + 1)]
    found = [(deep, choose_for(replace(hardest, bored=deep), sizes)) for deep in depths]
    found = [(deep, choice) for deep, choice in found if choice.size is not None]
    if not found:
        return group, Choice(size=None, counted=False, full=False)
    deep, choice = next((each for each in found if each[1].full), found[0])
    return tuple(replace(place, bored=deep) for place in group), choice


def missing_screw(
    place: Place,
    sizes: tuple[ScrewSize, ...],
    *,
    kind: JointKind,
    style: LengthStyle,
    where: Where,
    work: str,
    below: Fraction | None = None,
) -> Fault:
    """Why no screw on sale fits a place, and which would; from ``below`` on they would meet others in this frame."""
    show = style.finer().show
    meets = "" if below is None else f" From {show(below)} thick on, screws would meet others in this frame."
    need = place.needs[-1]
    meeting = " and ".join((*place.through, place.into))
    if not sizes:
        return Fault(
            "no-screws",
            f"{work}: no screws are on sale for {kind} ({meeting}).",
            f"Add screws to the hardware; {_wish(need, show)}.",
            where,
        )
    thin = [size for size in sizes if need.is_thin_enough(size)]
    if not thin:
        thinnest = min(size.diameter for size in sizes)
        return Fault(
            "part-too-thin-for-screw",
            f"{work}: {kind} ({meeting}): the thinnest screw on sale is {show(thinnest)}; a part "
            f"{show(need.thickness)} thick takes at most {show(need.thickness / THINNEST_FOR_GAUGE)}.",
            f"Add a thinner screw, {_wish(need, show)}, or use thicker timber.",
            where,
        )
    shortest, longest = need.shortest(thin[0].diameter, wanted=False), need.longest()
    nearest = sorted(thin, key=lambda size: max(shortest - size.length, size.length - longest))[:8]
    lengths = ", ".join(
        f"{show(size.diameter)} × {show(size.length)}"
        for size in sorted(nearest, key=lambda size: (size.length, size.diameter))
    )
    return Fault(
        "no-screw-of-that-length",
        f"{work}: {kind} ({meeting}): no screw on sale fits; it passes {show(place.passed)} and may reach "
        f"{show(place.room)} further. Nearest are: {lengths}.{meets}",
        f"Add a screw, {_wish(need, show, below=below)}.",
        where,
    )


def _wish(need: ScrewNeed, show: object, *, below: Fraction | None = None) -> str:
    assert callable(show)
    # A diameter shops have: thickness over the usual ratio, in half millimetres, never more than part and thread bear.
    usual = Fraction(round(min(need.thickness / PREFERRED_FOR_GAUGE, THICK_ENOUGH) * 2), 2)
    bears = min(need.thickness / need.thinnest, need.room / need.least)
    if below is not None:
        bears = min(bears, below - Fraction(1, 2))
    usual = max(min(usual, Fraction(int(2 * bears), 2)), min(Fraction(3), bears))
    longest = need.longest()
    if need.room > 10 * WANTED_THREAD:
        return f"for example {show(usual)} × {show(need.shortest(usual, wanted=True))} or a little longer"
    shortest = min(need.shortest(usual, wanted=False), longest)
    return f"for example {show(usual)} thick, {show(shortest)} to {show(longest)} long"


def fixing_at(
    place: Place, choice: Choice, *, name: str, joint: str, wood: str, bit_length: Fraction
) -> Fixing:
    """The screw in its place.

    Args:
        place: The place.
        choice: The screw; its size is not None.
        name: Name of the fixing.
        joint: Name of the joint.
        wood: softwood or hardwood.
        bit_length: Free length of the longest bit. [mm]
    """
    size = choice.size
    assert size is not None
    holes = holes_of(size, wood=wood)
    thread = place.sunk + size.length - place.passed
    duty: Duty = "counted on for strength" if choice.counted else "draws together while the glue sets"
    return Fixing(
        name=name,
        joint=joint,
        screw=size,
        duty=duty,
        start=place.start,
        axis=place.axis,
        sunk=place.sunk,
        through=place.through,
        into=place.into,
        passed=place.passed,
        thread=thread,
        grain=place.grain,
        clearance_hole=holes.clearance,
        pilot_hole=holes.pilot,
        # The pilot stops where the longest bit ends; the last of the thread finds its own way.
        pilot_depth=max(min(thread, bit_length - place.passed), Fraction(0)),
        countersink=Fraction(math.ceil(holes.countersink)) + ROUND_HEAD if place.bored else holes.countersink,
        under_canvas=place.under_canvas,
        bored=place.bored,
    )


def bit_reach(
    fixing: Fixing, *, bit_length: Fraction, style: LengthStyle, where: Where, work: str
) -> Fault | Caution | None:
    """Whether the longest bit makes the pilot hole through the hole of the part held."""
    show = style.finer().show
    if fixing.pilot_depth < min(3 * fixing.screw.diameter, fixing.thread):
        return Fault(
            "bit-too-short",
            f"{work}: {fixing.name} passes {show(fixing.passed)} of timber; the longest bit is "
            f"{show(bit_length)} long and makes no pilot hole beyond it.",
            f"Use a bit with a free length of {show(fixing.passed + fixing.thread)}, or bore the parts "
            "apart and correct shop.drill.bit_length.",
            where,
        )
    if fixing.pilot_depth < min(fixing.thread, WANTED_THREAD * fixing.screw.diameter) * Fraction(2, 3):
        return Caution(
            "pilot-short",
            about=work,
            facts=(
                ("bit", show(bit_length)),
                ("bored", show(fixing.pilot_depth)),
                ("thread", show(fixing.thread)),
                ("passed", show(fixing.passed)),
                ("screw", fixing.screw.name),
            ),
        )
    return None
