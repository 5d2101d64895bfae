"""How each work hangs: where its rings go, wire or two hooks, what their screws carry, and its place on a wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

from longpoint.errors import Caution
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame
from longpoint.handling.hanging import (
    FLATTEST,
    GRAVITY,
    Lean,
    OnWall,
    Wire,
    lean,
    on_wall,
    place_clear,
    wire_for,
    wire_of,
)
from longpoint.joinery.joints.joint import Fixing, Joint, ScrewSize
from longpoint.joinery.screws.hanger import hanger_fixings
from longpoint.joinery.screws.on_sale import sizes_on_sale
from longpoint.joinery.screws.strength import plate_lateral
from longpoint.model.batch import Batch
from longpoint.model.hardware import Hanger
from longpoint.model.walls import CENTRE, Wall, row_on
from longpoint.model.works import Work, WorkSet
from longpoint.stretching.staple_map import StapleMap
from longpoint.tables import screw_rule, screw_withdrawal_allowed
from longpoint.works.stock import Stock
from longpoint.works.strength import HANGERS_DOWN
from longpoint.works.wood import Wood

APART = 16.0
"""Between the screws of one hanger. [mm] Estimate."""

OFF_SCREWS = 15.0
"""Between a hanger's screw and a screw of the frame, along the bar. [mm] Estimate."""

OFF_STAPLES = 7.5
"""Between a hanger's screw and a staple's middle, along the bar: half a crown, a shank, a hair. [mm] Estimate."""

KEPT = 8.0
"""Wood left between a hanger's screw and the face it points at. [mm] Estimate."""

CENTRE_OFF = 0.55
"""The mass's centre in front of the back, over the depth: frames in the middle, cloth in front. Estimate."""

LIGHT = 8.0
"""Works heavier than this hang on two hooks where nothing is said. [kg] Estimate."""

WIRE_OFF = 12.0
"""How far hook and wire hold the rings off the wall. [mm] Estimate."""

NO_HOLD = "hanger-screws"
"""Code of the caution that a work's hangers find no screw, or one that carries too little."""


MEETS = "hanger-meets"
"""Code of the caution that no place for a work's hangers is clear of screws and staples."""


HOOK_SEEN = "hook-seen"
"""Code of the caution that a stated wire brings the hook above the work's top edge."""

