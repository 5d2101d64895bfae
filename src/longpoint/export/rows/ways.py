"""Rows of ``plan.json`` about ways out, lifting and hanging."""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees

from pydantic import Field

from longpoint.export.rows.row import Row, mm
from longpoint.model.batch import Batch
from longpoint.works.hanging import HungOnWall, HungWork
from longpoint.works.leaving import WayOut
from longpoint.works.lifting import LiftedWork


class PassingRow(Row):
    """How a work passes one obstacle."""

    obstacle: str = Field(description="Its kind.")
    passes: bool
    room: float = Field(
        description="By how much every edge could grow; negative: by how much both sides of the face must shrink [mm]."
    )
    along: str = Field(description='The edge that goes along: "width", "height" or "depth".')
    up: str = Field(description="The edge that stands up.")
    tilt: str = Field(
        description='"none", "lean" (about what goes along), "raise" (one end), "swing" (upright).'
    )
    tilt_from: float = Field(description="Least tilt at which it passes so [degrees].")
    tilt_to: float = Field(description="Greatest tilt [degrees].")


class WayRow(Row):
    """One work on one way out."""

    work: str
    way: str
    carried: list[float] = Field(
        description="Width, height and depth of what is carried, wrapped: the work, or the larger half [mm]."
    )
    halves: bool
    passes: bool
    stopped_by: int | None = Field(description="Number of the obstacle that stops it first, from 1.")
    obstacles: list[PassingRow]
    largest: list[float] | None = Field(
        description="Width and height of the largest face of this depth and shape that passes [mm]; null: any."
    )
    helps: list[str] = Field(description='What would help: "leaf" off, in "halves", "rolled".')


def way_row(one: WayOut, batch: Batch) -> WayRow:
    """One work on one way as a row."""
    way = batch.way[one.way]
    return WayRow(
        work=one.work,
        way=way.name,
        carried=[mm(edge) for edge in (one.box.width, one.box.height, one.box.depth)],
        halves=one.halves,
        passes=one.passes,
        stopped_by=None if one.stop is None else one.stop + 1,
        obstacles=[
            PassingRow(
                obstacle=stated.kind,
                passes=found.passes,
                room=mm(found.room),
                along=found.hold.along,
                up=found.hold.up,
                tilt=found.hold.tilt,
                tilt_from=round(degrees(found.tilt[0]), 2),
                tilt_to=round(degrees(found.tilt[1]), 2),
            )
            for stated, found in zip(way.obstacle, one.passings, strict=True)
        ],
        largest=None if one.largest is None else [mm(side) for side in one.largest],
        helps=list(one.helps),
    )


class HangerHoleRow(Row):
    """A hole for a screw of a hanger, bored from the back."""

    bar: str
    from_left: float = Field(description="Seen from the front [mm].")
    below_top: float = Field(description="[mm]")
    diameter: float = Field(description="[mm]")
    depth: float = Field(description="[mm]")


class BattenRow(Row):
    """A split batten."""

    length: float = Field(description="Of both halves [mm].")
    thickness: float = Field(description="How far it holds the work off the wall [mm].")
    width: float = Field(description="Before it is ripped along its middle at 45 degrees [mm].")
    offcut: str = Field(description="Boards of whose remains it is ripped; empty: none is long enough.")


class HungRow(Row):
    """How a work hangs. Estimates."""

    work: str
    hangers: list[list[float]] = Field(description="Of each: from the left edge, below the top edge [mm].")
    moved: float | None = Field(
        description="How far along the bar they were moved, clear of screws and staples [mm]; null: no place was found."
    )
    wire: float | None = Field(description="Its length from hanger to hanger [mm]; null: two hooks.")
    wire_angle: float | None = Field(description="Of its ends to the level [degrees].")
    wire_pull: float | None = Field(description="In the wire [N].")
    batten: BattenRow | None = Field(default=None, description="The split batten; null: none.")
    drop: float = Field(description="From the top edge to the hook or hooks [mm].")
    hooks: list[float] = Field(description="Each from the left edge [mm].")
    on_hook: float = Field(description="Load of one hook [N].")
    tilt: float = Field(description="Top forward [degrees].")
    top_gap: float = Field(description="Between the back of the top edge and the wall [mm].")
    screw: str | None = Field(description="Of the hangers; null: none on sale serves.")
    screw_across: float = Field(description="Load of one screw across [N].")
    screw_along: float = Field(description="Load of one screw along [N].")
    times: float = Field(description="How many times that load a screw may carry, both together.")
    holes: list[HangerHoleRow] = Field(default=[], description="Bored from the back for the hangers' screws.")


