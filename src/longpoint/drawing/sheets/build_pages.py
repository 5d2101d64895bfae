"""Joint pages and build steps: every kind of joint with its screws, then the steps with a picture of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from longpoint.drawing.paper.pages import (
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
from longpoint.drawing.paper.view import View
from longpoint.drawing.views.build import joint_view, step_view
from longpoint.drawing.words.members import member_words
from longpoint.drawing.words.own_words import caution_words, figures, hardware_words, note_words, screw_words
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame
from longpoint.joinery import BuildPlan, Fixing, Joint, JointKind
from longpoint.joinery import Step as BuildStep
from longpoint.joinery.screws.holes import DEEPER

_PICTURE = (48.0, 33.0)
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
        (
            screw_words(count.screw.name, say),
            str(count.count),
            ", ".join(_kind(kind.value, say) for kind in count.kinds),
        )
        for count in build.screws
    )
    rows += tuple(
        (hardware_words(line, say), str(line.count), _kind(JointKind.SEAM.value, say))
        for line in build.hardware
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
    beside = 2 if len(build.sheets) in (1, 2, 4) else 3
    wide = (paper.room[0] - 8.0 * (beside - 1)) / beside
    high = 78.0 if len(build.sheets) <= beside else 50.0
    cells: list[tuple[Block, ...]] = []
    for sheet in build.sheets:
        joint = build.joint(sheet.example)
        view = joint_view(frame, build, joint, say=say, size=(wide, high))
        cells.append(
            (
                Heading(say("joint.title", kind=_kind(sheet.kind.value, say), count=len(sheet.joints)), 2),
                Drawing(view),
                Paragraph(_bored(joint, frame, say), "small"),
                *((Paragraph(note_words(joint, say), "small"),) if joint.note else ()),
            )
        )
    for i in range(0, len(cells), beside):
        row = cells[i : i + beside]
        row += [()] * (beside - len(row))
        blocks.append(Together((Beside(tuple(row)),)))
    minds = dict.fromkeys(caution_words(replace(caution, about=""), say) for caution in build.cautions)
    if minds:
        blocks.append(CautionBox(say("start.mind"), tuple(minds)))
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
    bolts = {bolt.name: bolt for joint in build.joints for bolt in joint.bolts}
    steps = tuple(
        _step(
            step,
            [fixings[name] for name in step.screws if name in fixings],
            view=step_view(
                frame,
                step,
                [
                    *(fixings[name] for name in step.screws if name in fixings),
                    *(bolts[name] for name in step.bolts),
                ],
                size=_PICTURE,
            ),
            say=say,
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


def _step(step: BuildStep, fixings: Sequence[Fixing], *, view: View, say: Voice) -> Step:
    """A step with its picture."""
    said = step_words(step, fixings, say)
    title = say("build.half", half=step.half, title=said.title) if step.half else said.title
    lines = [
        say(f"build.{key}", text=text)
        for key, text in (("measure", said.measure), ("check", said.check), ("caution", said.caution))
        if text
    ]
    if step.clock is not None:
        minutes, allowed = say.number(step.clock.minutes), say.number(step.clock.open_minutes)
        until = say(f"step.until.{step.clock.until}")
        lines.append(say("build.clock", minutes=minutes, open=allowed, until=until))
    if said.meanwhile:
        lines.append(say("build.meanwhile", text=said.meanwhile))
    stamp = say(f"stamp.{step.lies.lower().replace(' ', '-')}")
    return Step(f"**{title}.** {' '.join(said.do)}", stamp=stamp, view=view, lines=tuple(lines))


@dataclass(frozen=True, slots=True, kw_only=True)
class StepWords:
    """A step in the reader's language.

    Attributes:
        title: Heading.
        do: What is done, sentence by sentence.
        measure: What is measured; "" for nothing.
        check: What is checked, and how it is mended; "" for nothing.
        caution: What can go wrong or hurt; "" for nothing.
        meanwhile: What can be done while the glue sets; "" for nothing.
    """

    title: str
    do: tuple[str, ...]
    measure: str
    check: str
    caution: str
    meanwhile: str


def step_words(step: BuildStep, fixings: Sequence[Fixing], say: Voice) -> StepWords:
    """Says a step.

    Args:
        step: The step.
        fixings: Its screws.
        say: How it is said.
    """
    values = _values(step, fixings, say)

    def said(*keys: str) -> str:
        return " ".join(say(f"step.{key}", **values) for key in keys if key)

    return StepWords(
        title=said(step.title),
        do=tuple(said(key) for key in step.do),
        measure=said(step.measure),
        check=said(*step.check),
        caution=said(*step.caution),
        meanwhile=said(step.meanwhile),
    )


def _values(step: BuildStep, fixings: Sequence[Fixing], say: Voice) -> dict[str, str]:
    """The figures of a step by the names that its sentences use."""
    values = {name.replace(" ", "-"): figures(text, say) for name, text in step.facts}
    if "long" in values:
        values["long"] = screw_words(dict(step.facts)["long"], say)
    if "from" in values:
        values["from"] = say(f"step.from.{dict(step.facts)['from']}")
    names = ", ".join(member_words(name, say) for name in step.members)
    marks = ", ".join(dict.fromkeys(step.parts))
    values["what"] = f"{names} ({marks})" if marks else names
    counts: dict[str, int] = {}
    for fixing in fixings:
        counts[fixing.screw.name] = counts.get(fixing.screw.name, 0) + 1
    values["screws"] = (
        ", ".join(f"{count} × {screw_words(name, say)}" for name, count in counts.items()) or "–"
    )
    return values


def _kind(kind: str, say: Voice) -> str:
    return say("joint-kind." + kind.replace(" ", "-"))


def _bored(joint: Joint, frame: Frame, say: Voice) -> str:
    """What is bored for a joint, and what it is held with."""
    if joint.bolts:
        bolt, level = joint.bolts[0], frame.design.long_axis == "x"
        places = ", ".join(say.fine(each.start[1] if level else each.start[0]) for each in joint.bolts)
        size = figures(bolt.size, say)
        return say("joint.bolts", count=len(joint.bolts), size=size, hole=say.fine(bolt.hole), places=places)
    if joint.dowels:
        dowel = joint.dowels[0]
        return say(
            "joint.dowel",
            size=f"{say.fine(dowel.diameter)} × {say.fine(dowel.length)}",
            deep=say.fine(dowel.length / 2 + DEEPER),
            back=say.fine(dowel.centre[2] + frame.design.bar_depth),
        )
    return _holes(joint.fixings, say)


def _holes(fixings: Sequence[Fixing], say: Voice) -> str:
    """Holes of a joint in one or two sentences, each size once."""
    if not fixings:
        return say("joint.no-screw")
    sentences = []
    for fixing in fixings:
        key = "joint.holes-deep" if fixing.pilot_depth else "joint.holes"
        if fixing.bored:
            key = "joint.holes-bored"
        sentences.append(
            say(
                key,
                clearance=say.fine(fixing.clearance_hole),
                pilot=say.fine(fixing.pilot_hole),
                depth=say.fine(fixing.pilot_depth),
                sink=say.fine(fixing.countersink),
                bored=say.fine(fixing.bored),
                into=member_words(fixing.into, say),
            )
        )
    return " ".join(dict.fromkeys(sentences))
