"""The card for putting frames together: every kind of joint of the batch, and every kind of step with a picture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    CautionBox,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Step,
    Steps,
    Together,
)
from longpoint.drawing.sheets.build_lines import line_key
from longpoint.drawing.views.build import joint_view, step_view
from longpoint.drawing.views.corner_jig import CornerJig, jig_blocks
from longpoint.drawing.words.own_words import note_words
from longpoint.drawing.words.voice import Voice
from longpoint.joinery import BuildPlan, Joint
from longpoint.joinery import Step as BuildStep

_PICTURE = (28.0, 13.0)
"""Room for the picture beside a step. [mm]"""

_MOST_BESIDE = 5
"""So many joints stand side by side; they are shown at large in the reasons."""

_ORDER = (
    *("glue-up", "glued-saw"),
    *("join-scarf", "join-lap", "seam-bore", "bow", "holes", "dry", "corners", "corners-keyed", "wind"),
    *("turn-over", "end-rails", "square", "make-up", "put-in", "piece", "gussets", "ease"),
)
"""Kinds of step in the order of the work; the others are told with one of these."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """One work's build.

    Attributes:
        name: Of the work.
        build: How its frame goes together.
    """

    name: str
    build: BuildPlan


def build_card(
    works: Sequence[Built], *, jig: CornerJig | None, say: Voice, paper: Paper, caution: str
) -> tuple[Page, ...]:
    """The joints of a batch, and how its frames go together.

    Args:
        works: All works.
        jig: What holds the mitres while they are bored; None where there is nothing to bore.
        say: How the sheets speak.
        paper: The sheet.
        caution: What can hurt at boring and glueing.
    """
    return (
        _joints(works, say=say, paper=paper),
        _steps(works, jig=jig, say=say, caution=caution),
    )


def _joints(works: Sequence[Built], *, say: Voice, paper: Paper) -> Page:
    """Each kind of joint once, drawn with its screws on the work that has it first."""
    found: dict[str, tuple[BuildPlan, Joint]] = {}
    for work in works:
        for sheet in work.build.sheets:
            found.setdefault(sheet.kind.value, (work.build, work.build.joint(sheet.example)))
    beside = math.ceil(len(found) / math.ceil(len(found) / _MOST_BESIDE))
    wide = (paper.room[0] - 8.0 * (beside - 1)) / beside
    cells: list[tuple[Block, ...]] = []
    for kind, (build, joint) in found.items():
        view = joint_view(build.frame, build, joint, say=say, size=(wide, 36.0))
        cells.append(
            (
                Heading(say(f"joint-kind.{kind.replace(' ', '-')}"), 2),
                Drawing(view),
                *((Paragraph(note_words(joint, say), "small"),) if joint.note else ()),
            )
        )
    blocks: list[Block] = []
    for i in range(0, len(cells), beside):
        row = cells[i : i + beside]
        blocks.append(Together((Beside((*row, *[()] * (beside - len(row)))),)))
    return Page(
        "joints",
        say("section-name.build"),
        say("card.joints"),
        tuple(blocks),
        lead=say("card.joints-lead"),
        flows=True,
        name="joints",
    )


def _steps(works: Sequence[Built], *, jig: CornerJig | None, say: Voice, caution: str) -> Page:
    """Every kind of step of the batch once, in the order of the work."""
    shown = max(works, key=lambda work: len({line_key(step) for step in work.build.steps}))
    items = []
    for key in _ORDER:
        found = _example(key, [shown, *works])
        if found is None:
            continue
        build, step = found
        names = {joint.name: joint for joint in build.joints}
        fixings = {fixing.name: fixing for joint in names.values() for fixing in joint.fixings}
        bolts = {bolt.name: bolt for joint in names.values() for bolt in joint.bolts}
        view = step_view(
            build.frame,
            step,
            [*(fixings[name] for name in step.screws if name in fixings), *(bolts[n] for n in step.bolts)],
            size=_PICTURE,
        )
        stamp = say(f"stamp.{step.lies.lower().replace(' ', '-')}")
        lapped = key in ("dry", "corners") and build.frame.design.corner == "half-lap"
        bare = key == "put-in" and not any(work.build.frame.design.end_rails for work in works)
        done = say(f"card.{key}.{'do-lapped' if lapped else 'do-bare' if bare else 'do'}")
        words = f"**{say(f'card.{key}.title')}** ({stamp}). {done}"
        items.append(Step(words, view=view))
    return Page(
        "build-card",
        say("section-name.build"),
        say("card.build"),
        (
            Paragraph(say("card.build-pictures", name=shown.name), "small"),
            Steps(tuple(items), tick=False),
            *(jig_blocks(jig, say=say) if jig is not None else ()),
            CautionBox(say("sheet.caution"), (caution,)),
        ),
        lead=say("card.build-lead"),
        flows=True,
        name="build",
    )


def _example(key: str, works: Sequence[Built]) -> tuple[BuildPlan, BuildStep] | None:
    """The first step of a kind, on the first work that has one."""
    for work in works:
        for step in work.build.steps:
            if line_key(step) == key:
                return work.build, step
    return None
