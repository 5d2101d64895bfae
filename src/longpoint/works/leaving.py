"""Whether each work gets out: what the batch's ways let through, wrapped, whole or in halves, and what would help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor
from typing import Literal

from longpoint.errors import CANNOT_LEAVE, Caution
from longpoint.handling.holds import Box
from longpoint.handling.obstacles import Corner, Door, Obstacle, QuarterLanding, Space, Stairs
from longpoint.handling.passing import LARGEST, Passing, longest_side, passing
from longpoint.model.batch import Batch
from longpoint.model.ways import StatedObstacle, Way
from longpoint.works.brief import Brief, briefs_of

CLOTH_ROLL = 150.0
"""Thickness of a painting rolled on a tube, wrapped. [mm] Estimate."""

Help = Literal["leaf", "halves", "rolled"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """One work on one way.

    Attributes:
        work: Name of the work.
        way: Which way of the batch, from 0.
        box: What is carried: the work, or the larger of its halves, wrapped and with its hangers. [mm]
        halves: Whether it goes in two halves.
        passings: How it passes each obstacle, or by how much it does not.
        largest: The largest face of this depth and shape that passes, width and height, bare, in whole millimetres;
            None where the way lets anything through.
        helps: What would help where it does not pass.
    """

    work: str
    way: int
    box: Box
    halves: bool
    passings: tuple[Passing, ...]
    largest: tuple[float, float] | None
    helps: tuple[Help, ...]

    @property
    def stop(self) -> int | None:
        """Which obstacle stops it first, from 0; None where none does."""
        return next((index for index, one in enumerate(self.passings) if not one.passes), None)

    @property
    def passes(self) -> bool:
        """Whether it gets out."""
        return self.stop is None


@dataclass(frozen=True, slots=True)
class Stays:
    """A work that gets out on none of the ways stated for it.

    Attributes:
        way: The way on which least is missing.
        stop: Which of its obstacles stops the work first, from 0.
        missing: By how much both sides of its face are too large there. [mm]
        largest: The largest face of this depth and shape that gets out, width and height. [mm]
        helps: What would help.
    """

    way: Way
    stop: int
    missing: float
    largest: tuple[float, float] | None
    helps: tuple[Help, ...]


def ways_out(
    brief: Brief, *, depth: Fraction, thickness: Fraction, seam: Fraction | None
) -> tuple[WayOut, ...]:
    """One work on every way that is stated for it.

    Args:
        brief: The work.
        depth: Of its bars.
        thickness: Of its bars.
        seam: Where it comes apart along its long side; None where it does not, or where that is not known yet.
    """
    return tuple(
        _on_way(way, index, brief, depth=depth, thickness=thickness, seam=seam)
        for index, way in enumerate(brief.ways)
        if way.works is None or brief.work.name in way.works
    )


def early_cautions(batch: Batch) -> tuple[Caution, ...]:
    """What can be said before anything is designed: works that stay even with the shallowest bars they may have.

    Works that would get out in halves and may be planned so are left out: nothing keeps them in yet.
    """
    ways: list[WayOut] = []
    for brief in briefs_of(batch):
        mine = shallowest_ways(brief)
        helped = any("halves" in way.helps for way in mine)
        if not (helped and comes_apart_unasked(brief)):
            ways += mine
    return leaving_cautions(batch.way, ways)


def shallowest_ways(brief: Brief) -> tuple[WayOut, ...]:
    """One work in one piece, with the shallowest bars it may have, on every way that is stated for it."""
    if not brief.sections:
        return ()
    shallow = min(brief.sections, key=lambda section: section.depth)
    return ways_out(brief, depth=shallow.depth, thickness=shallow.thickness, seam=None)


def comes_apart_unasked(brief: Brief) -> bool:
    """Whether a work may be made in halves though nobody asks: the file says neither that nor to plan as stated."""
    return "in_halves" not in brief.inside.model_fields_set and not brief.stock.as_stated


def _on_way(
    way: Way,
    index: int,
    brief: Brief,
    *,
    depth: Fraction,
    thickness: Fraction,
    seam: Fraction | None,
) -> WayOut:
    work = brief.work
    wrap = 2 * float(way.wrap)
    off = float(depth + brief.stands_off) + wrap
    face = (float(work.width), float(work.height))
    longer = max(face)
    halves = seam is not None or brief.inside.in_halves
    share = 1.0 if not halves else 0.5 if seam is None else max(float(seam), longer - float(seam)) / longer

    def wrapped(long: float, part: float) -> Box:
        """A work of this shape with a longer side, of which a part is carried."""
        width, height = (side * long / longer for side in face)
        if width >= height:
            return Box(width=width * part + wrap, height=height + wrap, depth=off)
        return Box(width=width + wrap, height=height * part + wrap, depth=off)

    box = wrapped(longer, share)
    obstacles = tuple(obstacle_of(one) for one in way.obstacle)
    passings = tuple(passing(one, box) for one in obstacles)
    longest = longest_side(obstacles, lambda long: wrapped(long, share))
    largest = None
    if longest < LARGEST:
        largest = (floor(face[0] * longest / longer), floor(face[1] * longest / longer))
    helps: list[Help] = []
    if not all(one.passes for one in passings):
        leafless = tuple(_leaf_off(stated, one) for stated, one in zip(way.obstacle, obstacles, strict=True))
        if leafless != obstacles and _gets_past(leafless, box):
            helps.append("leaf")
        if not halves and _gets_past(obstacles, wrapped(longer, 0.5)):
            helps.append("halves")
        bar = Box(width=longer + wrap, height=float(thickness) + wrap, depth=float(depth) + wrap)
        tube = Box(width=min(face) + wrap, height=CLOTH_ROLL, depth=CLOTH_ROLL)
        if _gets_past(obstacles, bar) and _gets_past(obstacles, tube):
            helps.append("rolled")
    return WayOut(
        work=work.name,
        way=index,
        box=box,
        halves=halves,
        passings=passings,
        largest=largest,
        helps=tuple(helps),
    )


def _gets_past(obstacles: Sequence[Obstacle], box: Box) -> bool:
    return all(passing(one, box).passes for one in obstacles)


def _leaf_off(stated: StatedObstacle, obstacle: Obstacle) -> Obstacle:
    if isinstance(obstacle, Door) and stated.leaf:
        return replace(obstacle, width=obstacle.width + float(stated.leaf))
    return obstacle


def obstacle_of(stated: StatedObstacle) -> Obstacle:
    """An obstacle as the handling room knows it.

    Args:
        stated: As stated, with all that its kind needs.
    """

    def of(name: str, default: Fraction | None = None) -> float:
        value = getattr(stated, name)
        value = default if value is None else value
        assert value is not None, f"{stated.kind} needs {name}"
        return float(value)

    match stated.kind:
        case "door":
            return Door(width=of("width"), height=of("height"))
        case "corner":
            return Corner(before=of("width"), after=of("width_after"), height=of("height"))
        case "stairs":
            return Stairs(
                width=of("width"),
                headroom=of("headroom"),
                rise=of("rise"),
                going=of("going"),
                height=of("height", stated.headroom),
                landing=None if stated.landing is None else float(stated.landing),
            )
        case "quarter landing":
            return QuarterLanding(
                before=of("width"),
                after=of("width_after"),
                height=of("height"),
                rise=of("rise"),
                going=of("going"),
            )
        case "lift" | "load space":
            return Space(
                width=of("width"),
                height=of("height"),
                depth=of("depth"),
                door_width=of("door_width", stated.width),
                door_height=of("door_height", stated.height),
            )


def leaving_cautions(stated: Sequence[Way], ways: Sequence[WayOut]) -> tuple[Caution, ...]:
    """A caution for every work that gets out on none of its ways.

    Args:
        stated: The ways, as stated.
        ways: Every work on every way stated for it.
    """
    found = []
    for name in dict.fromkeys(one.work for one in ways):
        stays = stays_of(stated, [one for one in ways if one.work == name])
        if stays is not None:
            found.append(Caution(CANNOT_LEAVE, about=name, of=stays))
    return tuple(found)


def stays_of(stated: Sequence[Way], ways: Sequence[WayOut]) -> Stays | None:
    """What keeps one work in; None where it gets out on one of its ways or no way is stated for it.

    Args:
        stated: The ways, as stated.
        ways: The work on every way stated for it.
    """
    if not ways or any(one.passes for one in ways):
        return None
    best = max(ways, key=lambda one: min(each.room for each in one.passings))
    stop = best.stop
    assert stop is not None
    return Stays(stated[best.way], stop, -best.passings[stop].room, best.largest, best.helps)
