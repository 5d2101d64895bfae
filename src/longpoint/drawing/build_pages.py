"""Joint pages and build steps: every kind of joint with its screws, then the steps with a picture of each."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.build_views import joint_view, step_view
from longpoint.drawing.member_names import member_words
from longpoint.drawing.pages import (
    Beside,
    Block,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Step,
    Steps,
    Table,
    Together,
)
from longpoint.drawing.voice import Voice
from longpoint.frame import Frame
from longpoint.joinery import BuildPlan, Fixing
from longpoint.joinery import Step as BuildStep

_PICTURE = (52.0, 38.0)
"""Room for the picture beside a step [mm]."""


def build_pages(
    frame: Frame,
    build: BuildPlan,
    *,
    name: str,
    about: tuple[str, ...],
    say: Voice,
    paper: Paper,
    others: bool = False,
) -> tuple[Page, ...]:
    """The pages for putting one frame together.

    Args:
        frame: The frame.
        build: Its build plan.
        name: Of the work.
        about: Names of all works with this frame.
        say: How the sheet speaks.
        paper: The sheet.
        others: Whether other works are put together alike, with figures of their own.
    """
    return (
        joint_page(frame, build, name=name, about=about, say=say, paper=paper),
        steps_page(frame, build, name=name, about=about, say=say, others=others),
    )


def joint_page(
    frame: Frame, build: BuildPlan, *, name: str, about: tuple[str, ...], say: Voice, paper: Paper
) -> Page:
    """Each kind of joint, drawn with its screws, and the screws in all."""
    rows = tuple(
        (count.screw.name, str(count.count), ", ".join(_kind(kind.value, say) for kind in count.kinds))
        for count in build.screws
    )
    blocks: list[Block] = [
        Table(
            (
                Column(say("joint.screws"), strong=True),
                Column(say("joint.each-frame"), "end"),
                Column(say("joint.where"), share=1.0),
            ),
            rows,
            tick=True,
        ),
        Paragraph(say("joint.glue", grams=say.number(build.glue_grams, places=0)), "small"),
    ]
    half = (paper.room[0] - 8.0) / 2
    cells: list[tuple[Block, ...]] = []
    for sheet in build.sheets:
        joint = build.joint(sheet.example)
        view = joint_view(frame, build, joint, say=say, size=(half, 78.0))
        cells.append(
            (
                Heading(say("joint.title", kind=_kind(sheet.kind.value, say), count=len(sheet.joints)), 2),
                Drawing(view),
                Paragraph(_holes(joint.fixings, say), "small"),
                *((Paragraph(joint.note, "small"),) if joint.note else ()),
            )
        )
    for i in range(0, len(cells), 2):
        pair = cells[i : i + 2]
        pair += [()] * (2 - len(pair))
        blocks.append(Together((Beside(tuple(pair)),)))
    if build.cautions:
        blocks.append(CautionBox(say("start.mind"), tuple(dict.fromkeys(c.what for c in build.cautions))))
    return Page(
        "joints",
        say("section-name.build"),
        say("joint.page", name=name),
        tuple(blocks),
        about=about,
    )


def steps_page(
    frame: Frame,
    build: BuildPlan,
    *,
    name: str,
    about: tuple[str, ...],
    say: Voice,
    others: bool = False,
) -> Page:
    """The steps, each with how the frame lies and a picture of it so far."""
    fixings = {fixing.name: fixing for joint in build.joints for fixing in joint.fixings}
    steps = tuple(
        Step(
            f"**{step.title}.** {' '.join(step.do)}",
            stamp=say(f"stamp.{step.lies.lower().replace(' ', '-')}"),
            view=step_view(frame, step, [fixings[n] for n in step.screws if n in fixings], size=_PICTURE),
            lines=_lines(step, say),
        )
        for step in build.steps
    )
    hours = say.number(build.minutes / 60, places=1)
    return Page(
        "steps",
        say("section-name.build"),
        say("build.title", name=name),
        (
            Paragraph(say("build.how")),
            *((Paragraph(say("build.shown-on", name=name, names=", ".join(about))),) if others else ()),
            Steps(steps),
        ),
        about=about,
        lead=say("build.lead", count=len(build.steps), hours=hours),
    )


def _lines(step: BuildStep, say: Voice) -> tuple[str, ...]:
    lines = []
    if step.measure:
        lines.append(say("build.measure", text=step.measure))
    if step.check:
        lines.append(say("build.check", text=step.check))
    if step.caution:
        lines.append(say("build.caution", text=step.caution))
    if step.clock is not None:
        lines.append(
            say(
                "build.clock",
                minutes=say.number(step.clock.minutes, places=0),
                open=say.number(step.clock.open_minutes, places=0),
                until=step.clock.until,
            )
        )
    if step.while_glue_sets:
        lines.append(say("build.meanwhile", text=step.while_glue_sets))
    return tuple(lines)


def _kind(kind: str, say: Voice) -> str:
    return say("joint-kind." + kind.replace(" ", "-"))


def _holes(fixings: Sequence[Fixing], say: Voice) -> str:
    """Holes of a joint in one or two sentences, each size once."""
    if not fixings:
        return say("joint.no-screw")
    sentences = []
    for fixing in fixings:
        key = "joint.holes-deep" if fixing.pilot_depth else "joint.holes"
        sentences.append(
            say(
                key,
                clearance=say.fine(fixing.clearance_hole),
                pilot=say.fine(fixing.pilot_hole),
                depth=say.fine(fixing.pilot_depth),
                sink=say.fine(fixing.countersink),
                into=member_words(fixing.into, say),
            )
        )
    return " ".join(dict.fromkeys(sentences))