class HookRow(Row):
    """A hook on a wall."""

    wall: str
    work: str
    from_left_corner: float = Field(description="[mm]")
    above_floor: float = Field(description="[mm]")


def hung_row(one: HungWork) -> HungRow:
    """How a work hangs as a row."""
    wire = one.wire
    return HungRow(
        work=one.work,
        hangers=[[mm(at), mm(one.below_top)] for at in one.from_left],
        moved=None if one.moved is None else mm(one.moved),
        wire=None if wire is None else mm(wire.length),
        wire_angle=None if wire is None else round(degrees(wire.angle), 2),
        wire_pull=None if wire is None else round(wire.tension, 2),
        batten=None
        if one.batten is None
        else BattenRow(
            length=mm(one.batten.length),
            thickness=mm(one.batten.thickness),
            width=mm(one.batten.width),
            offcut=one.batten.offcut,
        ),
        drop=mm(one.drop),
        hooks=[mm(at) for at in one.hooks],
        on_hook=round(one.on_hook, 2),
        tilt=round(degrees(one.leaning.tilt), 3),
        top_gap=mm(one.leaning.top_gap),
        screw=None if one.screw is None else one.screw.name,
        screw_across=round(one.sideways, 2),
        screw_along=round(one.pulled, 2),
        times=round(one.times, 2),
        holes=[
            HangerHoleRow(
                bar=fixing.into,
                from_left=mm(fixing.start[0]),
                below_top=mm(one.height - float(fixing.start[1])),
                diameter=mm(fixing.pilot_hole),
                depth=mm(fixing.pilot_depth),
            )
            for fixing in one.fixings
        ],
    )


def hook_rows(rows: Iterable[HungOnWall], batch: Batch) -> list[HookRow]:
    """Hooks on walls as rows."""
    return [
        HookRow(wall=batch.wall[one.wall].name, work=one.work, from_left_corner=mm(x), above_floor=mm(y))
        for one in rows
        for x, y in one.place.hooks
    ]


class LiftedRow(Row):
    """How a work is lifted. Estimates; neither figure protects everyone."""

    work: str
    mass: float = Field(description="Wrapped and with its hangers [kg].")
    people: int = Field(description="How many lift it; 4: more than three, or with a machine.")
    why: str = Field(description='What asks for them: "reach" or "mass".')
    grips: float = Field(description="Height of the hands above its lower edge [mm].")
    each: float = Field(description="What one of them carries [kg].")
    limit: float = Field(description="Recommended weight limit for one, revised NIOSH equation [kg].")
    multipliers: dict[str, float]
    index: float | None = Field(description="each / limit; null where nothing may be lifted so.")
    filter: float = Field(description="What the team may lift by HSE's filter for women [kg].")
    on_stairs: float | None = Field(
        description="What the lower one of two carries on the steepest stair [kg]."
    )


def lifted_row(one: LiftedWork) -> LiftedRow:
    """How a work is lifted as a row."""
    by = one.by
    return LiftedRow(
        work=one.work,
        mass=round(one.mass, 2),
        people=one.people,
        why=one.why,
        grips=mm(one.grips),
        each=round(one.each, 2),
        limit=round(one.limit, 2),
        multipliers={
            "HM": round(by.horizontal, 4),
            "VM": round(by.vertical, 4),
            "DM": round(by.distance, 4),
            "AM": round(by.asymmetric, 4),
            "FM": round(by.frequency, 4),
            "CM": round(by.coupling, 4),
        },
        index=round(one.index, 3) if one.limit else None,
        filter=round(one.filter, 2),
        on_stairs=None if one.stairs is None else round(one.stairs, 2),
    )
