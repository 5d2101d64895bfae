"""Rows of ``plan.json`` about ways out."""

from __future__ import annotations

from math import degrees

from pydantic import Field

from longpoint.export.plan_rows import Row, mm
from longpoint.model.batch import Batch
from longpoint.works.leaving import WayOut


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