WIRE_FLAT = "wire-flat"
"""Code of the caution that a stated wire is flat and pulls hard."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitBatten:
    """A batten ripped along its middle at 45°: one half on the frame, its slope down, hooks over the one on the wall.

    Attributes:
        length: Of both halves. [mm]
        thickness: How far it holds the work off the wall; a strip as thick goes below. [mm]
        width: Of the batten before it is ripped. [mm]
        offcut: The board that its offcut is left of; "" where no offcut is long enough.
    """

    length: float
    thickness: float
    width: float
    offcut: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HungWork:
    """One work as it hangs.

    Attributes:
        work: Its name.
        height: Of its face. [mm]
        below_top: Of its hangers' middles. [mm]
        from_left: Of each hanger's middle, seen from the front. [mm]
        moved: How far the hangers were moved along the bar, clear of screws and staples [mm]; None where no place is.
        wire: From hanger to hanger over one hook; None: each hangs on its own hook.
        drop: From the top edge to the hook, or to the two. [mm]
        hooks: Of each hook from the left edge. [mm]
        leaning: How it leans.
        screw: Of the hangers; None where none on sale serves.
        sideways: Load of one screw across. [N]
        pulled: Load of one screw along. [N]
        carries: What one screw carries across, by design. [N]
        holds: What one screw holds along, allowed. [N]
        on_hook: Load of one hook. [N]
        fixings: The screws of its hangers, or of its half of a split batten, in their places.
        batten: The split batten; None where it hangs otherwise.
    """

    work: str
    height: float
    below_top: float
    from_left: tuple[float, float]
    moved: float | None
    wire: Wire | None
    drop: float
    hooks: tuple[float, ...]
    leaning: Lean
    screw: ScrewSize | None
    sideways: float
    pulled: float
    carries: float
    holds: float
    on_hook: float
    fixings: tuple[Fixing, ...] = ()
    batten: SplitBatten | None = None

    @property
    def times(self) -> float:
        """How many times the load a screw may carry, across and along together (EN 1995-1-1 8.7.3); 0: no screw."""
        if self.screw is None:
            return 0.0
        used = (self.sideways / self.carries) ** 2 + (self.pulled / self.holds) ** 2
        return 1 / sqrt(used)


@dataclass(frozen=True, slots=True, kw_only=True)
class HungOnWall:
    """A work in its place.

    Attributes:
        wall: Which wall of the batch, from 0.
        work: Its name.
        place: Edges and hooks.
    """

    wall: int
    work: str
    place: OnWall


def hung_work(
    hanger: Hanger,
    stock: Stock,
    *,
    work: str,
    frame: Frame,
    mass: float,
    wood: Wood,
    joints: Sequence[Joint],
    staples: StapleMap,
) -> HungWork:
    """How one work hangs.

    Args:
        hanger: What it hangs by, as stated.
        stock: What can be had, for the screws.
        work: Its name.
        frame: Its frame as it is built.
        mass: Of one, finished. [kg]
        wood: Of its bars.
        joints: Its joints, whose screws the hangers keep clear of.
        staples: Its staples, which they keep clear of, too.
    """
    design = frame.design
    width, height = float(design.width), float(design.height)
    thick = float(design.bar_thickness)
    upright = set(design.strings) == {"left", "right"}
    along = height if upright else width
    wished = along * (1 - HANGERS_DOWN) if upright else along * HANGERS_DOWN
    if upright and hanger.below_top is not None:
        wished = height - float(hanger.below_top)
    screws = hanger.screws
    found = place_clear(
        wished,
        low=2 * thick + APART,
        high=along - 2 * thick - APART,
        screws=[APART * (number - (screws - 1) / 2) for number in range(screws)],
        taken=taken_along(design, joints, staples, upright=upright),
    )
    place = wished if found is None else found
    weight = mass * GRAVITY
    if upright:
        below, from_left = height - place, (thick / 2, width - thick / 2)
    else:
        below, from_left = thick / 2, (place, width - place)
    span = from_left[1] - from_left[0]
    by = hanger.by
    hung = None
    own = hanger.wire
    if by in ("auto", "wire") and own is not None:
        hung = wire_of(weight=weight, span=span, length=float(own))
    elif by == "wire" or (by == "auto" and mass <= LIGHT):
        hung = wire_for(weight=weight, span=span, below_top=below)
    off = float(hanger.stands_off) if hung is None else WIRE_OFF
    leaning = lean(
        weight=weight,
        height=height,
        below_top=below,
        ring_off=off,
        centre_off=CENTRE_OFF * float(design.bar_depth),
    )
    screw = hanger_screw(stock, design)
    sideways = hypot(weight / 2, 0.0 if hung is None else hung.inward) / screws
    return HungWork(
        work=work,
        height=height,
        below_top=below,
        from_left=from_left,
        moved=None if found is None else abs(found - wished),
        wire=hung,
        drop=below if hung is None else below - hung.sag,
        hooks=from_left if hung is None else (width / 2,),
        leaning=leaning,
        screw=screw,
        sideways=sideways,
        pulled=leaning.push / 2 / screws,
        carries=0.0 if screw is None else across_of(screw, wood),
        holds=0.0 if screw is None else along_of(screw, wood),
        on_hook=weight / (2 if hung is None else 1),
        fixings=()
        if screw is None
        else hanger_fixings(frame, _spots(place, from_left, height, below, screws, upright=upright), screw),
    )


def _spots(
    place: float,
    from_left: tuple[float, float],
    height: float,
    below: float,
    screws: int,
    *,
    upright: bool,
) -> list[tuple[float, float]]:
    """Where each screw of both hangers goes in, from the left and from below. [mm]"""
    shifts = [APART * (number - (screws - 1) / 2) for number in range(screws)]
    if upright:
        return [(x, place + shift) for x in from_left for shift in shifts]
    return [(x + shift, height - below) for x in from_left for shift in shifts]


def taken_along(
    design: FrameDesign, joints: Sequence[Joint], staples: StapleMap, *, upright: bool
) -> list[tuple[float, float]]:
    """Places of screws and staples along the bars that carry the hangers, on either of the two, and how far to keep."""
    thick = float(design.bar_thickness)
    found: list[tuple[float, float]] = []
    for fixing in (one for joint in joints for one in joint.fixings):
        reach = float(fixing.passed + fixing.thread)
        ends = [
            tuple(float(at) + far * float(way) for at, way in zip(fixing.start, fixing.axis, strict=True))
            for far in (0.0, reach)
        ]
        for x, y, _ in ends:
            across, place = (x, y) if upright else (float(design.height) - y, x)
            far_side = float(design.width) - across if upright else across
            if min(across, far_side) <= thick + 1:
                found.append((place, OFF_SCREWS))
    sides = ("left", "right") if upright else ("top",)
    found += [(staple.along, OFF_STAPLES) for staple in staples.staples if staple.side in sides]
    if not upright:  # both hangers stand as far in from their ends
        found += [(float(design.width) - place, off) for place, off in found]
    return found


def hanger_screw(stock: Stock, design: FrameDesign, *, passed: float = 0.0) -> ScrewSize | None:
    """The screw of the hangers: the thickest that keeps its distances, as long as the bar's depth lets it.

    Args:
        stock: What can be had, for the screws.
        design: Of the frame.
        passed: Of a batten that it holds. [mm]
    """
    room = float(design.bar_depth - design.bevel_fall) - KEPT + passed
    thick = float(design.bar_thickness) / 6  # three diameters to either edge, bored: EN 1995-1-1 Table 8.2
    for offered in (stock.screw, stock.other_screws):
        fit = [
            size
            for size in sizes_on_sale(offered)
            if size.diameter <= thick and 6 * size.diameter + passed <= size.length <= room
        ]
        if fit:
            return max(fit, key=lambda size: (size.diameter, size.length))
    return None


def across_of(screw: ScrewSize, wood: Wood, *, passed: float = 0.0) -> float:
    """What a screw carries across, by design. [N]"""
    return plate_lateral(
        diameter=float(screw.diameter), received=float(screw.length) - passed, density=wood.weak_density
    )


def along_of(screw: ScrewSize, wood: Wood, *, passed: float = 0.0) -> float:
    """What a screw holds along, allowed. [N]"""
    tip = screw_rule("tip not counted").value * float(screw.diameter)
    return screw_withdrawal_allowed(
        assigned_gravity=wood.specific_gravity,
        diameter=float(screw.diameter),
        thread_in_wood=max(float(screw.length) - passed - tip, 0.0),
    )


def rows_of(
    walls: Sequence[Wall], works: Sequence[Work], sets: Sequence[WorkSet], hung: Sequence[HungWork]
) -> tuple[HungOnWall, ...]:
    """Every work in its place on every wall that is stated.

    Args:
        walls: The walls.
        works: The works, as stated.
        sets: The sets.
        hung: How its works hang.
    """
    by_name = {one.work: one for one in hung}
    return tuple(
        HungOnWall(
            wall=index,
            work=work.name,
            place=on_wall(
                left=float(left),
                centre=float(wall.centre),
                width=float(work.width),
                height=float(work.height),
                drop=by_name[work.name].drop,
                from_left=by_name[work.name].hooks,
            ),
        )
        for index, wall in enumerate(walls)
        for work, left in row_on(wall, works, sets)
    )


def centre_of(batch: Batch, work: str) -> float:
    """Middle of a work above the floor: as its wall has it, else what is usual. [mm]"""
    for wall in batch.wall:
        if any(each.name == work for each, _ in row_on(wall, batch.work, batch.set)):
            return float(wall.centre)
    return float(CENTRE)


def hanging_cautions(hanger: Hanger, hung: Sequence[HungWork]) -> tuple[Caution, ...]:
    """Works whose hangers find no screw that carries them, or bear less by their label.

    Args:
        hanger: What works hang by, as stated.
        hung: How its works hang.
    """
    weak = [
        one.work
        for one in hung
        if one.times < 1
        or (
            one.batten is None
            and hanger.holds is not None
            and one.sideways * hanger.screws > hanger.holds * GRAVITY
        )
    ]
    meets = [one.work for one in hung if one.moved is None]
    seen = [one.work for one in hung if one.wire is not None and one.drop <= 0]
    flat = [one.work for one in hung if one.wire is not None and one.wire.angle < FLATTEST]
    return (
        *(Caution(NO_HOLD, about=name) for name in weak),
        *(Caution(MEETS, about=name) for name in meets),
        *(Caution(HOOK_SEEN, about=name) for name in seen),
        *(Caution(WIRE_FLAT, about=name) for name in flat),
    )
