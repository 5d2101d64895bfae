"""The build of one frame in short lines with its own figures; how each is done stands on the building card."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

from longpoint.drawing.words.members import kind_of
from longpoint.drawing.words.own_words import figures, screw_size
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Kind
from longpoint.joinery import BuildPlan, Fixing, JointKind
from longpoint.joinery import Step as BuildStep


def build_lines(build: BuildPlan, *, say: Voice) -> tuple[str, ...]:
    """The steps of a build, neighbours of one kind in one line.

    Args:
        build: The build plan.
        say: How the sheet speaks.
    """
    fixings = {fixing.name: fixing for joint in build.joints for fixing in joint.fixings}
    lines = []
    for (key, half), together in groupby(build.steps, key=lambda step: (line_key(step), step.half)):
        line = _line(key, list(together), build, fixings, say)
        lines.append(say("line.half", half=half, line=line) if half else line)
    return tuple(lines)


def line_key(step: BuildStep) -> str:
    """What a step's line is called; middle pieces are told apart from rails."""
    if step.key == "put-in" and kind_of(step.members[-1]) is Kind.MIDDLE_PIECE and len(step.members) == 1:
        return "piece"
    return step.key


def _line(
    key: str, steps: Sequence[BuildStep], build: BuildPlan, fixings: dict[str, Fixing], say: Voice
) -> str:
    design = build.frame.design
    facts = {name.replace(" ", "-"): text for step in steps for name, text in step.facts}
    screws = [fixings[name] for step in steps for name in step.screws if name in fixings]
    parts = list(dict.fromkeys(mark for step in steps for mark in step.parts))
    values: dict[str, object] = {
        **{name: figures(text, say) for name, text in facts.items()},
        "parts": ", ".join(parts),
        "screws": screws_said(screws, say),
        "packer": say.fine(design.gap),
        "line": say.place(design.drop + design.rail_depth / 2),
        "lines": ", ".join(say.place(line) for line in _centre_lines(build)),
        "open": say.number(next((s.clock.open_minutes for s in steps if s.clock is not None), 8.0)),
        "people": _people(max(step.people for step in steps), say),
        "radius": say.fine(design.lip_radius),
        "heads": facts.get("heads-under-canvas", "0"),
        "join": facts.get("join", ""),
    }
    bored = "-bored" if "bored" in facts else ""
    own = {
        "cut-end-rails": f"cut-end-rails{bored}",
        "cut-cross-rails": f"cut-cross-rails{'' if design.end_rails else '-bare'}{bored}",
        "holes": "holes" if design.has_rails else "holes-plain",
        "turn-over": "turn-over" if "battens" in facts else "turn-over-flat",
        "square": "square" if screws else "square-plain",
        "put-in": "put-in" if len(steps) == 1 else "put-in-many",
        "glued-saw": "glued-saw" if "mitre" in design.corner else "glued-saw-square",
        "ease": "ease" if values["heads"] != "0" else "ease-plain",
    }.get(key, key)
    line = say(f"line.{own}", **values)
    aside = _stands_aside(build) if key == "end-rails" else []
    for at, even in aside:
        line = say("line.aside", line=line, at=say.place(at), even=say.place(even))
    return line


def _centre_lines(build: BuildPlan) -> list[Fraction]:
    """Where middle pieces lie on the rails they meet, those that stand aside of the middle too. [mm]"""
    pieces = build.frame.of_kind(Kind.MIDDLE_PIECE)
    return sorted({piece.centre for piece in pieces} or {build.frame.design.breadth / 2})


_ASIDE = 2
"""A screw this far from its even place stands aside on purpose. [mm]"""


def _stands_aside(build: BuildPlan) -> list[tuple[Fraction, Fraction]]:
    """Screws along end rails that gave way to another screw, and where they would stand if they were even."""
    along = {
        fixing.name for joint in build.joints if joint.kind is JointKind.ALONG for fixing in joint.fixings
    }
    found: dict[tuple[Fraction, Fraction], None] = {}
    for rail in build.frame.of_kind(Kind.END_RAIL):
        bored = [mark for mark in build.holes_in(rail.name) if mark.purpose == "clearance hole"]
        row = sorted({mark.at for mark in bored if mark.fixing in along})
        others = [mark.at for mark in bored if mark.fixing not in along]
        for number, at in enumerate(row):
            even = row[0] + number * (row[-1] - row[0]) / max(len(row) - 1, 1)
            if abs(at - even) > _ASIDE and any(
                abs(other - even) < abs(at - even) + _ASIDE for other in others
            ):
                found[(at, even)] = None
    return list(found)


def _people(count: int, say: Voice) -> str:
    return say("line.person") if count == 1 else say("line.persons", count=count)


def screws_said(screws: Sequence[Fixing], say: Voice) -> str:
    """Screws by size: ``8 of 4.5 × 70``."""
    counts: dict[str, int] = {}
    for fixing in screws:
        name = screw_size(fixing.screw.name, say).removesuffix(" in")
        counts[name] = counts.get(name, 0) + 1
    if not counts:
        return say("line.no-screws")
    return ", ".join(say("line.screws", count=count, name=name) for name, count in counts.items())
