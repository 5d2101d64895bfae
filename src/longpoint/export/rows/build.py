"""Joints, holes and steps in ``plan.json``."""

from __future__ import annotations

from pydantic import Field

from longpoint.drawing.sheets.build_pages import StepWords, step_words
from longpoint.drawing.words.voice import Voice
from longpoint.export.rows.row import Row, mm
from longpoint.frame import Frame
from longpoint.joinery import BuildPlan, Fixing, HoleMark, Joint, Step
from longpoint.joinery.joints.long_bars import bar_of


class FixingRow(Row):
    """One screw in its place; x right, y up, z out of the wall, mm."""

    name: str
    screw: str
    duty: str = Field(description="Counted on for strength, or draws the joint together.")
    start: list[float] = Field(description="Where its axis meets the face it is driven from.")
    axis: list[float] = Field(description="Unit vector in which it is driven.")
    depth: float = Field(description="From that face to its tip, mm.")
    through: list[str]
    into: str
    thread: float = Field(description="How far it reaches into the receiving member, mm.")
    clearance_hole: float
    pilot_hole: float
    pilot_depth: float
    countersink: float


class BoltRow(Row):
    """One bolt in its place, a washer at either end; mm."""

    name: str
    size: str
    start: list[float] = Field(description="Where its axis meets the face under its head.")
    axis: list[float]
    passed: float = Field(description="Timber it passes, mm.")
    hole: float
    members: list[str]


class DowelRow(Row):
    """One dowel across two butted ends, glued in the first; mm."""

    name: str
    diameter: float
    length: float
    centre: list[float]
    axis: list[float]
    members: list[str]


class JointRow(Row):
    """One joint."""

    name: str
    kind: str
    members: list[str]
    fixings: list[FixingRow]
    bolts: list[BoltRow] = Field(default_factory=list, description="Of the seam of two halves.")
    dowels: list[DowelRow] = Field(default_factory=list)


class JoinRow(Row):
    """One place where two pieces of a bar are joined in length."""

    bar: str
    kind: str
    centre: float = Field(description="Along the bar from its left or lower end, mm.")
    length: float = Field(description="Of the join; both pieces reach through it, mm.")
    plate: list[float] | None = Field(description="Length and depth of the plate over it, mm.")


class HardwareRow(Row):
    """Bolts, washers, nuts and dowels of one size for one frame."""

    name: str
    count: int


class HoleRow(Row):
    """One hole of one member, from its reference end and back edge."""

    member: str
    face: str
    at: float
    from_back: float
    diameter: float
    depth: float | None = Field(description="mm; null: right through.")
    countersink: float
    purpose: str


class StepRow(Row):
    """One step of building."""

    number: int
    key: str
    title: str
    lies: str
    members: list[str]
    in_place: list[str]
    screws: list[str]
    do: list[str]
    measure: str
    check: str
    caution: str
    while_glue_sets: str
    minutes: float = Field(description="Estimate.")
    people: int
    half: int = Field(default=0, description="Which half of a frame in two halves; 0: the whole.")
    bolts: list[str] = Field(default_factory=list)


class ScrewRow(Row):
    """Screws of one size for one frame."""

    screw: str
    count: int


class BuildRow(Row):
    """How one frame goes together."""

    joints: list[JointRow]
    holes: list[HoleRow]
    screws: list[ScrewRow]
    glue_grams: float = Field(description="Estimate.")
    steps: list[StepRow]
    minutes: float = Field(description="Estimate.")
    hardware: list[HardwareRow] = Field(default_factory=list)


def join_rows(frame: Frame) -> list[JoinRow]:
    """The joins of a frame's bars.

    Args:
        frame: The frame as it is built.
    """
    return [
        JoinRow(
            bar=bar_of(frame, join).name,
            kind=join.kind,
            centre=mm(join.centre),
            length=mm(join.length),
            plate=None if join.plate is None else [mm(side) for side in join.plate],
        )
        for join in frame.design.joins
    ]


def build_row(build: BuildPlan, say: Voice) -> BuildRow:
    """The document's view of a build plan, its sentences in the reader's language."""
    fixings = {fixing.name: fixing for joint in build.joints for fixing in joint.fixings}
    return BuildRow(
        joints=[_joint(joint) for joint in build.joints],
        holes=[_hole(hole) for hole in build.holes],
        screws=[ScrewRow(screw=line.screw.name, count=line.count) for line in build.screws],
        glue_grams=round(build.glue_grams, 1),
        steps=[_step(step, step_words(step, [fixings[s] for s in step.screws], say)) for step in build.steps],
        minutes=round(build.minutes, 1),
        hardware=[
            HardwareRow(name=f"{line.kind.replace('-', ' ')} {line.size}", count=line.count)
            for line in build.hardware
        ],
    )


def _joint(joint: Joint) -> JointRow:
    return JointRow(
        name=joint.name,
        kind=str(joint.kind),
        members=list(joint.members),
        fixings=[_fixing(fixing) for fixing in joint.fixings],
        bolts=[
            BoltRow(
                name=bolt.name,
                size=f"bolt {bolt.size}",
                start=[mm(value) for value in bolt.start],
                axis=[float(value) for value in bolt.axis],
                passed=mm(bolt.passed),
                hole=mm(bolt.hole),
                members=list(bolt.members),
            )
            for bolt in joint.bolts
        ],
        dowels=[
            DowelRow(
                name=dowel.name,
                diameter=mm(dowel.diameter),
                length=mm(dowel.length),
                centre=[mm(value) for value in dowel.centre],
                axis=[float(value) for value in dowel.axis],
                members=list(dowel.members),
            )
            for dowel in joint.dowels
        ],
    )


def _fixing(fixing: Fixing) -> FixingRow:
    return FixingRow(
        name=fixing.name,
        screw=fixing.screw.name,
        duty=str(fixing.duty),
        start=[mm(value) for value in fixing.start],
        axis=[round(float(value), 6) for value in fixing.axis],
        depth=mm(fixing.depth),
        through=list(fixing.through),
        into=fixing.into,
        thread=mm(fixing.thread),
        clearance_hole=mm(fixing.clearance_hole),
        pilot_hole=mm(fixing.pilot_hole),
        pilot_depth=mm(fixing.pilot_depth),
        countersink=mm(fixing.countersink),
    )


def _hole(hole: HoleMark) -> HoleRow:
    return HoleRow(
        member=hole.member,
        face=str(hole.face),
        at=mm(hole.at),
        from_back=mm(hole.from_back),
        diameter=mm(hole.diameter),
        depth=None if hole.depth is None else mm(hole.depth),
        countersink=mm(hole.countersink),
        purpose=str(hole.purpose),
    )


def _step(step: Step, said: StepWords) -> StepRow:
    return StepRow(
        number=step.number,
        key=step.key,
        title=said.title,
        lies=step.lies,
        members=list(step.members),
        in_place=list(step.in_place),
        screws=list(step.screws),
        do=list(said.do),
        measure=said.measure,
        check=said.check,
        caution=said.caution,
        while_glue_sets=said.meanwhile,
        minutes=round(step.minutes, 1),
        people=step.people,
        half=step.half,
        bolts=list(step.bolts),
    )
